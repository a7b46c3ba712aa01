"""Background jobs: a thread of each web worker for what no page should wait for.

It plans the next shot after each new calibration, and refits rigs when somebody asked for that.
Every worker looks for refits, so several of them over one notebook share the work; the notebook
gives each job to one of them only.

Holds:  the Background thread, which is woken by a page and else looks now and then.
Never:  what a refit is (faces/kept_rigs.py), pages.
"""

import logging
import os
import socket
from contextlib import suppress
from datetime import UTC, datetime
from functools import partial
from queue import Empty, SimpleQueue
from threading import Event, Thread

from tapewright.faces.kept_rigs import keep_next_shot, refit_rig
from tapewright.faces.settings import new_id
from tapewright.ground.errors import EditedMeanwhile, NotebookUnusable, NotKept
from tapewright.services.calibrate_kept import Answer
from tapewright.services.keep import Entry, Notebook
from tapewright.services.refit_kept import work_off
from tapewright.words.unit_system import IMPERIAL, Units

LOG = logging.getLogger("tapewright.web")
LOOK_EVERY_S = 5.0
FINISH_S = 30.0
PAGE_FIRST_S = 0.5  # whoever kept something wants to see its page before its plan


def _now() -> datetime:
    return datetime.now(UTC)


class Background:
    """Works refits off until it is stopped."""

    def __init__(self, notebook: Notebook, look_every_s: float = LOOK_EVERY_S) -> None:
        self._notebook = notebook
        self._look_every_s = look_every_s
        self._told, self._stopping = Event(), Event()
        self._plans: SimpleQueue[tuple[Entry, Answer, Units]] = SimpleQueue()
        self._worker = f"{socket.gethostname()} {os.getpid()}"
        self._thread = Thread()

    def start(self) -> None:
        """Begin to look for work; it may be stopped and begun again."""
        self._stopping.clear()
        self._thread = Thread(target=self._work, name="background", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Look at once."""
        self._told.set()

    def plan(self, calibration: Entry, answer: Answer, units: Units) -> None:
        """Add what to shoot next to a calibration just kept."""
        self._plans.put((calibration, answer, units))
        self.wake()

    def stop(self) -> None:
        """Finish the rig in hand and end; one that takes long ends with the program."""
        self._stopping.set()
        self._told.set()
        self._thread.join(FINISH_S)

    def _work(self) -> None:
        refit = partial(refit_rig, self._notebook, units=IMPERIAL, clock=_now, new_id=new_id)
        refit_one = partial(work_off, self._notebook, refit, self._worker, _now, most=1)
        while not self._stopping.is_set():
            with suppress(NotebookUnusable):  # told by every page; tried again later
                self._plan_all()
                while not self._stopping.is_set() and refit_one() > 0:
                    pass
            self._told.wait(self._look_every_s)
            self._told.clear()

    def _plan_all(self) -> None:
        """Plan for every calibration that waits, once its page had time to be shown."""
        while not (self._plans.empty() or self._stopping.wait(PAGE_FIRST_S)):
            try:
                calibration, answer, units = self._plans.get_nowait()
            except Empty:
                return
            with suppress(EditedMeanwhile, NotKept):  # put aside or erased before it was made
                keep_next_shot(self._notebook, calibration, answer, _now(), units)
