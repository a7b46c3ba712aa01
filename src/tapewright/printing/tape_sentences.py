"""Tape sentences: the words on a tape's sheet, and what its code says.

Holds:  title, names of strips, advice, small print, cautions; the code's text.
Never:  where they stand on paper.
"""

from dataclasses import replace

from tapewright import __version__
from tapewright.printing.sticking_steps import is_by_eye, shown_near, sticking_of
from tapewright.services.print_tape import PlannedTape, TapeWords
from tapewright.words.cautions import STOP_WORDS, caution_words, safety_of
from tapewright.words.printable_names import paper_name
from tapewright.words.quantity_parser import format_quantity, in_unit
from tapewright.words.rules import rules_words
from tapewright.words.strip_names import check_words, lengths_told, strip_names
from tapewright.words.trust_sentences import shot_words, trust_words
from tapewright.words.unit_system import Units, distance_words

SLACK_MM = 0.3
MOST_NAME = 24
PROVE = (
    "Prove the tape before anything hangs on it: a group at each of three distances or more, far "
    "ones among them, dialled by it."
)
MOST_CODE_BYTES = 412  # of a code of 77 cells a side at the middling level; ISO/IEC 18004


def limit_notes(plan: PlannedTape) -> tuple[str, ...]:
    """Where ticks end because the sight may go no farther; empty when all stand."""
    ends = [(pin, end) for pin, end in enumerate(plan.last_ticks, 1) if end is not None]
    if not ends:
        return ()
    unit, far = plan.order.unit, plan.limits.far
    if len(plan.last_ticks) == 1:
        where = f"No tick past {ends[0][1]:g} {unit}"
    else:
        where = "No tick past " + ", ".join(f"{end:g} {unit} on pin {pin}" for pin, end in ends)
    why = "there the arm ends" if far is None else STOP_WORDS[far.kind]
    return (f"{where}: {why}.",)


def notch_words(plan: PlannedTape) -> tuple[str, ...]:
    """Where the free edge is notched, and which of the distances asked for are not; or nothing."""
    if not plan.notched:
        return ()
    unit = plan.order.unit
    cut = ", ".join(f"{one:g}" for one, why in plan.notched if not why)
    of = " of pin 1" if len(plan.answer.trusted_m) > 1 else ""
    where = (
        f"Notches at {cut} {unit}{of}, the nearest wide and flat." if cut else "No notch is cut."
    )
    left = "; ".join(f"{one:g} {unit} ({why})" for one, why in plan.notched if why)
    return (where, *((f"Not notched: {left}.",) if left else ()))


def check_note(plan: PlannedTape) -> str:
    """By which lengths strips and print are checked, in the order of the strips."""
    stretch = plan.order.wrap.stretch if plan.order.wrap else 1.0
    of = " of pin 1" if len(plan.answer.trusted_m) > 1 else ""
    lengths = lengths_told([stretch * one for one in plan.lengths_mm])
    ticks = {distance for distance, _ in plan.kept(1, 0)}
    unit = "" if ticks.issuperset(plan.between) else plan.order.unit
    return f"Check lengths{of}, strip by strip, {check_words(plan.between, lengths, unit)}"


def tape_cautions(plan: PlannedTape, units: Units) -> tuple[str, ...]:
    """What speaks against sticking the tape on and believing it."""
    told = [caution_words(one, plan.answer, units) for one in plan.answer.cautions]
    (low, high), (near, end) = plan.length_band_mm, plan.between
    if low < plan.lengths_mm[0] - SLACK_MM or high > plan.lengths_mm[2] + SLACK_MM:
        told.append(
            f"From {near:g} to {end:g} {plan.order.unit} the true strip is {low:.1f} to "
            f"{high:.1f} mm long, more than these three strips span: {_then(plan, units)}."
        )
    return tuple(told)


def _then(plan: PlannedTape, units: Units) -> str:
    """What follows where the length of a strip is not known: nobody is sent past their farthest."""
    farthest_m, trusted_m = plan.answer.rig.archer.farthest_m, plan.answer.trusted_m[0]
    if farthest_m is not None and trusted_m >= farthest_m:
        return f"ticks past {distance_words(trusted_m, units)} are guesses"
    return "shoot farther away before you stick one on"


