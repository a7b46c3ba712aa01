"""Offline sentences: those of a rig that goes along; what stands in braces is filled in there.

Holds:  what is told at the range of trust, the next step, a correction, and of what is kept there.
Never:  numbers, markup; the script that fills them in (web/static/range.js).
"""

from tapewright.words.next_shot import FIRST_FAR, MISSES
from tapewright.words.sight_moves import PAST_LIMIT, WAIT


def range_words(probability: float) -> dict[str, str]:
    """Sentences of a page that tells and takes groups without the notebook."""
    percent = f"{100 * probability:.0f} %"
    return {
        "untrusted": "no distance yet",
        "grey": "calibrate at home",
        "carried": "As calibrated on {made}; no group was added here.",
        "provisional": "Provisional: the calibration of {made} and {groups} from here. Once they "
        "are handed over, the notebook's own calibration replaces it.",
        "group": "1 group",
        "groups": "{count} groups",
        "far from home": "Calibrate at home for sharper bands: these groups lie far from what goes "
        "along, so marks are grey and no distance is trusted here.",
        "odd group": "A group does not fit the others. Check what was written, leave it out, or "
        "shoot it again: until then no distance is trusted here, and no next group is told.",
        "slip": "At home something that was written down wrongly waits to be settled: until then "
        "marks are grey, no distance is trusted, and no next group is told.",
        "arm": "Calibrate at home: the first zero of a sight on an arm is not told here.",
        "next_first": "One arrow from {distance}, then look where it hit. {dial}.",
        "next": "{arrows} arrows from {distance}. {dial}. {chance} of such arrows stay on this "
        "butt.",
        "next_dial": "Dial {mark}",
        "next_part": "Dial {mark}, which is part of the correction: the whole might send arrows "
        "past the butt again",
        "next_by_eye": "Set the sight by eye and write down what it shows",
        "next_trusted": "{wanted} is trusted: no arrow is needed for it. Once all is handed over, "
        "print or prove the tape.",
        "next_butt": "No distance is open on this butt: take a larger one, or come nearer than "
        "{distance}.",
        "next_misses": MISSES,
        "next_asks": "The rig sheet must tell more before the first arrow. Answer it at home, and "
        "carry the rig again.",
        "next_uncounted": "A group from here is not counted (see below), so no next group is told: "
        "hand it over, and ask the notebook.",
        "next_place": "No distance here brings you farther: one up to {distance} would. What is "
        "here is trusted as told above.",
        "next_no_places": "Write the distances of this place, such as 20, 30 {unit}, or leave them "
        "open.",
        "next_pin": " Aim with pin 1, the top one.",
        "next_walk": " Walk up to there, with the range's leave.",
        "of_pin": "{far} with pin {pin}",
        "every_pin": "{far} with every pin",
        "partly": " (what you wrote of windage, or whose distances these are, is weighed at home)",
        "next_no_butt": "Write how large the butt is, such as 36x36: without it no group is told.",
        "next_home": "Settle first what does not fit.",
        "safe": FIRST_FAR,
        "hit": "It hit {where} of the aim.",
        "high": "{miss} high",
        "low": "{miss} low",
        "right": "{miss} right",
        "left": "{miss} left",
        "and": " and ",
        "turn": "Pin {way}: dial {mark} instead of {was}{clicks}.",
        "turn_side": "Pin {way} by {by} mm{clicks}.",
        "clicks": " ({count} clicks)",
        "one_click": " (1 click)",
        "up": "up",
        "down": "down",
        "wait": WAIT,
        "leave": "Leave {axis} as it is: what shows may be chance or less than a click.",
        "elevation": "the height",
        "past_limit": PAST_LIMIT,
        "past": "The arrows went past the butt: the next group is shot nearer.",
        "line": "{distance}, dialled {mark}: {arrows}",
        "arrow": "1 arrow",
        "arrows": "{count} arrows",
        "missed": "{count} past the butt",
        "take_out": "Take it out",
        "leave_out": "Leave it out here",
        "count_in": "Count it here",
        "to_right": "right",
        "to_left": "left",
        "not_here": "The notebook counts a group with a slope, wind, other air or another point; "
        "it is not counted here.",
        "not_counted": "{distance}: with a slope, wind, other air or another point, which the "
        "notebook counts; not counted here",
        "held": "{distance}: the notebook has it",
        "not_twice": "{distance}: a change of a group that the notebook has; not counted here",
        "not_same": "{distance}: kept with another sheet or tape; not counted here",
        "not_read": "{distance}: not counted here",
        "of_proof": " (for the proof)",
        "left_out": " (left out here)",
        "band": f"Shaded: where the arrow may land when the mark is dialled; {percent} hold the "
        "truth. Broken lines: the tolerance.",
        "no_number": "Write a number.",
        "no_distance": "Write the distance, such as 20 {unit}, from {near} to {far}.",
        "no_reading": "Write what the sight shows.",
        "off_tape": "The tape does not have that.",
        "no_arrow": "Tap or write where an arrow hit, or how many went past the butt.",
        "no_store": "This browser does not keep what it writes, so this page only shows. Write "
        "your groups down elsewhere.",
        "reload": "Load this page again once: then it is known whether this browser keeps what it "
        "writes.",
        "kept": "Kept in this browser.",
    }
