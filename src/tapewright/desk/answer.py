"""Answer: a calibration as a notebook shows it: a line, a table, a frame, a picture.

Holds:  the Answer record of the front door.
Never:  what is said of a calibration (words), how a picture is drawn (faces/pictures.py).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from html import escape
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.checks import (
    Amount,
    checked_choice,
    checked_count,
    checked_number,
    with_article,
)
from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.services import calibrate as calibrated
from tapewright.services.stops import refuse_stopped
from tapewright.words.answer import shot_words, trust_words
from tapewright.words.cautions import all_cautions
from tapewright.words.stops import stop_lines
from tapewright.words.units import IMPERIAL, METRIC

MOST_ROWS = 30  # of a table in a notebook; what is left out is said
HEADS = ("distance, m", "mark, mm", "from", "to", "impact from, cm", "to", "trusted")
AT = Amount(2.0, 150.0, "metres", "50.0")  # of the target of a picture
DIGITS = (1, 2, 2, 2, 1, 1)


@dataclass(frozen=True, eq=False, repr=False)
class Answer(calibrated.Answer):
    """A calibration with everything that may be said of it, all in SI.

    ``rig``, ``observations`` and ``fingerprint`` say what it was made from; ``bands`` are the
    marks asked for; ``posterior`` holds the draws; ``trusted_m`` how far each pin is trusted, 0
    for nothing; ``estimates`` the unknowns; ``groups`` each group against the fit; ``cautions``
    what speaks against it; ``stops`` why the set-up must not be shot.

    Example
    -------
    >>> from tapewright.api import Arrow, Belief, Rig, calibrate
    >>> rig = Rig("Heron", Arrow(mass_kg=Belief(0.0272), shaft_diameter_m=0.006))
    >>> answer = calibrate(rig, (), [20.0, 50.0])
    >>> answer
    <Answer of Heron: 0 groups, 2 marks from 20 to 50 m, nothing trusted>
    >>> list(answer.marks_frame(dict))[:2]
    ['distance_m', 'reading_m']
    """

    def __repr__(self) -> str:
        groups = f"{len(self.observations)} group{'s' * (len(self.observations) != 1)}"
        marks = repr(self.bands).removeprefix("<Bands: ").partition(",")[0]
        trusted = (
            f"trusted to {self.trusted_m[0]:.1f} m" if self.trusted_m[0] else "nothing trusted"
        )
        stop = "STOP, must not be shot; " if self.stops else ""
        return f"<Answer of {self.rig.name}: {stop}{groups}, {marks}, {trusted}>"

    def marks_frame(
        self,
        into: Callable[[Mapping[str, NDArray[Any]]], Any] | None = None,
        pin: int = 1,
    ) -> Any:  # noqa: ANN401 — a frame of any library
        """The marks with their bands as a data frame, a row for each distance.

        Parameters
        ----------
        into : callable, optional
            Makes a frame of a mapping of columns, as ``polars.DataFrame`` or ``dict``; absent:
            ``pandas.DataFrame``.
        pin : int, default 1
            Which pin is aimed with. [-]

        Returns
        -------
        data frame
            ``distance_m``, ``reading_m``, ``low_m``, ``high_m``, ``impact_low_m``,
            ``impact_high_m`` and ``is_trusted``.

        Raises
        ------
        BadInput
            If there is no such pin, or pandas is wanted and not installed.
        """
        number = checked_count("marks_frame, pin", pin, 1, len(self.trusted_m))
        if into is None:
            try:
                into = import_module("pandas").DataFrame
            except ImportError:
                mend = "Install it, or name what shall hold the columns, as marks_frame(dict)"
                raise BadInput("marks_frame", "pandas is not installed", mend) from None
        if not callable(into):
            mend = "Give what makes a frame of a dict of columns, such as polars.DataFrame"
            raise BadInput(
                "marks_frame, into", f"{with_article(type(into).__name__)} makes no frame", mend
            )
        marks = self.bands if number == 1 else calibrated.pin_bands(self, number)
        names = ("distance_m", "reading_m", "low_m", "high_m", "impact_low_m", "impact_high_m")
        columns: dict[str, NDArray[Any]] = {name: getattr(marks, name).copy() for name in names}
        columns["is_trusted"] = marks.distance_m <= self.trusted_m[number - 1]
        return into(columns)

    def plot(
        self,
        axes: Any = None,  # noqa: ANN401 — an optional library's own
        what: str = "marks",
        distance_m: float = 50.0,
        *,
        metric: bool = True,
    ) -> Any:  # noqa: ANN401 — as above
        """Draw a picture of the calibration with matplotlib.

        Parameters
        ----------
        axes : matplotlib Axes, optional
            Where to draw; absent: a new figure.
        what : str, default "marks"
            ``"marks"``, ``"flight"``, ``"slopes"`` or ``"budget"``.
        distance_m : float, default 50
            Of the target, for flight and budget. [m]
        metric : bool, default True
            Metres and centimetres; False: yards and inches.

        Returns
        -------
        matplotlib Axes
            What was drawn on.

        Raises
        ------
        MissingExtra
            If matplotlib is not installed.
        Withheld
            If the set-up must not be shot.
        """
        checked_choice("plot, what", what, ("marks", "flight", "slopes", "budget"))
        at_m = checked_number("plot, distance_m", distance_m, AT)
        if axes is not None and not hasattr(axes, "plot"):
            mend = "Give matplotlib's Axes, or leave it out for a figure of its own"
            raise BadInput(
                "plot, axes", f"{with_article(type(axes).__name__)} cannot be drawn on", mend
            )
        try:
            plotter = import_module("matplotlib.pyplot")
        except ImportError:
            raise MissingExtra("A picture", "pictures") from None
        pictures = import_module("tapewright.faces.pictures")
        refuse_stopped(self.rig)
        with plotter.rc_context(pictures.STYLE):
            if axes is None:
                _, axes = plotter.subplots(figsize=(8.0, 4.8), layout="constrained")
            pictures.PICTURES[what](axes, self, at_m, METRIC if metric else IMPERIAL)
        return axes

    def _repr_html_(self) -> str:
        """The marks and what is said of them, as a notebook shows it; no marks under a STOP."""
        head = f"<p><b>{escape(self.rig.name)}</b>: {escape(shot_words(self))}.</p>"
        stops = "".join(f"<p><b>{escape(line)}</b></p>" for line in stop_lines(self.rig))
        if stops:
            return f"<div>{head}{stops}</div>"
        told = (trust_words(self, METRIC), *all_cautions(self, METRIC))
        said = "".join(f"<p>{escape(line)}</p>" for line in told)
        return f"<div>{head}{self._table()}{said}</div>"

    def _table(self) -> str:
        marks, trusted_m = self.bands, self.trusted_m[0]
        columns = (marks.reading_m, marks.low_m, marks.high_m)
        impacts = (marks.impact_low_m, marks.impact_high_m)
        table = np.stack([marks.distance_m, *(1e3 * one for one in columns),
                          *(1e2 * one for one in impacts)], axis=1)  # fmt: skip
        every = max(1, -(-len(table) // MOST_ROWS))
        rows = "".join(_row(row, is_trusted=bool(row[0] <= trusted_m)) for row in table[::every])
        heads = "".join(f"<th>{head}</th>" for head in HEADS)
        left = f"<p>One mark in {every} of {len(table)}; all are in marks_frame().</p>"
        return f"<table><tr>{heads}</tr>{rows}</table>{left if every > 1 else ''}"


def _row(row: NDArray[np.float64], *, is_trusted: bool) -> str:
    """One mark; what is not trusted stands grey and says so."""
    cells = "".join(f"<td>{one:.{digits}f}</td>" for one, digits in zip(row, DIGITS, strict=True))
    style = "" if is_trusted else ' style="color: #6e6e6e"'
    return f"<tr{style}>{cells}<td>{'yes' if is_trusted else 'no'}</td></tr>"
