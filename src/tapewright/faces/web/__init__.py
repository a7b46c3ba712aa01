"""Web: the notebook and every errand in a browser, phone first."""
