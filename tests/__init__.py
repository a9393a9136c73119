"""Tests of tripkit, one file a room; `build` makes the small yards they use."""
