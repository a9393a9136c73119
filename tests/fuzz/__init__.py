"""Malformed input by the thousand: no traceback, and nothing changes without a word."""
