"""Floor 5, west wing: the notebook of all that is kept; nothing is overwritten."""
