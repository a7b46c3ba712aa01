"""Errands: questions to a finished calibration, each read and answered alike in every face."""
