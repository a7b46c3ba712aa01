"""Weighed means and scale factors against printed examples.

Sources. Particle Data Group, Review of Particle Physics: mean life of the neutron in the edition
that prints 880.2 ± 1.0, S = 1.9, and the mass of the D_s meson, printed 1969.0 ± 1.4, S = 1.5
(inputs as its listings give them, each pair of errors added in squares). Two readings 10 ± 4 and
30 ± 5, printed 17.80 ± 3.12 before scaling (an article of 2011 on combining measurements). R. N.
Kacker, Metrologia 41 (2004), table 1, first row, as public copies of its data have it: the fixed
mean and Birge's ratio worked apart. R. T. Birge, Phys. Rev. 40 (1932) 207: the ratio.
"""

from math import hypot

import pytest

from tapewright.calibration.statements import weigh

NEUTRON = (
    (880.2, 1.2, 0.0), (887.7, 1.2, 1.9), (882.5, 1.4, 1.5), (880.7, 1.3, 1.2), (878.5, 0.7, 0.3),
    (889.2, 3.0, 3.8), (882.6, 2.7, 0.0),
)  # fmt: skip
D_S = ((1967.0, 1.0, 1.0), (1969.3, 1.4, 1.4), (1972.7, 1.5, 1.0), (1972.4, 3.7, 3.7),
       (1963.0, 3.0, 3.0), (1970.0, 5.0, 5.0))  # fmt: skip
KACKER = (
    (61.0, 0.2025), (61.4, 1.21), (62.21, 0.09), (62.3, 0.2025), (62.34, 0.3844), (62.6, 0.5625),
    (62.7, 0.0676), (62.84, 0.0225), (65.9, 1.8225),
)  # fmt: skip


def weighed(listed):
    return weigh([value for value, _, _ in listed], [hypot(*errors) for _, *errors in listed])


def test_the_neutron_lives_as_printed():
    found = weighed(NEUTRON)
    assert found.value == pytest.approx(880.19205, abs=5e-6)
    assert f"{found.value:.1f} ± {found.sd:.1f}, S = {found.scale:.1f}" == "880.2 ± 1.0, S = 1.9"
    assert found.scale == pytest.approx(1.9101, abs=5e-5)  # 889.2 ± 4.8 is too doubtful to tell


def test_the_meson_weighs_as_printed():
    """Without the cut of doubtful inputs S would be 1.317."""
    found = weighed(D_S)
    assert f"{found.value:.1f} ± {found.sd:.1f}, S = {found.scale:.1f}" == "1969.0 ± 1.4, S = 1.5"
    assert found.scale == pytest.approx(1.471205, abs=1e-6)
    assert found.sd == pytest.approx(1.357306, abs=1e-6)


def test_two_readings_as_printed():
    found = weigh((10.0, 30.0), (4.0, 5.0))
    assert found.value == pytest.approx(17.804878, abs=1e-6)
    assert found.sd / found.scale == pytest.approx(3.123475, abs=1e-6)
    assert found.scale == pytest.approx(3.123475, abs=1e-6)
    assert found.sd == pytest.approx(9.756098, abs=1e-6)


def test_two_chronographs_worked_apart():
    found = weigh((280.0, 290.0), (2.8, 2.9))
    assert found.value == pytest.approx(284.824615, abs=1e-6)
    assert found.scale == pytest.approx(2.480695, abs=1e-6)
    assert found.sd == pytest.approx(4.996923, abs=1e-6)


def test_nine_laboratories(ledger):
    """Birge's ratio needs every input; those that the cut leaves out are told apart."""
    values = [value for value, _ in KACKER]
    found = weigh(values, [variance**0.5 for _, variance in KACKER])
    off = abs(found.value - 62.5833970940)
    ledger("Weighed mean of nine laboratories", "Kacker 2004, worked apart", 9, off, 1e-9, "of it")
    assert found.sd / found.scale == pytest.approx(0.1078457055, abs=1e-10)
    few = [(one, var) for one, var in KACKER if var**0.5 < 3 * 3 * 0.1078457055]
    chi2 = sum((one - 62.5833970940) ** 2 / var for one, var in few)
    assert found.scale == pytest.approx((chi2 / (len(few) - 1)) ** 0.5, abs=1e-9)
