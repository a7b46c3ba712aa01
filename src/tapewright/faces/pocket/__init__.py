"""Floor 7: the pocket card, one page for a phone without a signal; its markup, style and script."""
