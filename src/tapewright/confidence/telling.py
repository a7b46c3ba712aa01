"""Telling: the shot that parts two causes which a proving session leaves open.

Two causes fit what was shot with sizes of their own, so they promise nearly the same where groups
stand. One more group tells most where their promises part most, against what each leaves open of
its own promise.

Holds:  what a cause promises of one more group; where two promises part most.
Never:  odds (diagnosis.py), sentences.
Source: docs/physics.md §8.
"""

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.misses import Misses, promised_at
from tapewright.confidence.signatures import Signature, free_covariance, shapes_on_tape

Floats = NDArray[np.float64]


def telling_distance(
    misses: Misses, first: Signature, second: Signature, tried_m: Floats
) -> float | None:
    """Where one more group would best tell two causes apart.

    Parameters
    ----------
    misses : Misses
        Of the session.
    first, second : Signature
        Of the two causes; one of them may be nothing.
    tried_m : (n,) array
        Distances at which one more group could be shot. [m]

    Returns
    -------
    float or None
        One of the distances; None when one cause moves groups up and down and the other
        sideways, for both may hold, or when neither moves a group that stands elsewhere. [m]

    Source
    ------
    docs/physics.md eq. (8.41).
    """
    groups = misses.evidence.groups
    ways = {bool(np.any(one.shape[:groups])) for one in (first, second) if one.law}
    moves_nothing_there = {first.law, second.law} <= {"", "one distance"}
    if len(ways) > 1 or moves_nothing_there or len(tried_m) == 0:
        return None
    promises = [promise(misses, one, tried_m) for one in (first, second)]
    (one, one_variance), (other, other_variance) = promises
    apart2 = np.square(one - other) / (one_variance + other_variance)
    return float(tried_m[int(np.argmax(apart2.reshape(2, -1).max(axis=0)))])


def promise(misses: Misses, signature: Signature, tried_m: Floats) -> tuple[Floats, Floats]:
    """Where one more group lands if a cause holds.

    Parameters
    ----------
    misses : Misses
        Of the session.
    signature : Signature
        Of the cause.
    tried_m : (n,) array
        Distances. [m]

    Returns
    -------
    (2 n,) array, (2 n,) array
        Angles up, then right, and their variances, the group's own scatter with them. [rad],
        [rad²]

    Source
    ------
    docs/physics.md eq. (8.41).
    """
    drawn, scatter = promised_at(misses, tried_m)
    seen, groups, count = misses.measured, misses.evidence.groups, len(tried_m)
    usual2, there = signature.usual**2, shapes_on_tape(misses, tried_m)[signature.law]
    chance = misses.covariance + free_covariance(signature, groups, groups)
    chance += usual2 * np.outer(signature.shape, signature.shape)
    shared = drawn.T @ (misses.drawn_rad - misses.drawn_rad.mean(axis=0)) / (len(drawn) - 1.0)
    shared += free_covariance(signature, count, groups) + usual2 * np.outer(there, signature.shape)
    gain = np.linalg.solve(chance[np.ix_(seen, seen)], shared[:, seen].T).T
    before = drawn.var(axis=0) + signature.free_rad**2 + usual2 * np.square(there)
    left = before - (gain * shared[:, seen]).sum(axis=1)
    return gain @ misses.miss_rad[seen], np.maximum(left, 0.0) + scatter
