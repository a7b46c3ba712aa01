"""Refit work: one kept rig calibrated anew and its calibration kept, in the background.

Holds:  the errand that a worker of ``services.refit_kept`` is given.
Never:  jobs, threads, pages.
"""

from collections.abc import Callable
from datetime import datetime

from tapewright.faces.kept_rigs import keep_calibration, keep_next_shot, kept_answer, kept_rig
from tapewright.services.keep import Notebook
from tapewright.words.answer import trust_words
from tapewright.words.units import Units


def refit_rig(
    notebook: Notebook,
    rig_id: str,
    units: Units,
    clock: Callable[[], datetime],
    new_id: Callable[[], str],
) -> str:
    """Calibrate a kept rig and keep the answer, unless the same one was kept last."""
    kept = kept_rig(notebook, rig_id)
    answer = kept_answer(kept, units)
    entry = keep_calibration(notebook, rig_id, kept, answer, new_id(), clock(), units)
    if entry is not None:
        keep_next_shot(notebook, entry, answer, clock(), units)
    return trust_words(answer, units)
