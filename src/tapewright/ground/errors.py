"""Errors: every way in which Tapewright says no.

    TapewrightError
    ├── BadInput              something a person typed or a file said
    │   ├── UnknownUnit
    │   ├── UnreadableQuantity
    │   ├── BadRigSheet
    │   ├── BadHouseValues    what a shop or a club says of its usual values
    │   ├── BadShots
    │   ├── OtherScale        a changed sight that counts differently
    │   └── BadArchive        an archive or a kept body that cannot be taken in
    ├── OutsideValidRange     a formula was asked beyond where it holds
    ├── LaunchUnreachable     no launch angle reaches the distance
    ├── CalibrationFailed     the arrows and the sheet cannot be reconciled
    ├── DoesNotFit            the drawing is larger than the paper
    ├── MissingExtra          an optional library is not installed
    ├── Withheld              what must not be shot, or cannot be judged, is not planned or printed
    ├── NotKept               nothing is kept under this id
    ├── EditedMeanwhile       somebody saved or withdrew it first
    └── NotebookUnusable      the disk or the server refuses
        └── NotebookDamaged   what is kept is not what was written

Holds:  the tree of errors; each builds its own sentence.
Never:  exit codes, HTTP status.
"""

from dataclasses import dataclass
from typing import Any

from tapewright.ground.extras import adding, is_packed


class TapewrightError(Exception):
    """Every error that a person can mend: its text names the place and what would be right.

    Example
    -------
    >>> try:
    ...     raise BadInput("Arrow.mass_kg", "27.2 is too heavy", "Give it in kg")
    ... except TapewrightError as error:
    ...     print(error)
    Arrow.mass_kg: 27.2 is too heavy. Give it in kg.
    """


@dataclass
class BadInput(TapewrightError):
    """Something typed or read is wrong; names the place and the mend.

    Parameters
    ----------
    place : str
        Where: file, line, column or field.
    wrong : str
        What is wrong there, as a sentence without its full stop.
    mend : str
        What would be right, as a sentence without its full stop.
    """

    place: str
    wrong: str
    mend: str

    def __str__(self) -> str:
        return f"{self.place}: {self.wrong}. {self.mend}."


class UnknownUnit(BadInput):
    """A unit that the house does not know, or of the wrong kind."""


class UnreadableQuantity(BadInput):
    """A text that holds no number with its unit."""


class BadRigSheet(BadInput):
    """A rig sheet that cannot be used."""


class BadHouseValues(BadInput):
    """House values that cannot be used."""


class BadShots(BadInput):
    """A file of shots that cannot be used."""


class OtherScale(BadInput):
    """A changed rig whose readings count differently, so that no old one carries over."""


class BadArchive(BadInput):
    """An archive, or something kept, that cannot be read."""


@dataclass
class OutsideValidRange(TapewrightError):
    """A quantity lies outside the range in which a formula holds.

    Parameters
    ----------
    quantity : str
        What was out of range, in words.
    value, low, high : float
        The value and the range, in the unit named.
    unit : str
        The unit of the three numbers.
    """

    quantity: str
    value: float
    low: float
    high: float
    unit: str

    def __str__(self) -> str:
        return (
            f"{self.quantity} {self.value:g} {self.unit} is outside "
            f"{self.low:g} to {self.high:g} {self.unit}, where the formula holds."
        )


@dataclass
class LaunchUnreachable(TapewrightError):
    """No launch angle brings the arrow to the distance.

    Parameters
    ----------
    distance_m : float
        The distance asked for. [m]
    """

    distance_m: float

    def __str__(self) -> str:
        return (
            f"No launch angle carries this arrow to {self.distance_m:.1f} m. "
            "Ask for a shorter distance, or check arrow speed and mass."
        )


@dataclass
class CalibrationFailed(TapewrightError):
    """The arrows and the rig sheet cannot be brought together.

    Parameters
    ----------
    reason : str
        What went wrong, as a sentence without its full stop.
    advice : str
        The next step, as a sentence without its full stop.
    """

    reason: str
    advice: str

    def __str__(self) -> str:
        return f"{self.reason}. {self.advice}."


@dataclass
class DoesNotFit(TapewrightError):
    """A drawing is larger than the paper leaves room for.

    Parameters
    ----------
    wanted_mm, room_mm : float
        Length wanted and length available. [mm]
    advice : str
        The next step, as a sentence without its full stop.
    """

    wanted_mm: float
    room_mm: float
    advice: str

    def __str__(self) -> str:
        return (
            f"The drawing needs {self.wanted_mm:.1f} mm and the paper has room for "
            f"{self.room_mm:.1f} mm. {self.advice}."
        )


@dataclass
class MissingExtra(TapewrightError):
    """An optional library is not installed.

    Parameters
    ----------
    purpose : str
        What it is needed for, in words.
    extra : str
        The name of the extra that brings it.
    """

    purpose: str
    extra: str

    def __str__(self) -> str:
        if is_packed():  # nothing can be added to it
            return (
                f"{self.purpose} needs a library that the program without Python leaves out. "
                "Install Tapewright with Python for it: see docs/machines.md"
            )
        return f"{self.purpose} needs an optional library. Add it with: {adding(self.extra)}"


@dataclass
class Withheld(TapewrightError):
    """A plan, a print or a next step of a set-up that must not be shot, or cannot be judged yet.

    Parameters
    ----------
    stops : tuple of Stop
        Why it must not be shot. (The ground cannot name the record of a floor above.)
    questions : tuple of str
        Keys of the sheet that must be answered before its first arrow.
    """

    stops: tuple[Any, ...] = ()
    questions: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.stops:
            kinds = ", ".join(one.kind for one in self.stops)
            return f"STOP, this set-up must not be shot: {kinds}. Correct the rig sheet first."
        asked = ", ".join(self.questions)
        return f"Before the first arrow the rig sheet must tell: {asked}. Then ask again."


@dataclass
class NotKept(TapewrightError):
    """Nothing is kept under this id, or not in this version.

    Parameters
    ----------
    entry_id : str
        The id asked for.
    number : int or None, default None
        The version asked for; None: any.
    """

    entry_id: str
    number: int | None = None

    def __str__(self) -> str:
        version = "" if self.number is None else f" in version {self.number}"
        return (
            f"Nothing is kept as {self.entry_id!r}{version} in this notebook. "
            "Go back to the list and choose from what is there."
        )


@dataclass
class EditedMeanwhile(TapewrightError):
    """Somebody else saved or withdrew it since it was read; what was typed is not kept yet.

    Parameters
    ----------
    newer : Entry
        What stands now. (The ground cannot name the record of a floor above.)
    """

    newer: Any

    def __str__(self) -> str:
        if self.newer.is_withdrawn:
            return (
                "It was withdrawn, and nothing can be saved on what is withdrawn. "
                "Restore it first, then save again."
            )
        return (
            f"It was saved meanwhile by somebody else and is now at version {self.newer.number}. "
            "Look at what they changed, then save yours on top of it."
        )


@dataclass
class NotebookUnusable(TapewrightError):
    """The notebook cannot be read or written now; what was confirmed is safe.

    Parameters
    ----------
    place : str
        The file or the address, without any password.
    wrong : str
        What is wrong there, as a sentence without its full stop.
    mend : str
        The next step, as a sentence without its full stop.
    """

    place: str
    wrong: str
    mend: str

    def __str__(self) -> str:
        return f"{self.place}: {self.wrong}. {self.mend}."


class NotebookDamaged(NotebookUnusable):
    """Something that the notebook keeps is not what was written, or is missing."""
