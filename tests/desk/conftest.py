"""An invented archer's groups, for the front door."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from exact_units import YARD_M

import tapewright.api as tw

SAMPLE = Path(__file__).parents[2] / "src" / "tapewright" / "faces" / "sample"


@dataclass(frozen=True)
class Bench:
    """Rig, groups and answer of the sample."""

    rig: tw.Rig
    shots: tuple
    answer: tw.Answer


@pytest.fixture(scope="session")
def sample():
    return SAMPLE


@pytest.fixture(scope="session")
def bench():
    rig, _ = tw.load_rig_sheet(SAMPLE / "heron.toml")
    shots, _ = tw.load_shots(SAMPLE / "heron-shots.csv", rig)
    return Bench(rig, shots, tw.calibrate(rig, shots, np.array([20, 60, 100]) * YARD_M))
