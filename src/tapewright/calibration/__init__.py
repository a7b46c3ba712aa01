"""Floor 3: from arrows to numbers."""
