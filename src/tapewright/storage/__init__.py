"""Floor 5, west wing: the notebook of rigs, groups, calibrations and prints; nothing is overwritten."""
