from datetime import UTC, datetime
from itertools import count

import pytest
from many_rigs import texts
from written_out import IMPERIAL

from tapewright.faces.kept_rigs import refit_rig
from tapewright.ground.errors import NotKept
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import read_shots
from tapewright.services.keep import (
    KeptCalibration,
    KeptGroup,
    KeptRig,
    KeptSession,
    kept_as,
    open_notebook,
)
from tapewright.services.refit_kept import ask_for_refits, work_off

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
RIG, SESSION = f"{1:020x}", f"{2:020x}"


@pytest.fixture
def ids():
    numbers = count(100)
    return lambda: f"{next(numbers):020x}"


@pytest.fixture
def notebook(tmp_path, ids):
    kept = open_notebook(f"sqlite:///{tmp_path / 'notebook.db'}")
    sheet, shots = texts(1, groups=4, arrows=4)
    kept.add(KeptRig(sheet, "Rig 1"), now=NOW, entry_id=RIG)
    session = KeptSession("2026-11-25", "sighting", "", 0)
    kept.add(session, rig_id=RIG, now=NOW, entry_id=SESSION)
    for one in read_shots(shots, "shots", read_rig_sheet(sheet)[0])[0]:
        kept.add(KeptGroup(SESSION, one, ""), rig_id=RIG, now=NOW, entry_id=ids())
    yield kept
    kept.close()


def test_a_refit_keeps_a_calibration_and_a_second_one_changes_nothing(notebook, ids):
    def refit(rig_id):
        return refit_rig(notebook, rig_id, IMPERIAL, lambda: NOW, ids)

    for _ in range(2):
        assert ask_for_refits(notebook, NOW, ids) == 1
        assert work_off(notebook, refit, "one", lambda: NOW) == 1
    (kept,) = notebook.entries("calibration", RIG)
    assert kept_as(kept, KeptCalibration).groups == 4
    jobs = notebook.entries("job", withdrawn=True)
    assert {job.body.told.split(":")[0][:11] for job in jobs} == {"Trusted to "}


def test_a_rig_that_is_not_kept_is_refused(notebook, ids):
    with pytest.raises(NotKept):
        refit_rig(notebook, f"{9:020x}", IMPERIAL, lambda: NOW, ids)
