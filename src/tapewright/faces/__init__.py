"""Floor 11: how a terminal, a browser, another program and a pocket card ask and show."""
