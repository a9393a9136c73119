"""Tests of eligibility: the papers of a plan."""
