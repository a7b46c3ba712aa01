"""Storage: the notebook of rigs, groups, calibrations and prints; nothing is overwritten."""
