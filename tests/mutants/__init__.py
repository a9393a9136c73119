"""Small faults put into the rooms one at a time, and whether the tests find them.

`python -m tests.mutants.run` is a benchmark, asked for by name. Whoever adds a rule runs it for the
room: each fault that lives is either a test that is missing or has its reason in `survivors.toml`.
"""
