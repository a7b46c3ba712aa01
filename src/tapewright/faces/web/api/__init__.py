"""API: the notebook and every errand for other programs, as JSON under /api."""
