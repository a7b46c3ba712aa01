"""Floor 5, east wing: millimetres on paper; imports the ground only."""
