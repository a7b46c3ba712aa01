"""Floor 10: what may be asked of each thing on paper, and how that becomes its sheets."""
