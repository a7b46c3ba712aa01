"""The watch for drift against published run lengths of cumulative sums.

Sources. Page's cumulative sum of Gaussians, reference value 0.5: decision interval 3, one-sided,
117.6 without a shift and 3.75 at 1.5 (D. Brook, D. A. Evans, Biometrika 59 (1972) 539); interval 4,
two-sided, table 1 of J. M. Lucas, R. B. Crosier, Technometrics 24 (1982) 199; both seen as quoted
in the manual of a statistics package, which recomputes them. In likelihoods the reference value is
half the size of the change and the interval its logarithm over the size. Of the sum in place of the
greatest: M. Pollak, Annals of Statistics 15 (1987) 749: the mean time between false alarms is the
limit over 0.560 for a size of one, by exp(-0.5826) of D. Siegmund (1985); from memory. That it is
never less than the limit, whatever the sizes, is Doob's theorem.
"""

import numpy as np

from tapewright.confidence.drift import run_watch

TWO_SIDED = {0.0: 168.0, 0.5: 26.6, 1.0: 8.38, 1.5: 4.75, 2.0: 3.34, 3.0: 2.19}  # interval 4
ONE_SIDED = {0.0: 117.6, 1.5: 3.75}  # interval 3


def paths(rng, count, groups, shift):
    """Sums of likelihood ratios, greatest up and down, after each group of each path.

    A change of size one that begins with each group; the growths are the same for all paths.
    """
    growths = np.stack([np.tri(groups), -np.tri(groups)], axis=2)
    up, both, total = (np.empty((count, groups)) for _ in range(3))
    for path in range(count):
        miss = rng.normal(shift, 1.0, groups)
        running = run_watch(
            miss, np.eye(groups), growths, np.arange(groups), [np.inf, np.inf], np.inf
        )
        greatest = running.cumulative
        up[path], both[path] = greatest[:, 0], greatest.max(axis=1)
        total[path] = np.exp(running.log_ratio[:, :, 0]).sum(axis=1)
    return up, both, total


def mean_time(values, limit):
    """Mean time to an alarm by how many there were in the time watched, and its error, relative."""
    first = np.argmax(values >= limit, axis=1)
    is_alarm = (values >= limit).any(axis=1)
    watched = np.where(is_alarm, first + 1, values.shape[1]).sum()
    return watched / is_alarm.sum(), is_alarm.sum() ** -0.5


def test_run_lengths_are_those_published(ledger):
    rng = np.random.default_rng(1972)
    off = []
    for shift in (0.0, 0.5, 1.0, 1.5, 2.0, 3.0):
        count, groups = (260, 120) if shift < 1.0 else (500, 40)
        up, both, total = paths(rng, count, groups, shift)
        found, error = mean_time(both, 4.0)
        off.append(abs(found / TWO_SIDED[shift] - 1.0) / max(error, 0.02))
        if shift in ONE_SIDED:
            found, error = mean_time(up, 3.0)
            off.append(abs(found / ONE_SIDED[shift] - 1.0) / max(error, 0.02))
        if shift == 0.0:
            found, error = mean_time(total, 40.0)
            off.append(abs(found * 0.5584 / 40.0 - 1.0) / max(error, 0.02))
            assert found > 40.0
    ledger("run lengths of a cumulative sum", "Brook & Evans 1972, Lucas & Crosier 1982",
           len(off), max(off), 3.5, "standard errors")  # fmt: skip
