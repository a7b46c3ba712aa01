"""Page request: who asks, what the app holds for all of them, and how a page goes back.

Holds:  the AppState that all requests share; the PageRequest of one; wishes from cookies.
Never:  what a page says.
"""

from collections.abc import AsyncIterator, Callable, Mapping
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from threading import Lock
from typing import Annotated, Any, Literal
from urllib.parse import parse_qsl, quote, urlencode

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment
from starlette.datastructures import FormData, UploadFile

from tapewright.faces.kept_rigs import Kept, keep_calibration, kept_answer, kept_rig
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.kept_tapes import tapes_of
from tapewright.faces.settings import new_id, today
from tapewright.ground.checks import is_day
from tapewright.ground.errors import BadInput, TapewrightError
from tapewright.services.calibrate_kept import Answer
from tapewright.services.keep import Entry, KeptRig, Notebook, kept_as
from tapewright.services.refit_kept import ask_for_refits
from tapewright.services.stick_tape import Scales, Tape
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import IMPERIAL, METRIC, Units

Theme = Literal["auto", "sun", "dark"]
MOST_FIELDS, MOST_FILES = 1000, 100  # a picture a code: a weekend fills dozens of codes
MOST_CALIBRATIONS = 64
YEAR_S = 365 * 86_400
PLACE, MOST_PLACE = ("butt", "distances", "walk"), 500  # what a plan remembers of the range
PATIENCE_S = 30.0  # for a calibration that another page began


class Answers:
    """The last calibrations, by the versions they were made from and the units they are read in."""

    def __init__(self, make: Callable[[Kept, Units], Answer] = kept_answer) -> None:
        self._make = make
        self._lately: dict[tuple[Kept, Units], Answer] = {}  # the one asked for last stands last
        self._under_way: dict[tuple[Kept, Units], Future[Answer]] = {}
        self._in_order = Lock()

    def of(self, kept: Kept, units: Units) -> Answer:
        """Calibration of a kept rig, made now if nobody asked lately, and once for all who ask."""
        answer = self._lately.get((kept, units)) or self._made(kept, units)
        with self._in_order:
            self._lately.pop((kept, units), None)
            self._lately[kept, units] = answer
            if len(self._lately) > MOST_CALIBRATIONS:
                del self._lately[next(iter(self._lately))]
        return answer

    def _made(self, kept: Kept, units: Units) -> Answer:
        """A calibration made now; whoever comes meanwhile waits for the same one."""
        mine: Future[Answer] = Future()
        first = self._under_way.setdefault((kept, units), mine)
        if first is not mine:
            with suppress(TimeoutError, TapewrightError):
                return first.result(timeout=PATIENCE_S)
            return self._make(kept, units)
        try:
            mine.set_result(answer := self._make(kept, units))
        except BaseException as refused:
            mine.set_exception(refused)
            raise
        finally:
            del self._under_way[kept, units]
        return answer

    def forget(self) -> None:
        """Forget every calibration made lately."""
        with self._in_order:
            self._lately.clear()

    def is_known(self, kept: Kept, units: Units) -> bool:
        """Whether it was made lately, so that to ask for it takes no time."""
        return (kept, units) in self._lately


@dataclass(frozen=True, slots=True)
class AppState:
    """What all requests share."""

    notebook: Notebook  # what is kept
    sheets: Environment  # the templates
    answers: Answers  # calibrations made lately


