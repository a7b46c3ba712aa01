"""Pages: one file a place; each reads, asks, shows."""
