"""The hierarchical model of numbered arrows against the published example of all such models.

Source: coaching in eight schools, D. B. Rubin, Journal of Educational Statistics 6 (1981) 377-401,
rounded data as A. Gelman et al., Bayesian Data Analysis, 3rd ed., §5.5, print them (seen), with
flat priors of mean and spread. Means and quantiles: two-dimensional quadrature of another program;
the book's own quantiles of school A, -2 7 10 16 31 of 200 draws (from memory), agree with it.
A school is an arrow, its known error that of its shots, and the mean of all the one group's
centre; the model tells each from that mean.
"""

import numpy as np

from tapewright.target.arrow_offsets import Layout, pool_offsets

EFFECT = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
ERROR = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0])
MEAN = 7.9324
OF_SCHOOLS = np.array([11.400, 7.895, 6.131, 7.645, 5.127, 6.139, 10.667, 8.457])
SPREAD = {0.025: 0.242, 0.25: 2.466, 0.5: 5.238, 0.75: 9.124, 0.975: 20.75}
MEAN_SPREAD = 6.575


def test_offsets_and_spread_are_those_published(ledger):
    weight = ERROR**-2.0
    information = np.diag(weight) - np.outer(weight, weight) / weight.sum()
    spread = np.linspace(0.0, 400.0, 20_001)[1:]
    offset = (EFFECT - EFFECT.mean())[:, None]
    found = pool_offsets(Layout(information, offset, 1.0, np.inf), spread)
    worst = np.abs(MEAN + found.offset[:, 0] - OF_SCHOOLS).max()
    against = "eight schools, Rubin 1981, flat priors, by quadrature"
    ledger("means of a hierarchical model", against, 8, worst, 0.005, "points")
    grown = np.cumsum(found.weight)
    off = [spread[np.searchsorted(grown, chance)] - at for chance, at in SPREAD.items()]
    off.append(float(found.weight @ spread) - MEAN_SPREAD)
    ledger("spread of a hierarchical model", against, 6, np.abs(off).max(), 0.03, "points")
