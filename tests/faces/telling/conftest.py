"""An answer with two pins of which nothing is left to warn, for tables written out by hand."""

from types import SimpleNamespace

import pytest


@pytest.fixture
def quiet():
    """What tables ask of a calibration: two pins, no caution, no limit known."""
    return SimpleNamespace(
        trusted_m=(54.864, 45.72),
        cautions=(),
        limits=SimpleNamespace(far=None, allows=lambda reading_m: reading_m < 0.031),
        rig=SimpleNamespace(name="Heron", hand="left", archer=SimpleNamespace(tolerance_m=0.0762)),
        bands=SimpleNamespace(probability=0.9),
        groups=(),
        observations=(),
    )
