from tapewright.ground import constants, units


def test_gravity_is_the_one_in_the_pound_force():
    assert units.POUND_FORCE_N / units.POUND_KG == constants.STANDARD_GRAVITY_MPS2


def test_standard_air_at_sea_level_is_15_celsius():
    assert constants.ISA_TEMPERATURE_K - units.ZERO_CELSIUS_K == 15.0


def test_every_constant_is_a_positive_number_with_a_unit_in_its_name():
    named = {key: value for key, value in vars(constants).items() if key.isupper()}
    assert all(isinstance(value, float) and value > 0 for value in named.values())
    assert all(
        key.rsplit("_", 1)[-1] in {"MPS2", "K", "PA", "M", "KG"} or "_K" in key for key in named
    )
