"""Where workers are started from."""

import os
from pathlib import Path

from tapewright.faces.web.server.worker_processes import stand_where_one_may


def test_workers_are_started_where_they_may_stand(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    stand_where_one_may()
    assert Path.cwd() == tmp_path
    gone = tmp_path / "gone"
    gone.mkdir()
    os.chdir(gone)
    gone.rmdir()
    stand_where_one_may()
    assert str(Path.cwd()) == os.sep
