"""Floor 4: what may be claimed; reads a calibration, never changes one."""
