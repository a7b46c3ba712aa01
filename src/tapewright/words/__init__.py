"""Floor 7: units, numbers and sentences as people read them."""
