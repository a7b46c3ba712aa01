"""Floor 7: people."""
