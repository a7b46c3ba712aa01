"""All rigs calibrated anew in the background."""

import datetime as dt
import time

import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.background_jobs import Background
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import KeptRig

NOW = dt.datetime(2026, 11, 25, tzinfo=dt.UTC)


def until_done(client):
    """Wait for the background, as a person would who looks at the page."""
    for _ in range(300):
        page = client.get("/refits").text
        if "Nothing is waiting" in page:
            return page
        time.sleep(0.05)
    raise AssertionError("the background never finished")


def test_refit_all_calibrates_in_the_background_and_says_which_could_not(client, notebook, rig_id):
    broken = f"{7:020x}"
    notebook.add(KeptRig("no sheet", "Wren"), entry_id=broken, now=NOW)
    for one in notebook.entries("calibration", rig_id):
        notebook.withdraw(one.id, seen=1, now=NOW)
    assert client.post("/refits").headers["location"] == "/refits"
    page = until_done(client)
    assert "Could not be refitted" in page
    assert f'href="/rigs/{broken}"' in page
    assert "Wren" in page
    assert rig_id not in page
    assert notebook.newest("calibration", rig_id).body.arrows == 40


def test_asked_twice_a_rig_is_refitted_once_and_keeps_its_calibration(client, notebook, rig_id):
    for _ in range(2):
        client.post("/refits")
    until_done(client)
    assert len(notebook.entries("calibration", rig_id)) == 1


@pytest.mark.usefixtures("rig_id")
def test_two_workers_over_one_notebook_share_the_rigs(client, notebook):
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    with TestClient(app, base_url="http://127.0.0.1") as other:
        client.post("/refits")
        until_done(other)
    jobs = notebook.entries("job", withdrawn=True)
    assert [one.body.state for one in jobs] == ["done"]


def test_the_background_looks_for_work_that_nobody_told_it_of(notebook):
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    asleep = TestClient(app, base_url="http://127.0.0.1")  # never began to serve
    asleep.post("/sample")
    asleep.post("/refits")
    worker = Background(notebook, look_every_s=0.05)
    worker.start()
    until_done(asleep)
    worker.stop()