def tape_words(plan: PlannedTape, units: Units, date: str) -> TapeWords:
    """All sentences on a tape's sheet, as far as the rules of a class leave them."""
    rules, words = set(plan.order.rules), _all_words(plan, units, date)
    if rules:
        ruled = rules_words(plan.order.rules)
        words = replace(words, cautions=(*ruled, *words.cautions))
    if "no_notes" in rules:
        words = replace(words, notes=(), cautions=(*limit_notes(plan), *words.cautions))
    return replace(words, code="") if rules & {"no_notes", "no_electronics"} else words


def _all_words(plan: PlannedTape, units: Units, date: str) -> TapeWords:
    """All sentences on a tape's sheet where no rules are ticked."""
    answer, order = plan.answer, plan.order
    near, names = f"{plan.between[0]:g}", strip_names(plan.lengths_mm)
    name = paper_name(answer.rig.name, answer.fingerprint)
    air = answer.rig.air
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    tick = f"{near} {order.unit} tick"
    if len(answer.trusted_m) > 1:
        tick = f"{tick} of pin 1"
    if is_by_eye(plan):
        align = f"Zero the bow at {near} {order.unit}, then stick the {tick} under the pointer."
    elif shown := shown_near(plan):
        align = (
            f"Set the pointer to {shown} on the tape that is on, lock the sight, peel that tape "
            f"off, and stick the new one with the {tick} at the pointer."
        )
    else:
        align = (
            f"Set the pointer to {plan.near_mm:.1f} mm on the gauge strip, lock the sight, peel "
            f"the gauge strip off, and stick the tape with the {tick} at the pointer."
        )
    return TapeWords(
        title=name,
        printed=date,
        strip_names=names,
        strip_feet=(names[0], "0 %", names[2]),
        advice=("Take it if far arrows land high.", align, "Take it if far arrows land low."),
        pin_names=tuple(f"pin {pin}" for pin in range(1, len(answer.trusted_m) + 1)),
        notes=(
            f"{name}, printed {date}, {conditions}",
            f"{shot_words(answer)}; {answer.rig.hand}-handed",
            trust_words(answer, units),
            check_note(plan),
            *limit_notes(plan),
            *notch_words(plan)[1:],
            f"Calibration {answer.fingerprint}, Tapewright {__version__}",
        ),
        cautions=(*tape_cautions(plan, units), PROVE, *safety_of(answer.rig)),
        code=code_words(plan, date),
        sticking=sticking_of(plan),
    )


def code_words(plan: PlannedTape, date: str) -> str:
    """What the code on a sheet says: rig, date, fingerprint, marks of all pins; plain text.

    There is a line for each ten; where that is too much for a code, for each second one, and so on,
    and the code says so.
    """
    answer, unit = plan.answer, plan.order.unit
    pins = [dict(plan.kept(1, pin)) for pin in range(len(answer.trusted_m))]
    distances = sorted(one for one in plan.order.distances if one % 10 == 0 and one in pins[0])
    trusted = in_unit(answer.trusted_m[0], unit)
    names = f"{unit} mm" if len(pins) == 1 else f"{unit} mm, {len(pins)} pins"
    step = ""
    while True:
        lines = [
            f"{answer.rig.name[:MOST_NAME]} {date} {answer.fingerprint}",
            f"{names}, trusted to {trusted:.0f}{step}",
        ]
        lines += [
            " ".join([f"{one:.0f}", *(_code_mark(pin.get(one)) for pin in pins)])
            for one in distances
        ]
        text = "\n".join(lines)
        if len(text.encode()) <= MOST_CODE_BYTES:
            return text
        distances = distances[1::2]  # each twenty, then each forty
        step = ", not each ten"


def _code_mark(reading_m: float | None) -> str:
    return "-" if reading_m is None else f"{1e3 * reading_m:.1f}"
