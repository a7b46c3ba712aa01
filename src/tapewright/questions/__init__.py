"""Floor 9: one file a question: what may be asked, who answers, what is told."""
