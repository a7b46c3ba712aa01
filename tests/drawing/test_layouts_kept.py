"""A layout stays as it is until somebody changes it on purpose: tests/support/layouts.py."""

import json

import pytest
from layouts import KEPT, listed

KEPT_LAYOUTS = json.loads(KEPT.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def drawn():
    return listed()


@pytest.mark.regression
@pytest.mark.parametrize("name", KEPT_LAYOUTS)
def test_a_layout_is_the_one_that_was_kept(drawn, name):
    was, now = KEPT_LAYOUTS[name], drawn[name]
    assert len(now) == len(was)
    for one, other in zip(now, was, strict=True):
        # a last digit may round either way on another machine: a ten-thousandth of a millimetre
        assert one == [
            pytest.approx(value, abs=2e-4) if isinstance(value, float) else value for value in other
        ]
