"""Reading: sheets and tables that people wrote become records."""
