import pytest

from tapewright.target.group import Group, Impact
from tapewright.target.rounding import written_step

INCH = 0.0254


def groups(*values_m):
    return [Group("A", tuple(Impact(None, one) for one in values_m))]


@pytest.mark.parametrize(
    ("values_m", "step_m"),
    [
        ((2 * INCH, -1 * INCH, 0.0), 0.0254),
        ((0.5 * INCH, 2 * INCH), 0.0127),
        ((0.25 * INCH, 1.5 * INCH), 0.00635),
        ((0.1 * INCH, -2.3 * INCH), 0.00254),
        ((0.125 * INCH, 1 * INCH), 0.003175),
        ((0.03, -0.12), 0.01),
        ((0.035, -0.12), 0.005),
        ((0.031, -0.127), 0.001),
        ((0.0315, -0.127), 0.0005),
        ((0.042, -0.126), 0.002),
        ((0.13 * INCH, -2.37 * INCH), 0.000254),
        ((0.03142, -0.127), 0.0),  # finer than anybody reads a ruler
        ((0.0, 0.0), 0.0),
        ((), 0.0),
    ],
)
def test_the_coarsest_step_of_which_all_are_multiples(values_m, step_m):
    assert written_step(groups(*values_m)) == pytest.approx(step_m, rel=1e-9, abs=1e-12)


def test_all_that_one_person_wrote_tells_the_step():
    whole = Group("A", (Impact(INCH, 2 * INCH),))
    tenths = Group("B", (Impact(0.3 * INCH, INCH),))
    assert written_step([whole]) == pytest.approx(0.0254)
    assert written_step([whole, tenths]) == pytest.approx(0.00254)
    called = Impact(0.3 * INCH, INCH, called_bad=True)
    assert written_step([Group("C", (Impact(INCH, INCH), called))]) == pytest.approx(0.0254)


def test_a_conversion_leaves_the_step_to_be_seen():
    assert written_step(groups(0.30480000000000007, 0.05079999999999999)) == pytest.approx(0.0254)
