"""Answer: a calibration as a notebook shows it: a line, a table, a frame, a picture.

Holds:  the Answer record of the front door.
Never:  what is said of a calibration (words), how a picture is drawn (faces/charts.py).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

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

_SHOWN = "tapewright.desk.answer_html"  # loaded when first shown: words and pictures
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
        Withheld
            If the set-up must not be shot.
        """
        refuse_stopped(self.rig)
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
        refuse_stopped(self.rig)
        draw = import_module(_SHOWN).draw
        return draw(plotter, axes, self, what, at_m, is_metric=metric)

    def _repr_html_(self) -> str:
        """The marks and what is said of them, as a notebook shows it; no marks under a STOP."""
        told: str = import_module(_SHOWN).html_of(self)
        return told
