"""The store: what is kept, what happens when it cannot be."""
