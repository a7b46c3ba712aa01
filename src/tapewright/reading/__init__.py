"""Floor 8: sheets and tables that people wrote become records."""
