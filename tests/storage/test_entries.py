import pytest
from notebooks import BODIES, CALIBRATION, GROUP, PRINT, PRINTER, RIG, SESSION

from tapewright.storage.entries import History, Source, Version, Write


def test_a_history_names_all_that_any_version_needs():
    first = Version("t", BODIES[PRINT], (Source(CALIBRATION, 1),))
    second = Version("t", BODIES[GROUP], (Source(GROUP, 1), Source(GROUP, 2)))
    history = History("x", "print", RIG, None, (first, second))
    assert history.named == {RIG, PRINTER, CALIBRATION, SESSION, GROUP}
    assert History("x", "rig", None, None, (Version("t", BODIES[RIG], ()),)).named == set()


def test_a_rig_belongs_to_no_rig():
    with pytest.raises(AssertionError):
        Write(RIG, BODIES[RIG], rig_id=RIG)
