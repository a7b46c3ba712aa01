"""Reading per travel is asked for while it would tell more than sheet and arrows know."""

from types import SimpleNamespace as Namespace

import numpy as np
import pytest

from tapewright.calibration.rig import Belief
from tapewright.services.measure_first import gains_by_travel


def answer(said, doubt):
    """An answer whose draws know the gain to a relative doubt."""
    draws = np.array([[0.0, -doubt], [0.0, doubt]])
    unknowns = Namespace(place={"log_gain": 1}.__getitem__)
    evidence = Namespace(prior=Namespace(unknowns=unknowns))
    posterior = Namespace(vectors=draws, calibration=Namespace(evidence=evidence))
    return Namespace(rig=Namespace(sight=Namespace(reading_per_travel=said)), posterior=posterior)


@pytest.mark.parametrize(
    ("said", "doubt", "gains"),
    [
        (None, 0.10, True),  # nobody knows
        (None, 0.010, False),  # the arrows do
        (Belief(1.6, 0.05), 0.03, True),
        (Belief(1.6), 0.03, True),  # a value that says nothing of its doubt
        (Belief(1.6, 0.016), 0.05, False),  # measured: the rest is the sight radius
    ],
)
def test_it_is_asked_for_while_it_buys(said, doubt, gains):
    assert gains_by_travel(answer(said, doubt)) is gains
