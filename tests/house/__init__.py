"""The house drawn from `pyproject.toml`: its floors, and which folder imports which."""
