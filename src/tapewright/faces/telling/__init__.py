"""Telling: what an errand found, as tables and sentences that every face can show."""
