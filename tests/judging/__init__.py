"""Tests of the judge: a clean season, and the smallest changes that break one rule each."""
