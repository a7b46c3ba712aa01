"""The API does as its own description says, whatever is sent: a foreign generator of requests asks.

What is left out of its checks: that whatever fits the description is taken. A description cannot
say what makes a rig sheet, a distance or an archive right; refusals of those are documented.
"""

import hypothesis
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi import checks as openapi
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import open_notebook

CHECKED = (
    openapi.status_code_conformance,
    openapi.content_type_conformance,
    openapi.response_headers_conformance,
    openapi.response_schema_conformance,
    openapi.negative_data_rejection,
    openapi.unsupported_method,
    not_a_server_error,
)
ALWAYS, LONG = 2, 200  # requests of each kind to each address
REFUSED = ["400", "404", "409", "413", "415", "422"]  # 413: a sheet too long is not even read
HOST = "http://127.0.0.1"


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """An app with the sample rig, and what stands in its addresses."""
    notebook = open_notebook(f"sqlite:///{tmp_path_factory.mktemp('api')}/notebook.db")
    app = build_app(notebook, Rules(frozenset({"127.0.0.1", "localhost", "testserver"})))
    browser = TestClient(app, base_url=HOST, follow_redirects=False)
    rig_id = browser.post("/sample").headers["location"].rpartition("/")[2]
    sheet = browser.get(f"/api/rigs/{rig_id}").json()["sheet"]
    changed = {"sheet": sheet, "seen": 1, "words": "nothing"}
    made = {
        "/sessions": browser.get(f"/api/rigs/{rig_id}/sessions").json()[0],
        "/groups": browser.get(f"/api/rigs/{rig_id}/groups").json()[0],
        "/changes": browser.post(f"/api/rigs/{rig_id}/changes", json=changed).json(),
        "/printers": browser.post(
            "/api/printers", json={"name": "Desk", "across_mm": 99.6, "down_mm": 100.1}
        ).json(),
    }
    ids = {"rig_id": rig_id, **{part: one["id"] for part, one in made.items()}}
    yield app, ids
    notebook.close()


def real(path, ids):
    """Ids of what is kept, for the parts of an address that name it."""
    parts = {"rig_id": ids["rig_id"], "session_id": ids["/sessions"]}
    kind = next((one for one in ids if f"{one}/{{entry_id}}" in path), None)
    parts |= {"entry_id": ids[kind]} if kind else {}
    return {name: one for name, one in parts.items() if f"{{{name}}}" in path}


def ask_all(kept, most):
    app, ids = kept
    refused = {"negative_data_rejection": {"expected-statuses": REFUSED}}
    config = schemathesis.Config.from_dict({"checks": refused})
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, config=config)
    asked = 0
    for found in schema.get_all_operations():
        operation = found.ok()
        for mode in GenerationMode:
            parts = real(operation.path, ids) if mode is GenerationMode.POSITIVE else {}
            more = {"path_parameters": parts} if parts else {}

            @hypothesis.settings(
                max_examples=most, deadline=None, database=None, derandomize=True,
                suppress_health_check=list(HealthCheck), phases=[Phase.generate],
            )  # fmt: skip
            @hypothesis.given(case=operation.as_strategy(mode, **more))
            def ask(case):
                nonlocal asked
                asked += 1
                case.call_and_validate(checks=CHECKED)

            try:
                ask()
            except Unsatisfiable:  # nothing that is wrong can be sent there
                assert mode is GenerationMode.NEGATIVE, operation.label
    return asked


def test_every_address_does_as_described(kept):
    assert ask_all(kept, ALWAYS) > 200


@pytest.mark.long
def test_every_address_does_as_described_over_and_over(kept):
    assert ask_all(kept, LONG) > 10_000
