"""Scale words: which scale a reading stands on, as a column has it, for everybody above.

Holds:  nothing of its own.
Never:  arrays: whoever names columns needs none.
"""

from tapewright.sight.stickings import scales_from, scales_text

__all__ = ["scales_from", "scales_text"]
