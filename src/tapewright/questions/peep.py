"""Peep: what the eye sees of peep, housing and pin, what a pin covers, what the eclipse costs.

Holds:  the question ``peep``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
Source: usual sizes of peeps, housings and pins are common practice, no source.
"""

from typing import Any

import numpy as np

from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import said_lengths
from tapewright.services.calibrate import Answer
from tapewright.services.see_peep import FoundView, View, see_peep
from tapewright.words.answer_blocks import Blocks, Drawing, Mind, Table
from tapewright.words.answer_columns import Column, records, rounded, table
from tapewright.words.answer_json import head_json
from tapewright.words.number_format import plain, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units, amount


def _width(name: str, label: str, usual: str, hint: str, most_mm: float) -> Field:
    measure = Measure("length", (0.1, most_mm, "mm"), usual)
    return Field(name, label, usual, hint=hint, measure=measure)


OPENING = _width("opening", "Hole of the peep", "4.8 mm", "From edge to edge.", 15.0)
HOUSING = _width("housing", "Inside of the housing", "45 mm", "From edge to edge.", 120.0)
DOT = _width("dot", "Width of the pin", "0.48 mm", "Of its dot or fibre.", 10.0)
ABOVE = Field("above", "Pin above the middle", "0 mm",
              hint="First pin above the middle of the housing, below less than 0; further pins "
              "follow the sheet.",
              measure=Measure("length", (-50.0, 50.0, "mm"), "5 mm"))  # fmt: skip
BEHIND = Field("behind", "Eye behind the peep", "90 mm", hint="Pupil to peep at full draw.",
               measure=Measure("length", (20.0, 300.0, "mm"), "90 mm"))  # fmt: skip
PUPIL = _width("pupil", "Pupil", "3 mm", "2 mm in the sun, 6 mm at dusk.", 9.0)
OPENINGS = Field("openings", "Peeps to choose from", "3.2, 4.0, 4.8, 5.6, 6.4 mm",
                 hint="Holes, from edge to edge.", takes="LENGTHS")  # fmt: skip
HOUSINGS = Field("housings", "Housings to choose from", "35, 41, 45, 51 mm",
                 hint="Inside, from edge to edge.", takes="LENGTHS")  # fmt: skip
FILLS = (0.95, 1.0)  # housing over peep, as seen: a thin ring of light is left
NO_PEEP = "Without a peep nothing has to fill anything: what is told here is seen past the string."
KEEP = (
    "Centre the same thing in the peep at every distance, when you shoot for marks and after: the "
    "marks then hold all of it, and nothing is lost."
)
MOVED = (
    "Another peep, or one that moves, is a change: shoot one near arrow first, then confirm the "
    "marks. Work on the string that needs a press belongs to a qualified technician."
)
DRAWN = (
    "To scale. Above: what the eye sees, grey the edge of the peep, black the housing, a stroke "
    "beside each pin; printed {wide} mm wide and held {away} cm from the eye, it looks as large as "
    "at full draw. Below: from the side."
)


def _ask(answer: Answer, said: Said, units: Units) -> FoundView:
    view = View(
        peep_m=said.quantity(OPENING, units),
        housing_m=said.quantity(HOUSING, units),
        pin_m=said.quantity(DOT, units),
        pupil_m=said.quantity(PUPIL, units),
        eye_behind_m=said.quantity(BEHIND, units),
        pin_above_m=said.quantity(ABOVE, units),
        peeps_m=said_lengths(said, OPENINGS, units),
        housings_m=said_lengths(said, HOUSINGS, units),
    )
    return see_peep(answer, view, said.distances("distances", QUESTION.usual("distances", units)))


def _shares(found: FoundView) -> np.ndarray[Any, np.dtype[np.float64]]:
    """How large each housing to choose from is seen in each peep, (p, h). [-]"""
    return np.asarray(np.array(found.view.housings_m)[None, :] / found.fills_m[:, None])


