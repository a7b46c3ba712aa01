"""Constants: numbers of nature and of the standard atmosphere.

Holds:  one constant a line, its source on the same line.
Never:  conversion factors (units.py), fitted values.
"""

STANDARD_GRAVITY_MPS2 = 9.80665  # 3rd CGPM 1901; ISO 2533:1975

ISA_TEMPERATURE_K = 288.15  # ISO 2533:1975, sea level
ISA_PRESSURE_PA = 101325.0  # ISO 2533:1975, sea level
ISA_LAPSE_K_PER_M = 0.0065  # ISO 2533:1975, below 11 km
ISA_GAS_CONSTANT_J_KG_K = 287.05287  # ISO 2533:1975, dry air
EARTH_RADIUS_M = 6356766.0  # ISO 2533:1975, for geopotential altitude
