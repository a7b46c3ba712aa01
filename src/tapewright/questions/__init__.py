"""Questions: one file each: what may be asked, who answers, what is told."""
