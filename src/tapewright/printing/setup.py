"""Setup: the card of a bow's set-up on one page, to be measured again by hand.

Holds:  the cells and sentences printed; the files.
Never:  what a deviation means (questions/setup.py); where it stands on paper (drawing).
"""

from tapewright import __version__
from tapewright.printing.print_fields import PaperName
from tapewright.printing.print_record import Files
from tapewright.questions.setup import record_rows, string_words
from tapewright.reading.set_up_record import SetUpSheet
from tapewright.services.equip import Rig
from tapewright.services.paper_names import is_printable
from tapewright.services.print_setup import SetupWords, print_setup
from tapewright.words.printable_names import sheet_names
from tapewright.words.reassembly_sentences import LOOK_FIRST, usual_words
from tapewright.words.stops import stop_lines, stop_title
from tapewright.words.unit_system import Units

MEASURE = (
    "Measure everything above again, before anything is mended, and write it into the first boxes."
)
MEND = "Mend what is farther off than its last number, then measure that again."
HOW_WELL = (
    "± is how well it is set again, two times in three. A bow put together as it was is called "
    "moved 3 times in a hundred."
)
NEAR = (
    "One near group: from 10 yd (9 m) or nearer, at a large butt with a safe stop; one arrow, then "
    "look; the others only if it hit where it may. Nothing farther until it fits."
)


def setup_files(
    record: SetUpSheet, rig: Rig, units: Units, date: str, paper: PaperName,
    formats: tuple[str, ...] = (),
) -> Files:  # fmt: skip
    """The files of a set-up card, as PDF unless others were asked for."""
    (name, _), stops = sheet_names(rig), stop_lines(rig)
    recorded = f"Recorded {record.measured_on}. " if record.measured_on else ""
    string = string_words(record)
    note = f"Note: {record.note}." if record.note and is_printable(record.note) else ""
    words = SetupWords(
        title=stop_title(f"{name}: set-up card", stops),
        subtitle=f"{recorded}Printed {date}, Tapewright {__version__}.",
        heads=("thing", "recorded", "±", "moved from"),
        rows=record_rows(record, rig, units),
        steps=(*stops, LOOK_FIRST, MEASURE, MEND, *(() if stops else (NEAR,))),
        small=tuple(filter(None, (
            string if is_printable(string) else "", note, usual_words(record.measured, rig),
            HOW_WELL,
        ))),
    )  # fmt: skip
    return print_setup(words, paper, formats or ("pdf",), date)
