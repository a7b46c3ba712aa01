"""Photograph: a picture of a target becomes impacts."""
