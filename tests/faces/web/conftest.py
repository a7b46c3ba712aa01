"""A notebook, a browser without scripts, and the invented sample rig for every test of pages.

The sample is calibrated once: each test has a copy of the file into which it was taken from an
archive, and its app already knows the calibration of the sample as it was. What a test changes is
calibrated anew, unless a test before it changed the same.
"""

import shutil
import threading
import time

import pytest
import uvicorn
from notebooks import empty_file
from starlette.testclient import TestClient
from written_out import IMPERIAL, METRIC

from tapewright.faces.kept_rigs import kept_answer, kept_rig
from tapewright.faces.web import app as web_app
from tapewright.faces.web.app import build_app
from tapewright.faces.web.page_request import Answers
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import archive_text, read_archive, take_in

__all__ = ["empty_file"]

RULES = Rules(frozenset({"127.0.0.1"}))
WAIT_S = 30.0


@pytest.fixture(scope="session")
def sample(tmp_path_factory):
    """Id, archive and calibrations of the sample rig as the app itself put it in."""
    kept = open_notebook(f"sqlite:///{tmp_path_factory.mktemp('sample')}/notebook.db")
    browser = TestClient(
        build_app(kept, RULES), base_url="http://127.0.0.1", follow_redirects=False
    )
    rig_id = browser.post("/sample").headers["location"].rpartition("/")[2]
    rig = kept_rig(kept, rig_id)
    known = {(rig.sources, units.distance): kept_answer(rig, units) for units in (IMPERIAL, METRIC)}
    archive = read_archive(archive_text(kept))
    kept.close()
    return rig_id, archive, known


@pytest.fixture(scope="session")
def sample_file(tmp_path_factory, empty_file, sample):
    """The file of a notebook with the sample, to be copied."""
    path = tmp_path_factory.mktemp("taken") / "notebook.db"
    shutil.copyfile(empty_file, path)
    kept = open_notebook(f"sqlite:///{path}")
    take_in(kept, sample[1])
    kept.close()
    return path


@pytest.fixture(autouse=True)
def _sample_is_known(sample, monkeypatch):
    def known_or_made(rig, units):
        return sample[2].get((rig.sources, units.distance)) or kept_answer(rig, units)

    monkeypatch.setattr(web_app, "Answers", lambda: Answers(known_or_made))


@pytest.fixture
def notebook(request, tmp_path):
    """Empty, or with the sample for whoever asks for ``rig_id``."""
    like = "sample_file" if "rig_id" in request.fixturenames else "empty_file"
    shutil.copyfile(request.getfixturevalue(like), tmp_path / "notebook.db")
    kept = open_notebook(f"sqlite:///{tmp_path}/notebook.db")
    yield kept
    kept.close()


@pytest.fixture
def client(notebook):
    """A browser without scripts; it does not follow where a form leads."""
    app = build_app(notebook, RULES)
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as browser:
        yield browser


@pytest.fixture
def rig_id(notebook, sample):
    """The invented sample rig with its arrows."""
    return notebook.entry(sample[0]).id


@pytest.fixture
def address(notebook):
    """The app on a free port of this machine, and its notebook."""
    app = build_app(notebook, RULES)
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run)
    thread.start()
    until = time.monotonic() + WAIT_S
    while not server.started and time.monotonic() < until:
        time.sleep(0.05)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield f"http://127.0.0.1:{port}", notebook
    server.should_exit = True
    thread.join()
