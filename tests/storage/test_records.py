from math import inf, nan

import pytest
from notebooks import BODIES, GROUP, PRINT, PRINTER, RIG, SESSION

from tapewright.ground.errors import BadInput
from tapewright.storage.records import (
    KeptChange,
    KeptGroup,
    KeptParked,
    KeptPrint,
    KeptPrinter,
    KeptSession,
    KeptSetup,
    KeptTape,
    is_id,
    kind_of,
    pointed_to,
)

GROUP_BODY = BODIES[GROUP]

NONSENSE = {
    "no such day": lambda: KeptSession("2026-02-30", "sighting", "", 0),
    "a day of another fashion": lambda: KeptSession("20261125", "sighting", "", 0),
    "a day that is none": lambda: KeptPrint("tape", "", None, {}, "today"),
    "less than no change": lambda: KeptSession("2026-11-25", "sighting", "", -1),
    "a change before the first": lambda: KeptChange(-1, 1, 2, new_string=False, words=""),
    "a way back to itself": lambda: KeptChange(1, 1, 2, False, "", back_to=1),  # noqa: FBT003
    "a way back to nowhere": lambda: KeptChange(2, 1, 2, False, "", back_to=-1),  # noqa: FBT003
    "a version before the first": lambda: KeptChange(1, -1, 2, new_string=False, words=""),
    "a tape stuck on no day": lambda: KeptTape("{}", 0, "25 November"),
    "a tape taken off on no day": lambda: KeptTape("{}", 0, "2026-11-25", "later"),
    "a tape before the first change": lambda: KeptTape("{}", -1, "2026-11-25"),
    "a ruler of no length": lambda: KeptPrinter("den", 0.0, 100.0),
    "a ruler that is no number": lambda: KeptPrinter("den", 100.0, nan),
    "a ruler without end": lambda: KeptPrinter("den", inf, 100.0),
    "a session that is no id": lambda: KeptGroup("first", GROUP_BODY.observation, ""),
    "a parked group without id": lambda: KeptParked("g1", "{}", "why"),
    "a bow measured on no day": lambda: KeptSetup("[limbs]", "yesterday"),
    "a picture that is no base64": lambda: KeptSetup("", "2026-11-25", picture="/9j/4*AQ"),
    "a picture that is no JPEG": lambda: KeptSetup("", "2026-11-25", picture="aGVsbG8="),
    "a picture without end": lambda: KeptSetup("", "2026-11-25", picture="/9j/" * 500_001),
    "a record and a picture in one": lambda: KeptSetup("[x]", "2026-11-25", picture="/9j/4AAQ"),
    "neither of them": lambda: KeptSetup("", "2026-11-25"),
    "a printer that is no id": lambda: KeptPrint("tape", "", "den", {}, "2026-11-25"),
}


@pytest.mark.parametrize("nonsense", NONSENSE.values(), ids=NONSENSE)
def test_nonsense_is_refused_at_birth(nonsense):
    with pytest.raises(BadInput):
        nonsense()


def test_every_kind_has_its_body_and_every_body_its_kind():
    assert [kind_of(body) for body in BODIES.values()] == [
        "rig", "session", "group", "calibration", "print", "change", "printer", "job",
    ]  # fmt: skip
    assert kind_of(KeptTape("{}", 0, "2026-11-25")) == "tape"
    assert kind_of(KeptParked("0" * 20, "{}", "why")) == "parked"
    assert kind_of(KeptSetup("", "2026-11-25", picture="/9j/4AAQ")) == "setup"


def test_a_body_names_what_must_be_kept_with_it():
    assert pointed_to(BODIES[GROUP], RIG) == [(RIG, "rig"), (SESSION, "session")]
    assert pointed_to(BODIES[PRINT], RIG) == [(RIG, "rig"), (PRINTER, "printer")]
    assert pointed_to(KeptPrint("gauge", "", None, {}, "2026-11-25"), None) == []


def test_an_id_has_twenty_small_hexadecimal_digits():
    assert is_id("0123456789abcdef0123")
    assert not is_id("0123456789ABCDEF0123")
    assert not is_id("0123456789abcdef012")
