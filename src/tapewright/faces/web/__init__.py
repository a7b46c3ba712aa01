"""Web: the notebook and every question in a browser, phone first."""
