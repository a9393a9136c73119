"""Tests of the feeds; `hand_season` is the small season they read."""
