import pytest

from tapewright.target.group import Group, Impact
from tapewright.target.rounding import written_step

INCH = 0.0254


def heights(*values_m):
    return Group("A", tuple(Impact(None, one) for one in values_m))


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
    assert written_step(heights(*values_m)) == pytest.approx(step_m, rel=1e-9, abs=1e-12)


def test_what_nobody_read_off_tells_no_step():
    """A shot called bad is not looked at; a centre of several was worked out."""
    called = Impact(0.3 * INCH, INCH, called_bad=True)
    worked_out = Impact(0.37 * INCH, 0.333 * INCH, arrows=3)
    read = (Impact(INCH, 2 * INCH), Impact(-INCH, 0.0))
    assert written_step(Group("C", (*read, called, worked_out))) == pytest.approx(0.0254)


def test_a_conversion_leaves_the_step_to_be_seen():
    assert written_step(heights(0.30480000000000007, 0.05079999999999999)) == pytest.approx(0.0254)
