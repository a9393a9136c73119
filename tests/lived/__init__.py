"""A season lived through with a clock that moves: what was published stays true for its readers."""