def _mm(width_m: float) -> str:
    return f"{plain(in_unit(width_m, 'mm'), 2)} mm"


def _seen_table(found: FoundView) -> Table:
    view = found.view
    names = ("peep", "housing", "pin")
    widths = (view.peep_m, view.housing_m, view.pin_m)
    rows = [
        (name, plain(1e3 * width, 2), told(1e3 * float(seen), 1), told(100.0 * share, 0))
        for name, width, seen, share in zip(
            names, widths, found.seen_rad, found.seen_rad / found.seen_rad[0], strict=True
        )
    ]
    kept = rows if found.has_peep else [row[:3] for row in rows[1:]]
    heads = ("", "width mm", "seen mrad", "% of the peep")
    return Table("As the eye sees it", heads[: len(kept[0])], tuple(kept))


def _fill_table(found: FoundView) -> Table:
    view = found.view
    rows = []
    for peep_m, fills_m, shares in zip(view.peeps_m, found.fills_m, _shares(found), strict=True):
        cells = (f"{100.0 * share:.0f} %" for share in shares)
        rows.append((plain(1e3 * peep_m, 2), told(1e3 * float(fills_m), 1), *cells))
    heads = ("peep mm", "filled by mm", *map(_mm, view.housings_m))
    return Table("How large each housing looks in each peep", heads, tuple(rows))


def _columns(found: FoundView) -> tuple[Column[FoundView], ...]:
    costs: list[Column[FoundView]] = [
        Column(f"pin {pin} high {{unit}}", f"pin_{pin}_high_{{unit}}", list(cost), "miss", 2, 4,
               signed=True)
        for pin, cost in enumerate(found.cost_m, 1)
    ]  # fmt: skip
    return (
        Column("distance {unit}", "distance_{unit}", "distance_m", "distance", None, 4),
        Column("pin covers {unit}", "pin_covers_{unit}", "covered_m", "miss", 2, 4),
        Column("housing frames {unit}", "housing_frames_{unit}", "framed_m", "miss", 0, 3),
        *(costs if found.has_peep else ()),
    )  # fmt: skip


def _fill_words(found: FoundView) -> str:
    """What the housing does in the peep, and which peeps it fills."""
    view = found.view
    share = float(found.seen_rad[1] / found.seen_rad[0])
    if share > FILLS[1]:
        more = 100.0 * share - 100.0
        now = f"The housing looks {more:.0f} % larger than the peep: its rim is cut off"
    elif share >= FILLS[0]:
        now = "The housing fills the peep with a thin ring of light about it"
    else:
        now = f"The housing takes {100.0 * share:.0f} % of the peep's width: a wide ring is left"
    fills_m = view.housing_m * view.eye_behind_m / (view.eye_behind_m + found.sight_radius_m)
    return (
        f"{now}. A housing of {_mm(view.housing_m)} is filled by a peep of {_mm(fills_m)}. The "
        f"peep's edge is soft: {told(1e3 * found.soft_m, 0)} mm wide at the housing for a pupil of "
        f"{_mm(view.pupil_m)}."
    )


def _cost_words(found: FoundView, units: Units) -> str:
    """What it costs to centre now the one, now the other."""
    if not np.any(found.shift_m):
        return (
            "Pin and middle of the housing are one, so it is the same whichever is centred in the "
            "peep."
        )
    pin = int(np.argmax(np.abs(found.shift_m)))
    cost_m, at_m = float(found.cost_m[pin, -1]), float(found.distance_m[-1])
    off_m, side = float(found.above_m[pin]), "high" if cost_m > 0.0 else "low"
    where = "above" if off_m > 0.0 else "below"
    return (
        f"Pin {pin + 1} stands {_mm(abs(off_m))} {where} the middle of the housing. Whoever made "
        f"marks with this pin centred in the peep and then centres the housing looks "
        f"{_mm(abs(float(found.shift_m[pin])))} beside the peep's middle and hits "
        f"{amount(abs(cost_m), units.miss)} {side} at {amount(at_m, units.distance)}; the other "
        "way round as much to the other side."
    )


