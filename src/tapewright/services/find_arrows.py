"""Find arrows: which numbered arrow of a set hits off from its fellows, and by how much.

Holds:  the errand from numbered shots to offsets and to the arrows that stand out, one after the
        other, each looked for without those found before it.
Never:  formulas (target/arrow_offsets.py), what to do about an arrow in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.observation import Observation
from tapewright.ground.errors import BadInput
from tapewright.target.arrow_offsets import (
    Layout,
    lay_out,
    odds_of_off,
    offset_to_tell,
    own_offset,
    pool_offsets,
)
from tapewright.target.spread import Spread, combined_spread

Floats = NDArray[np.float64]

LEAST_ODDS = 2.0  # from which on an arrow is named; false calls by simulation, docs/reliability.md
FEWEST = 3  # arrows of a set: of two nobody can tell which is off
BAND = 1.645  # standard deviations of a band that holds the truth 90 times in 100


@dataclass(frozen=True, slots=True)
class ArrowShots:
    """One arrow of a set."""

    name: str  # what stands on it
    shots: int
    right_rad: float  # from its fellows; drawn together with them as far as it is not off
    up_rad: float
    band_rad: float  # half of the band that holds the truth 90 times in 100, either way
    odds: float  # that it is off, against that none of the set is; before the shots both alike
    is_off: bool


@dataclass(frozen=True, slots=True)
class FoundArrows:
    """What the numbered shots of a rig tell of its arrows."""

    arrows: tuple[ArrowShots, ...]  # in the order of what stands on them
    groups: int  # in which at least two of them were shot together
    unnumbered: int  # shots that say no arrow, or were not measured both ways
    to_tell_rad: float  # how far off one must be to be named in four sets of five; inf: whatever
    every: Spread  # scatter of all these shots about their groups, and of those not named
    others: Spread

    @property
    def off(self) -> tuple[ArrowShots, ...]:
        """Arrows that stand out, the surest first."""
        return tuple(sorted((one for one in self.arrows if one.is_off), key=lambda one: -one.odds))


@dataclass(frozen=True, slots=True)
class _Shots:
    """Numbered shots."""

    xy: Floats  # (n, 2): right and up [rad]
    group: NDArray[np.int64]
    names: tuple[str, ...]  # (n,)


def find_arrows(observations: Sequence[Observation]) -> FoundArrows:
    """Offsets of numbered arrows, and which of them stand out.

    BadInput where too few arrows are numbered, or too few shots compare them.
    """
    shots, unnumbered = _numbered(observations)
    names = sorted(set(shots.names), key=_order)
    if len(names) < FEWEST:
        wrong = f"{len(names) or 'no'} arrow{'s' * (len(names) != 1)} of this rig can be told apart"
        mend = "Write what stands on each arrow in a column arrow, of three arrows or more, and "
        raise BadInput("arrows", wrong, mend + "right and up of each shot")
    left, named, layout = list(names), {}, _laid_out(shots, names)
    if layout is None:
        wrong = "no arrow was shot often enough beside others to tell what is its own"
        raise BadInput("arrows", wrong, "Shoot the whole set once or twice more, and number it")
    while len(left) >= FEWEST:
        odds = odds_of_off(layout) / len(left)
        worst = int(np.argmax(odds))
        rest = _laid_out(shots, left[:worst] + left[worst + 1 :], layout)
        if odds[worst] < LEAST_ODDS or rest is None:
            break
        own, sd = own_offset(layout, worst)
        sizes = (float(size) * layout.scale for size in (*own, sd))
        named[left.pop(worst)] = (*sizes, float(odds[worst]))
        layout = rest
    sound = [one for one in names if one not in named]
    return FoundArrows(
        arrows=tuple(_told(one, shots, named, sound, layout) for one in names),
        groups=_compared(shots),
        unnumbered=unnumbered,
        to_tell_rad=_to_tell(layout),
        every=_spread(observations, names),
        others=_spread(observations, sound),
    )


def _order(name: str) -> tuple[int, int, str]:
    """Numbers in their order, then words."""
    return (0, int(name), name) if name.isascii() and name.isdigit() else (1, 0, name)


def _numbered(observations: Sequence[Observation]) -> tuple[_Shots, int]:
    """Shots that say their arrow and where it hit, and how many do not."""
    rows, groups, names, others = [], [], [], 0
    for place, one in enumerate(observations):
        for hit in one.group.counted:
            if not hit.arrow or hit.right_m is None or hit.up_m is None:
                others += hit.arrows
                continue
            rows.append((hit.right_m / one.distance_m, hit.up_m / one.distance_m))
            groups.append(place)
            names.append(hit.arrow)
    xy = np.array(rows, dtype=np.float64).reshape(-1, 2)
    return _Shots(xy, np.array(groups, dtype=np.int64), tuple(names)), others


def _laid_out(shots: _Shots, names: Sequence[str], known: Layout | None = None) -> Layout | None:
    """What the shots of these arrows tell of them."""
    places = {name: place for place, name in enumerate(names)}
    kept = np.array([name in places for name in shots.names])
    arrows = [places[name] for name in shots.names if name in places]
    _, groups = np.unique(shots.group[kept], return_inverse=True)
    return lay_out(shots.xy[kept], groups, arrows, known)


def _compared(shots: _Shots) -> int:
    _, counts = np.unique(shots.group, return_counts=True)
    return int((counts > 1).sum())


def _told(
    name: str, shots: _Shots, named: dict[str, tuple[float, ...]], sound: list[str], rest: Layout
) -> ArrowShots:
    count = shots.names.count(name)
    if name in named:
        right_rad, up_rad, sd_rad, odds = named[name]
        return ArrowShots(name, count, right_rad, up_rad, BAND * sd_rad, odds, is_off=True)
    place, pooled, each = sound.index(name), pool_offsets(rest), odds_of_off(rest) / len(sound)
    off, alike = each[place] / (1.0 + each.sum()), pooled.offset[place]
    own, own_sd = own_offset(rest, place)
    right, up = off * own + (1.0 - off) * alike  # as sure of either as the odds are
    variance = off * own_sd**2 + (1.0 - off) * pooled.sd[place] ** 2
    variance += off * (1.0 - off) * float(np.square(own - alike).mean())
    band_rad = BAND * float(np.sqrt(variance)) * rest.scale
    right_rad, up_rad = float(right) * rest.scale, float(up) * rest.scale
    return ArrowShots(name, count, right_rad, up_rad, band_rad, float(each[place]), is_off=False)


def _to_tell(layout: Layout) -> float:
    arrows = len(layout.offset)
    each = [offset_to_tell(layout, one, LEAST_ODDS * arrows) for one in range(arrows)]
    return layout.scale * float(np.median(each))


def _spread(observations: Sequence[Observation], names: Sequence[str]) -> Spread:
    """Scatter of these arrows' shots about their groups."""
    groups = [
        replace(
            one.group, impacts=tuple(hit for hit in one.group.counted if hit.arrow in set(names))
        )
        for one in observations
    ]
    return combined_spread(groups, [one.distance_m for one in observations])
