"""Floor 6: one errand per file; no formula, no paper, no keyboard."""
