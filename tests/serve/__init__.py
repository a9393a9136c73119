"""Feeds over HTTP."""