class PageRequest:
    """One request, with everything a page needs."""

    def __init__(self, request: Request) -> None:
        self.request = request
        self.app_state: AppState = request.app.state.app_state
        self.notebook: Notebook = self.app_state.notebook
        self._tapes: dict[str, Mapping[Scales, Tape]] = {}
        cookies = request.cookies
        self.units: Units = METRIC if cookies.get("units") == "metric" else IMPERIAL
        theme = cookies.get("theme", "auto")
        said = dict(parse_qsl(cookies.get("place", "")[:MOST_PLACE]))
        self.place = {name: said[name] for name in PLACE if name in said}
        self.theme: Theme = theme if theme in ("sun", "dark") else "auto"  # type: ignore[assignment]

    @property
    def now(self) -> datetime:
        """The time, with its zone."""
        return datetime.now(UTC)

    @property
    def today(self) -> str:
        """The date where the program runs."""
        return today()

    def past_day(self, day: str, place: str) -> str:
        """A day as year-month-day, refused if it has not come anywhere on earth yet."""
        if is_day(day) and day > (date.fromisoformat(self.today) + timedelta(days=1)).isoformat():
            mend = f"Write the day it was, as year-month-day, {self.today}"
            raise BadInput(place, f"{quoted(day)} has not come yet", mend)
        return day

    def page(self, name: str, **things: Any) -> HTMLResponse:  # noqa: ANN401 — whatever the template needs
        """Page from a template; faults of its form, or what is newer, tell an unsaid status."""
        form = things.get("form")
        usual = 409 if things.get("newer") else 422 if form and not form.is_good else 200
        sheet, rig = self.app_state.sheets.get_template(name), things.get("rig")
        stops = kept_stops(rig) if isinstance(rig, Entry) else ()
        text = sheet.render(at=self, units=self.units, theme=self.theme, stops=stops, **things)
        return HTMLResponse(text, things.get("status") or usual)

    def remember_place(self, answer: Response, said: Mapping[str, str]) -> None:
        """Let this browser plan for a range, whatever the rig, until another one is said."""
        there = {name: said[name] for name in PLACE if said.get(name)}
        if not there:
            answer.delete_cookie("place")
        elif len(text := urlencode(there)) <= MOST_PLACE:
            answer.set_cookie("place", text, YEAR_S, httponly=True, samesite="lax")

    def go(self, address: str) -> Response:
        """Answer to a form that was taken: look there now."""
        return RedirectResponse(address, 303)

    def changed(self, rig_id: str, page: str = "") -> Response:
        """Answer to a form that changed a rig: calibrated anew; look at a page of it now."""
        self.recalibrate(rig_id)
        return self.go(f"/rigs/{rig_id}{page}")

    @property
    def way(self) -> str:
        """What is done to a thing, as the address ends: ``withdraw`` or ``restore``."""
        return self.request.url.path.rpartition("/")[2]

    def mark(self, entry_id: str, seen: int) -> None:
        """Put a thing aside or take it back, as the address says."""
        ways = {"withdraw": self.notebook.withdraw, "restore": self.notebook.restore}
        ways[self.way](entry_id, seen=seen, now=self.now)

    def rig(self, rig_id: str) -> Entry:
        """The kept rig of an address."""
        entry = self.notebook.entry(rig_id)
        kept_as(entry, KeptRig)
        return entry

    def kept(self, rig_id: str) -> Kept:
        """All of a rig that a calibration is made from."""
        return kept_rig(self.notebook, rig_id)

    def answer(self, rig_id: str, units: Units | None = None) -> Answer:
        """Calibration of a kept rig as it stands, in these units or the reader's."""
        return self.app_state.answers.of(self.kept(rig_id), units or self.units)

    def tapes(self, rig_id: str) -> Mapping[Scales, Tape]:
        """Tapes that were stuck on, by the scale that each is."""
        if rig_id not in self._tapes:
            kept = tapes_of(self.notebook, rig_id)
            self._tapes[rig_id] = {one.tape.scales: one.tape for one in kept}
        return self._tapes[rig_id]

    def recalibrate_all(self) -> None:
        """Have every rig calibrated in the background, after what all of them hang on changed."""
        ask_for_refits(self.notebook, self.now, new_id)
        self.request.app.state.background.wake()

    def recalibrate(self, rig_id: str) -> None:
        """Calibrate after something changed and keep it; a page tells why if it cannot be."""
        try:
            kept = self.kept(rig_id)
            answer = self.app_state.answers.of(kept, self.units)
        except TapewrightError:
            return
        entry = keep_calibration(
            self.notebook, rig_id, kept, answer, new_id(), self.now, self.units
        )
        if entry is not None:
            self.request.app.state.background.plan(entry, answer, self.units)


def attachment(name: str) -> dict[str, str]:
    """Header that saves what is sent under a name."""
    return {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}"}


async def _sent(request: Request) -> AsyncIterator[FormData]:
    """The form, read once for all who ask; its files are closed when the answer stands."""
    form = await request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS)
    try:
        yield form
    finally:
        await form.close()


_Sent = Annotated[FormData, Depends(_sent)]


async def _fields(form: _Sent) -> dict[str, str]:
    return {_whole(name): _whole(one) for name, one in form.items() if isinstance(one, str)}


def _whole(text: str) -> str:
    """Text without half characters, which some encodings smuggle in."""
    return text.encode(errors="replace").decode()


async def _files(form: _Sent) -> dict[str, tuple[str, bytes]]:
    return {
        name: (value.filename or "", await value.read())
        for name, value in form.items()
        if isinstance(value, UploadFile)
    }


async def _files_in_order(form: _Sent) -> list[tuple[str, bytes]]:
    return [
        (value.filename or "", await value.read())
        for _, value in form.multi_items()
        if isinstance(value, UploadFile)
    ]


At = Annotated[PageRequest, Depends(PageRequest)]
Fields = Annotated[dict[str, str], Depends(_fields)]
Files = Annotated[dict[str, tuple[str, bytes]], Depends(_files)]
FilesInOrder = Annotated[list[tuple[str, bytes]], Depends(_files_in_order)]  # several of a name
