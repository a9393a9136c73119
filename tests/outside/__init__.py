"""Programs that are not ours read what we write; see `tools` for how they are found."""
