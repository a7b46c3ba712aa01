"""Floor 4: a finished calibration outdoors; never refits."""
