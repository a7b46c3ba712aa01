"""Kept stops: why a kept rig must not be shot, worked out once and kept beside its name.

What the notebook keeps holds for one version of a sheet and for the program that worked it out,
to the last byte of its source: whatever else is found is worked out anew, so that no STOP is
missing because a limit was another one then.

Holds:  the lines of a kept rig; the same as a text that the notebook keeps; which program wrote it.
Never:  when a stop stands (services/stops.py), its words (words/stops.py).
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import tapewright
from tapewright.ground.errors import NotebookUnusable, TapewrightError
from tapewright.services.keep import Entry, KeptRig, Notebook, kept_as

if TYPE_CHECKING:
    from tapewright.services.equip import Rig


def _program() -> str:
    """Version of the program and a hash of its source, for limits change between versions, too."""
    source = sha256()
    for file in sorted(Path(tapewright.__file__).parent.rglob("*.py")):
        source.update(file.read_bytes())
    return f"{tapewright.__version__} {source.hexdigest()[:16]}"


PROGRAM = _program()  # as it begins: a later one may lie there when the first list is asked for


@lru_cache(maxsize=256)
def read_once(sheet: str, name: str) -> "Rig":
    """Rig of a sheet, which says the same whenever it is read."""
    from tapewright.reading.rig_sheet import read_rig_sheet  # noqa: PLC0415 — most commands read none

    return read_rig_sheet(sheet, name)[0]


def kept_stops(entry: Entry) -> tuple[str, ...]:
    """Why a kept rig must not be shot, a line each; a sheet that cannot be read stops by itself."""
    kept = kept_as(entry, KeptRig)
    told = _told(entry.verdict)
    return _worked_out(kept) if told is None else told


def stops_verdict(kept: KeptRig) -> str:
    """The same as a text for the notebook to keep."""
    return json.dumps([PROGRAM, *_worked_out(kept)], ensure_ascii=False)


def with_stops(notebook: Notebook, rigs: Sequence[Entry]) -> tuple[Entry, ...]:
    """Rigs with their verdicts; those of another program, or not kept yet, are kept from now on."""
    found = [
        one if _told(one.verdict) is not None
        else replace(one, verdict=stops_verdict(kept_as(one, KeptRig)))
        for one in rigs
    ]  # fmt: skip
    new = [one for one, before in zip(found, rigs, strict=True) if one is not before]
    if new and not notebook.is_read_only:
        with suppress(NotebookUnusable):  # a full disk must not hide a list
            notebook.keep_verdicts(new)
    return tuple(found)


def _worked_out(kept: KeptRig) -> tuple[str, ...]:
    from tapewright.words.stops import stop_lines  # noqa: PLC0415 — as above

    try:
        return stop_lines(read_once(kept.sheet, kept.name))
    except TapewrightError:
        return ()


def _told(verdict: str) -> tuple[str, ...] | None:
    """Lines of a verdict; None if there is none, or another program passed it."""
    if not verdict:
        return None
    program, *lines = _parts(verdict)
    return tuple(lines) if program == PROGRAM else None


@lru_cache(maxsize=1024)  # most rigs of a list are told alike
def _parts(verdict: str) -> tuple[str, ...]:
    return tuple(json.loads(verdict))
