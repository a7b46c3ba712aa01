"""API: the notebook and every question for other programs, as JSON under /api."""
