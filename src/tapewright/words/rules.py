"""Rules: what a class allows, as the archer ticked it.

Holds:  the ticks and what each asks of a print; what every face says of them.
Never:  what any body's rules are: nobody here knows them. It loads nothing, as the sheet's keys
        must not.
"""

from collections.abc import Iterable

# Tick, as the sheet's key has it: what it is called, what it asks of what goes along.
TICKS = {
    "paper_only": (
        "paper only",
        "What goes along is paper: no label film, no file for a cutter or an engraver, no phone.",
    ),
    "no_notes": (
        "no notes",
        "On the strip ticks, numbers and what tells lanes apart; no code, small print, card, list.",
    ),
    "one_pin": ("one pin", "Only the first pin: the tape has its column alone."),
    "no_electronics": ("no electronics", "No code to scan, no card for a phone."),
}
ASK = "your own ticks, for no body's rules are known here: ask the organiser."


def tick_words(rules: Iterable[str]) -> str:
    """Names of ticks, one behind the other."""
    ticked = set(rules)
    return ", ".join(name for tick, (name, _) in TICKS.items() if tick in ticked)


def phone_words(rules: Iterable[str]) -> tuple[str, ...]:
    """What a phone says of ticks that leave it at home; nothing of others."""
    told = tick_words(set(rules) - {"one_pin"})
    return (f"Ticked “{told}”: leave the phone out of it, and ask the organiser.",) if told else ()


def rules_words(rules: Iterable[str]) -> tuple[str, ...]:
    """What a print made by ticks says of them; nothing where none is ticked."""
    told = tick_words(rules)
    return (f"Made for the rules “{told}”: {ASK}",) if told else ()
