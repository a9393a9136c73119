"""x."""

SENTENCES: dict[str, str] = {}
