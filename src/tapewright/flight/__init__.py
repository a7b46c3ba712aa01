"""Floor 1: an arrow in air; knows no sight, no archer, no measurements."""
