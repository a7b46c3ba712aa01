"""Archive: everything as one file and back, and one rig's own files.

Holds:  /archive, its download and upload, the check; /rigs/{rig_id}/files and each of them.
Never:  how archives are checked and taken in (storage).
"""

import json
from dataclasses import replace

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.notebook_check import checked_lines
from tapewright.faces.web.api.kept_things import took
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Files, PageRequest, attachment
from tapewright.ground.errors import BadInput
from tapewright.questions.fit import calibration_json
from tapewright.reading.shots import shots_text
from tapewright.services.keep import KeptRig, kept_as
from tapewright.services.move_notebook import archive_text, check_notebook
from tapewright.services.record_groups import Observation

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/archive")
def archive_page(at: At) -> Response:
    """Take everything home, or bring it back."""
    return _page(at, Form())


@ROUTER.get("/archive/download")
def download(at: At) -> Response:
    """Everything that is kept."""
    headers = attachment(f"tapewright-{at.today}.json")
    return Response(archive_text(at.notebook), 200, headers, "application/json")


@ROUTER.post("/archive")
def upload(at: At, files: Files) -> Response:
    """Take an archive in, all of it or nothing."""
    form = Form({"file": ""})
    name, sent = files.get("file", ("", b""))
    if not name and not sent:
        form.refuse("file", BadInput("file", "no file was chosen", "Choose one"))
        return _page(at, form)
    counts = form.read("", lambda: took(at, sent), None)
    return _page(at, form, counts)


@ROUTER.get("/archive/check")
def check_page(at: At) -> Response:
    """Whether every row of the notebook is as it was written."""
    checked = check_notebook(at.notebook)
    return at.page("check.html", checked=checked, lines=checked_lines(checked))


@ROUTER.get("/rigs/{rig_id}/files")
def files_page(at: At, rig_id: str) -> Response:
    """The files of one rig."""
    rig = at.rig(rig_id)
    kept = len(at.notebook.entries("change", rig_id))
    return at.page("files.html", rig=rig, changes=kept)


@ROUTER.get("/rigs/{rig_id}/files/sheet.toml")
def sheet_file(at: At, rig_id: str) -> Response:
    """The rig sheet, exactly as it was written."""
    body = kept_as(at.rig(rig_id), KeptRig)
    return Response(body.sheet, 200, attachment(f"{body.name}.toml"), "application/toml")


@ROUTER.get("/rigs/{rig_id}/files/shots.csv")
def shots_file(at: At, rig_id: str) -> Response:
    """The groups that calibrate the rig as it stands, an arrow a row."""
    name = kept_as(at.rig(rig_id), KeptRig).name
    shot = _named_apart(at.kept(rig_id).observations)
    if not shot:
        wrong = "no group calibrates this rig as it stands"
        raise BadInput("shots", wrong, "Shoot one first, or take the archive of this rig")
    text = shots_text(shot, at.units)
    return Response(text, 200, attachment(f"{name}-shots.csv"), "text/csv")


@ROUTER.get("/rigs/{rig_id}/files/calibration.json")
def calibration_file(at: At, rig_id: str) -> Response:
    """The calibration, as ``fit --json`` writes it."""
    at.rig(rig_id)
    answer = at.answer(rig_id)
    text = json.dumps(calibration_json(answer, at.units), indent=1, ensure_ascii=False)
    headers = attachment(f"{answer.rig.name}-calibration.json")
    return Response(text, 200, headers, "application/json")


@ROUTER.get("/rigs/{rig_id}/files/archive.json")
def rig_archive(at: At, rig_id: str) -> Response:
    """Everything of this rig, to be taken in elsewhere."""
    name = kept_as(at.rig(rig_id), KeptRig).name
    text = archive_text(at.notebook, (rig_id,))
    return Response(text, 200, attachment(f"{name}-archive.json"), "application/json")


def _page(at: PageRequest, form: Form, counts: dict[str, int] | None = None) -> Response:
    status = 200 if form.is_good else 422
    return at.page("archive.html", status=status, form=form, counts=counts)


def _named_apart(shot: tuple[Observation, ...]) -> tuple[Observation, ...]:
    """Groups whose names are all different; the file tells groups apart by them."""
    taken: set[str] = set()
    apart = []
    for one in shot:
        name, number = one.group.name, 2
        while name in taken:
            name, number = f"{one.group.name} {number}", number + 1
        taken.add(name)
        apart.append(replace(one, group=replace(one.group, name=name)))
    return tuple(apart)