def _words(found: FoundView, units: Units) -> tuple[str, ...]:
    told = (_fill_words(found), _cost_words(found, units)) if found.has_peep else (NO_PEEP,)
    return (*told, _reckoned_words(found))


def _reckoned_words(found: FoundView) -> str:
    """For which widths it is told: the sheet has no line for them."""
    view = found.view
    said = [(OPENING, view.peep_m)] if found.has_peep else []
    said += [(HOUSING, view.housing_m), (DOT, view.pin_m), (PUPIL, view.pupil_m)]
    widths = ", ".join(f"{field.label.lower()} {_mm(width_m)}" for field, width_m in said)
    return f"Told for: {widths}. Where you said nothing that is usual; yours may differ."


def _cautions(found: FoundView) -> tuple[str, ...]:
    return (KEEP, MOVED) if found.has_peep else ()


def _drawing_words(found: FoundView) -> str:
    return DRAWN.format(wide=96, away=f"{100.0 * found.drawn_from_m:.0f}")


def _tell(found: FoundView, units: Units) -> Blocks:
    title = "What they cover at the target"
    if found.has_peep:
        title += "; how much higher it hits with the housing centred than with the pin centred"
    return (
        *_words(found, units),
        *((Drawing(found.drawing, _drawing_words(found)),) if found.drawing else ()),
        _seen_table(found),
        *((_fill_table(found),) if found.has_peep else ()),
        table(title, _columns(found), found, units),
        *map(Mind, _cautions(found)),
    )


def _write(found: FoundView, units: Units) -> dict[str, Any]:
    view, seen = found.view, found.seen_rad
    choice = [
        {"peep_mm": rounded(peep_m, "mm"), "filled_by_mm": rounded(float(fills_m), "mm"),
         "shares": [round(float(one), 4) for one in shares]}
        for peep_m, fills_m, shares in zip(
            view.peeps_m, found.fills_m, _shares(found), strict=True)
    ] if found.has_peep else []  # fmt: skip
    return head_json("tapewright.peep/1", found.answer) | {
        "peep_mm": rounded(view.peep_m, "mm") if found.has_peep else None,
        "housing_mm": rounded(view.housing_m, "mm"),
        "pin_mm": rounded(view.pin_m, "mm"),
        "peep_seen_mrad": rounded(float(seen[0]), "mrad"),
        "housing_seen_mrad": rounded(float(seen[1]), "mrad"),
        "pin_seen_mrad": rounded(float(seen[2]), "mrad"),
        "sight_radius_mm": rounded(found.sight_radius_m, "mm"),
        "soft_edge_mm": rounded(found.soft_m, "mm"),
        "housings_mm": [rounded(one, "mm") for one in view.housings_m],
        "peeps": choice,
        "pins_above_middle_mm": [rounded(float(one), "mm") for one in found.above_m],
        "eye_shift_mm": [rounded(float(one), "mm") for one in found.shift_m],
        "at": records(_columns(found), found, units),
        "drawing_svg": found.drawing,
        "cautions": [*_words(found, units), *_cautions(found)],
    }


QUESTION = Question(
    "peep", "Peep and pin",
    "How large peep, housing and pin are seen, which housing fills which peep, what a pin covers, "
    "and what it costs to centre now the pin and now the housing.",
    (
        Field("distances", "Distances", "20:80:20yd", "20:80:20m", "Where it is told."),
        OPENING, HOUSING, DOT, ABOVE, BEHIND, PUPIL, OPENINGS, HOUSINGS,
    ),
    _ask, _tell, _write, shelf="check", short="Peep and pin", first=5,
    more="The page has a drawing to scale; with --json it is under drawing_svg. Peep to pin is the "
    "sheet's sight_radius.",
)  # fmt: skip
