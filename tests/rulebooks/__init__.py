"""Tests of the rule books."""
