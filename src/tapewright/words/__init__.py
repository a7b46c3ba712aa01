"""Words: units, numbers and sentences as people read them."""
