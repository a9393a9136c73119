"""Tests of the room that reads a yard's files; `folders` writes the small yards they read."""
