from tapewright.ground import constants

# [mps2], [K], [Pa], [K/m], [J/(kg·K)]: 3rd CGPM 1901; ISO 2533:1975
PUBLISHED = {
    "STANDARD_GRAVITY_MPS2": 9.80665,
    "ISA_TEMPERATURE_K": 288.15,
    "ISA_PRESSURE_PA": 101325.0,
    "ISA_LAPSE_K_PER_M": 0.0065,
    "ISA_GAS_CONSTANT_J_KG_K": 287.05287,
    "EARTH_RADIUS_M": 6356766.0,  # [m]
}


def test_every_constant_is_the_published_one():
    named = {key: value for key, value in vars(constants).items() if key.isupper()}
    assert named == PUBLISHED
