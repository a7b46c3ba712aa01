"""Tapewright: a bow with a movable sight, and the tape that makes it hit.

Holds:  the version.
Never:  imports.
"""

__version__ = "0.2.0.dev0"
