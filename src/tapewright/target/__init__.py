"""Floor 1: arrows in a butt; knows no flight, no sight."""
