"""Floor 5, a wing of its own: a picture of a target becomes impacts."""
