"""Phone sync: groups that a phone kept come into the notebook, or wait until they are settled."""
