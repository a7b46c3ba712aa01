"""The least-squares engine against certified nonlinear problems.

Source: NIST Statistical Reference Datasets, nonlinear regression (US government data): Misra1a
(lower difficulty), MGH09 and MGH10 (higher); data, starts, certified values and standard
deviations as published.
"""

import numpy as np
import pytest

from tapewright.calibration.fit import find_minimum

MISRA1A_X = np.array(
    [
        77.6,
        114.9,
        141.1,
        190.8,
        239.9,
        289.0,
        332.8,
        378.4,
        434.8,
        477.3,
        536.8,
        593.1,
        689.1,
        760.0,
    ]
)
MISRA1A_Y = np.array(
    [
        10.07,
        14.73,
        17.94,
        23.93,
        29.61,
        35.18,
        40.02,
        44.82,
        50.76,
        55.05,
        61.01,
        66.40,
        75.47,
        81.78,
    ]
)
MGH09_X = np.array([4, 2, 1, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625])
MGH09_Y = np.array(
    [0.1957, 0.1947, 0.1735, 0.16, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246]
)
MGH10_X = np.arange(50.0, 126.0, 5.0)
MGH10_Y = np.array(
    [
        34780, 28610, 23650, 19630, 16370, 13720, 11540, 9744,
        8261, 7030, 6005, 5147, 4427, 3820, 3307, 2872.0,
    ]
)  # fmt: skip


def misra1a(b):
    fall = np.exp(-b[1] * MISRA1A_X)
    return b[0] * (1 - fall) - MISRA1A_Y, np.stack([1 - fall, b[0] * MISRA1A_X * fall], axis=1)


def mgh09(b):
    top, bottom = MGH09_X**2 + b[1] * MGH09_X, MGH09_X**2 + b[2] * MGH09_X + b[3]
    by = [top / bottom, b[0] * MGH09_X / bottom]
    by += [-b[0] * top * MGH09_X / bottom**2, -b[0] * top / bottom**2]
    return b[0] * top / bottom - MGH09_Y, np.stack(by, axis=1)


def mgh10(b):
    grown = np.exp(b[1] / (MGH10_X + b[2]))
    by = [grown, b[0] * grown / (MGH10_X + b[2]), -b[0] * b[1] * grown / (MGH10_X + b[2]) ** 2]
    return b[0] * grown - MGH10_Y, np.stack(by, axis=1)


CASES = {
    "Misra1a, start 1": (misra1a, (500, 1e-4), [2.3894212918e02, 5.5015643181e-04],
                         [2.7070075241, 7.2668688436e-06], 1.2455138894e-01),
    "Misra1a, start 2": (misra1a, (250, 5e-4), [2.3894212918e02, 5.5015643181e-04],
                         [2.7070075241, 7.2668688436e-06], 1.2455138894e-01),
    "MGH09, start 2": (mgh09, (0.25, 0.39, 0.415, 0.39),
                       [1.9280693458e-01, 1.9128232873e-01, 1.2305650693e-01, 1.3606233068e-01],
                       [1.1435312227e-02, 1.9633220911e-01, 8.0842031232e-02, 9.0025542308e-02],
                       3.0750560385e-04),
    "MGH10, start 2": (mgh10, (0.02, 4000, 250),
                       [5.6096364710e-03, 6.1813463463e03, 3.4522363462e02],
                       [1.5687892471e-04, 2.3309021107e01, 7.8486103508e-01], 8.7945855171e01),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_engine_reaches_certified_values(name, ledger):
    problem, start, values, deviations, squares = CASES[name]
    found = find_minimum(
        lambda b: problem(b)[0], lambda b: problem(b)[1], np.array(start, dtype=float)
    )
    freedoms = len(problem(found.vector)[0]) - len(values)
    doubt = np.sqrt(np.diag(found.covariance) * found.sum_of_squares / freedoms)
    assert found.sum_of_squares == pytest.approx(squares, rel=1e-8)
    # In certified standard deviations: a fit off by a thousandth of its own doubt is as good.
    off = np.abs(found.vector - values) / deviations
    ledger(
        f"fitted values, {name}", "NIST StRD", len(values), off.max(), 1e-4,
        "standard deviations",
    )  # fmt: skip
    worst = np.abs(doubt / deviations - 1).max()
    ledger(f"standard deviations, {name}", "NIST StRD", len(values), 100 * worst, 0.01, "%")


@pytest.mark.parametrize(
    ("name", "problem", "start"),
    [("MGH09", mgh09, (25, 39, 41.5, 39)), ("MGH10", mgh10, (2, 4e5, 25000))],
)
def test_hard_starts_end_in_an_answer_or_an_error(name, problem, start):
    """Start 1 of these defeats many engines; it must never return nonsense silently."""
    from tapewright.ground.errors import CalibrationFailed

    try:
        found = find_minimum(
            lambda b: problem(b)[0], lambda b: problem(b)[1], np.array(start, dtype=float)
        )
    except CalibrationFailed:
        return
    assert np.isfinite(found.vector).all(), name
