"""Exact units: how much one unit is in SI, written out, so that a test asks nobody.

Holds:  factors to SI as their definitions give them.
Never:  the program's own constants.
Source: NIST SP 811 Appendix B, NIST Handbook 44 Appendix C; exact by definition.
"""

INCH_M = 0.0254
FOOT_M = 0.3048
YARD_M = 0.9144
POUND_KG = 0.45359237
GRAIN_KG = 0.45359237 / 7000.0
POUND_FORCE_N = 0.45359237 * 9.80665
FOOT_POUND_J = 0.3048 * 0.45359237 * 9.80665
MPH_MPS = 0.44704
DEGREE_RAD = 3.141592653589793 / 180.0
ZERO_CELSIUS_K = 273.15
STANDARD_GRAVITY_MPS2 = 9.80665  # 3rd CGPM 1901
