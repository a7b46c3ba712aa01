"""Check list: what is looked at before the first arrow, how, and who may mend it.

Holds:  these words, for the sheet and every face; it loads nothing, as the sheet's keys must not.
Never:  what was found, when it stops a rig (services/stops.py).
Source: common practice, no source.
"""

# Part of a compound's check list: what it is called, how it is looked at, who may mend it.
CHECKS = {
    "bow": (
        "bow, limbs, string, cables",
        (
            "Look and feel along each limb for cracks and splinters, cams for dents, string and "
            "cables for broken strands and a loose serving"
        ),
        "you look; a qualified technician with a press mends",
    ),
    "shafts": (
        "shafts, points, nocks",
        (
            "Bend each shaft gently beside your ear and look along it: a crack that shows or "
            "sounds, a loose point or a split nock ends its life"
        ),
        "you",
    ),
    "rest": (
        "arrow rest",
        (
            "Nothing loose; a rest that falls away is out of the vanes' way, and the arrow stays "
            "on it through the whole draw"
        ),
        "you; a technician if it hangs on a cable",
    ),
    "centre_shot": (
        "centre shot",
        "Seen from behind, string, arrow and pin stand in one line, as the bow's maker says",
        "you",
    ),
    "nock": (
        "nock and nocking point",
        (
            "The nock snaps on and lets go with a light tap, does not turn hard, and sits at the "
            "same height each time"
        ),
        "you",
    ),
    "timing": (
        "timing of the cams",
        (
            "Both cams reach their stops together; a second person looks while you draw with an "
            "arrow nocked, on a range, pointed at a butt. A bow without cams: tick it sound"
        ),
        "a qualified technician: press work",
    ),
    "peep": (
        "peep",
        (
            "At full draw on the range it stands straight to the eye, tied so that it cannot slip. "
            "No peep: tick it sound"
        ),
        "you look; a qualified technician moves it: press work",
    ),
    "screws": (
        "screws",
        (
            "Limb bolts, sight, rest, quiver and stabilizer are tight; no limb bolt is out farther "
            "than its maker allows"
        ),
        "you",
    ),
}
COMPOUNDS_OWN = ("timing", "peep")
_STICKS = {
    "bow": (
        "bow, limbs, string",
        (
            "Look and feel along each limb for cracks, splinters and twists, and along the string "
            "for broken strands; its loops sit in the grooves of both tips, and the brace height "
            "is as the maker says"
        ),
        "you look; the maker or a qualified technician mends",
    ),
    "rest": (
        "arrow rest",
        (
            "Nothing loose; the arrow stays on rest or shelf through the whole draw, and the "
            "feathers or vanes pass it"
        ),
        "you",
    ),
    "screws": (
        "screws",
        (
            "Limb bolts, sight, rest, button, clicker, quiver and stabilizer are tight; no limb "
            "bolt is out farther than its maker allows"
        ),
        "you",
    ),
}
# Kind of bow: what is looked at in other ways than on a compound.
_OTHERWISE = {
    "recurve": _STICKS,
    "longbow": _STICKS | {"screws": ("sight", "Whatever holds the sight is tight", "you")},
}


def checks_of(kind: str) -> dict[str, tuple[str, str, str]]:
    """The check list of a kind of bow."""
    if kind not in _OTHERWISE:
        return CHECKS
    return {part: what for part, what in CHECKS.items() if part not in COMPOUNDS_OWN} | (
        _OTHERWISE[kind]
    )
