"""Archive: everything as one file and back, and one rig's own files.

Holds:  /archive, its download and upload, the check; /rigs/{rig_id}/files and each of them.
Never:  how archives are checked and taken in (storage).
"""

import json
from dataclasses import replace

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_house import house_in
from tapewright.faces.notebook_check import checked_lines
from tapewright.faces.web.api.notebook import took
from tapewright.faces.web.forms import Form
from tapewright.faces.web.group_form import free_name
from tapewright.faces.web.page_request import At, Files, attachment
from tapewright.ground.errors import BadInput
from tapewright.questions.fit import calibration_json
from tapewright.reading.shots_writer import shots_text
from tapewright.services.keep import KeptRig, kept_as
from tapewright.services.move_notebook import archive_text, check_notebook
from tapewright.services.record_groups import Observation

ROUTER = APIRouter(include_in_schema=False)


@ROUTER.get("/archive")
def archive_page(at: At) -> Response:
    """Take everything home, or bring it back."""
    return at.page("archive.html", form=Form(), counts=None)


@ROUTER.get("/archive/download")
def download(at: At) -> Response:
    """Everything that is kept."""
    return _file(archive_text(at.notebook), f"tapewright-{at.today}.json")


@ROUTER.post("/archive")
def upload(at: At, files: Files) -> Response:
    """Take an archive in, all of it or nothing."""
    form, counts = Form({"file": ""}), None
    name, sent = files.get("file", ("", b""))
    if name or sent:
        counts = form.read("", lambda: took(at, sent), None)
    else:
        form.refuse("file", BadInput("file", "no file was chosen", "Choose one"))
    return at.page("archive.html", form=form, counts=counts)


@ROUTER.get("/archive/check")
def check_page(at: At) -> Response:
    """Whether every row of the notebook is as it was written."""
    return at.page("check.html", lines=checked_lines(check_notebook(at.notebook)))


@ROUTER.get("/rigs/{rig_id}/files")
def files_page(at: At, rig_id: str) -> Response:
    """The files of one rig."""
    changes, house = at.notebook.entries("change", rig_id), house_in(at.notebook)
    return at.page("files.html", rig=at.rig(rig_id), changes=changes, house=house)


@ROUTER.get("/rigs/{rig_id}/files/sheet.toml")
def sheet_file(at: At, rig_id: str) -> Response:
    """The rig sheet, exactly as it was written."""
    body = kept_as(at.rig(rig_id), KeptRig)
    return _file(body.sheet, f"{body.name}.toml")


@ROUTER.get("/rigs/{rig_id}/files/shots.csv")
def shots_file(at: At, rig_id: str) -> Response:
    """The groups that calibrate the rig as it stands, an arrow a row."""
    name = kept_as(at.rig(rig_id), KeptRig).name
    shot = _named_apart(at.kept(rig_id).observations)
    if not shot:
        wrong = "no group calibrates this rig as it stands"
        raise BadInput("shots", wrong, "Shoot one first, or take the archive of this rig")
    return _file(shots_text(shot, at.units), f"{name}-shots.csv")


@ROUTER.get("/rigs/{rig_id}/files/calibration.json")
def calibration_file(at: At, rig_id: str) -> Response:
    """The calibration, as ``fit --json`` writes it."""
    at.rig(rig_id)
    answer = at.answer(rig_id)
    text = json.dumps(calibration_json(answer, at.units), indent=1, ensure_ascii=False)
    return _file(text, f"{answer.rig.name}-calibration.json")


@ROUTER.get("/rigs/{rig_id}/files/archive.json")
def rig_archive(at: At, rig_id: str) -> Response:
    """Everything of this rig, to be taken in elsewhere."""
    name = kept_as(at.rig(rig_id), KeptRig).name
    return _file(archive_text(at.notebook, (rig_id,)), f"{name}-archive.json")


def _file(text: str, name: str) -> Response:
    """A text to be saved."""
    kinds = {"csv": "text/csv", "json": "application/json", "toml": "application/toml"}
    return Response(text, 200, attachment(name), kinds[name.rpartition(".")[2]])


def _named_apart(shot: tuple[Observation, ...]) -> tuple[Observation, ...]:
    """Groups whose names are all different; the file tells groups apart by them."""
    taken: list[str] = []
    for one in shot:
        taken.append(free_name(one.group.name, taken))
    named = zip(shot, taken, strict=True)
    return tuple(replace(one, group=replace(one.group, name=name)) for one, name in named)
