"""Floor 2: the triangle of eye, pin and arrow; knows no measurements, no fitting."""
