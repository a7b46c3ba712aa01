"""Versions: one file a step, in order; a step once shipped is never edited."""
