"""Told by hand: what services find, as records with numbers written out, none equal to another.

Holds:  a wind, other air, slopes, cards, changes, misses, strips, plans, limits and tilts for
        tests of what people and programs are told.
Never:  computations.
"""

from math import nan
from types import SimpleNamespace

import numpy as np

from tapewright.calibration.rig import Belief
from tapewright.confidence.ladder import Ladder
from tapewright.confidence.limits import Reach
from tapewright.services.level import Tilts
from tapewright.services.stick_tape import Tape, Ticks


def quiet_answer():
    """What faces ask of a calibration: two pins, no caution, no limit known, all trust earned."""
    return SimpleNamespace(
        tape=None,
        trusted_m=(54.864, 45.72),
        once_zeroed_m=(54.864, 45.72),
        is_earned=True,
        slips=(),
        doubt=SimpleNamespace(without=()),
        ladder=Ladder(50.292, 41.148),
        stops=(),
        questions=(),
        fingerprint="abc123",
        cautions=(),
        limits=SimpleNamespace(far=None, allows=lambda reading_m: reading_m < 0.031),
        rig=SimpleNamespace(
            name="Heron",
            hand="left",
            bow=SimpleNamespace(kind=None),
            arrow=SimpleNamespace(point="field"),
            archer=SimpleNamespace(tolerance_m=0.0762, farthest_m=None),
            sight=SimpleNamespace(elevation_click_m=None),
            house=None,
        ),
        bands=SimpleNamespace(probability=0.9),
        posterior=SimpleNamespace(is_set_by_eye=False),
        groups=(),
        observations=(),
    )


def tape_on():
    """A tape of 10 to 110 yd, its ticks at 5 mm and 0.5 mm more for each yard."""
    return Tape("on", "yd", (Ticks((9.144, 100.584), (0.010, 0.060)),))


def blown(answer, side, cross_mps, head_mps=0.0, up=-1.0, *, strong=False):
    """A wind that carries to a side (right 1): 4 in and 10 in at 20 and 60 yd.

    A butt 0.3 m wide is enough at 20 yd, one 0.6 m wide at 60 yd.
    """
    carried = side * np.array([0.1016, 0.254])
    return SimpleNamespace(
        answer=answer,
        cross_mps=cross_mps,
        head_mps=head_mps,
        is_strong=strong,
        stays_on=lambda butt_width_m: butt_width_m >= np.array([0.3, 0.6]),
        misses=SimpleNamespace(
            distance_m=np.array([18.288, 54.864]),
            right_m=carried,
            right_low_m=carried - np.array([0.00508, 0.01016]),
            right_high_m=carried + np.array([0.01016, 0.02032]),
            up_m=up * np.array([0.00762, 0.0381]),
            reading_m=-up * np.array([0.11e-3, 0.32e-3]),
        ),
    )


def weather(answer, density_ratio=0.85, off=1.0, warmer_k=-12.0, *, far=False):
    return SimpleNamespace(
        answer=answer,
        pin=2,
        warmer_k=warmer_k,
        is_far=far,
        air=SimpleNamespace(temperature_k=268.15, pressure_pa=81200.0, relative_humidity=0.3),
        marks=SimpleNamespace(
            distance_m=np.array([18.288, 54.864]),
            home_m=np.array([0.016, 0.040]),
            away_m=np.array([0.01595, 0.0388]),
            away_low_m=np.array([0.01585, 0.0385]),
            away_high_m=np.array([0.01610, 0.0392]),
            miss_m=off * np.array([0.00254, 0.0508]),
            density_ratio=density_ratio,
        ),
    )


def sloped(answer):
    """Slopes of 30° down and 40° up, at 20 and 60 yd; the near mark uphill is lower than any."""
    return SimpleNamespace(
        answer=answer,
        table=SimpleNamespace(
            slope_rad=np.radians([-30.0, 40.0]),
            distance_m=np.array([18.288, 54.864]),
            dial_m=np.array([[16.4592, 50.292], [np.nan, 46.6344]]),
            reading_m=np.array([[0.0151, 0.0362], [0.0139, 0.0333]]),
        ),
        rule=SimpleNamespace(miss_m=np.array([[0.00508, -0.0127], [0.0254, 0.0762]])),
    )


def proof_of(name, distance_m, up_m, right_m):
    return SimpleNamespace(
        name=name, distance_m=distance_m, miss_up_m=up_m, doubt_up_m=0.0127,
        miss_right_m=right_m, doubt_right_m=0.0254,
    )  # fmt: skip


def proving(cause=None, causes=(), **more):
    return SimpleNamespace(
        cause=cause,
        verdict=SimpleNamespace(
            causes=causes,
            proofs=(proof_of("a", 18.288, 0.0508, -0.0762), proof_of("b", 54.864, nan, 0.1016),
                    proof_of("c", 45.72, -0.1524, nan)),
        ),
        shot=(SimpleNamespace(distance_m=18.288), SimpleNamespace(distance_m=45.72)),
        **{"answer": SimpleNamespace(tape=None)} | more,
    )  # fmt: skip


def strip_of(length_m, *reading_m):
    return SimpleNamespace(length_m=length_m, reading_m=[np.array(reading_m)])


def ranked(name, chance, worst_m, ticks_m, errors_m, align_m=0.0161, *, reversed_way=False):
    return SimpleNamespace(
        strip=SimpleNamespace(name=name), chance=chance, worst_m=worst_m, align_m=align_m,
        distance_m=np.array(ticks_m), error_m=np.array(errors_m), reversed_way=reversed_way,
    )  # fmt: skip


def chosen(*some, good=True):
    return SimpleNamespace(
        ranked=some,
        farthest_m=73.152,
        best_is_good=good,
        answer=SimpleNamespace(
            observations=("shot",),
            tape=None,
            rig=SimpleNamespace(archer=SimpleNamespace(tolerance_m=0.0762)),
        ),
    )


def plan_step(distance_m, arrows, band_m, trusted_m, chance=0.98, *, safe=True):
    return SimpleNamespace(distance_m=distance_m, arrows=arrows, band_m=band_m,
                           trusted_m=trusted_m, chance=chance, is_safe=safe)  # fmt: skip


def first_shot(*, safe=True):
    return SimpleNamespace(low_m=-0.254, high_m=0.381, reading_m=0.0412, height_95_m=0.7112,
                           height_99_m=0.9144, chance=0.93, is_safe=safe)  # fmt: skip


MEASURED_TRAVEL = Belief(1.6, 0.01)


def plan(**more):
    """A plan for 70 yd: groups at 30 and 60 yd, both places of the archer's own."""
    return SimpleNamespace(**{
        "answer": SimpleNamespace(
            tape=None, is_earned=True, slips=(), doubt=SimpleNamespace(without=()),
            cautions=(),
            rig=SimpleNamespace(
                archer=SimpleNamespace(farthest_m=None),
                name="Heron",
                sight=SimpleNamespace(elevation_click_m=None, reading_per_travel=MEASURED_TRAVEL,
                    pins_below_first_m=()),
                house=None,
            ),
        ),
        "is_set_by_eye": False,
        "ladder": Ladder(45.72, 41.148),
        "lands_m": (-0.2032, 0.1778),
        "hindrance": None,
        "spare": None,
        "share": 1.0,
        "windage_rad": 0.0,
        "is_walk": lambda step: step.distance_m not in (27.432, 54.864),
        "order": SimpleNamespace(wanted_m=64.008, wish=SimpleNamespace(
            tolerance_m=0.0762, butt=SimpleNamespace(width_m=0.9144, height_m=0.762))),
        "band_m": 0.1016,
        "trusted_m": 45.72,
        "is_trusted": False,
        "gets_there": True,
        "candidates": (plan_step(27.432, 3, 0.0889, 45.72), plan_step(27.432, 4, 0.0838, 50.292),
                       plan_step(54.864, 3, 0.0635, 0.0, 0.71, safe=False),
                       plan_step(54.864, 4, 0.0584, 64.008, 0.71, safe=False)),
        "steps": (plan_step(27.432, 4, 0.0838, 50.292),
                  plan_step(54.864, 3, 0.0584, 64.008, 0.999)),
        "readings_m": (0.02111, 0.03902),
        "half_bands_m": (0.00005, 0.0009),
        "barred_m": (),
        "first": first_shot(),
        "chain": tuple(plan_step(one, 3, 0.1, 0.0) for one in (36.576, 50.292, 64.008)),
        "chain_gets_there": True,
    } | more)  # fmt: skip


def limit(kind, reading_m, low_m, high_m, role):
    return SimpleNamespace(kind=kind, reading_m=reading_m, low_m=low_m, high_m=high_m, role=role)


HOUSING = limit("housing", 0.0421, 0.0402, 0.0444, "binds")


MEASURED = limit("measured clearance", 0.0409, 0.0409, 0.0409, "overruled")


FAR_END = limit("far end", 0.06, 0.06, 0.06, "beyond")


def limits_found(far=HOUSING, *some, by_eye=False, assumed=True, kind=None, **sight):
    sight = {"arrow_margin_m": None, "clearance_reading_m": None, "travel_ends_m": None} | sight
    limits = SimpleNamespace(far=far, found=some)
    return SimpleNamespace(
        answer=SimpleNamespace(
            tape=None,
            rig=SimpleNamespace(
                name="Heron",
                bow=SimpleNamespace(kind=kind),
                sight=SimpleNamespace(**sight),
                house=None,
            ),
            groups=(),
            limits=limits,
            posterior=SimpleNamespace(is_set_by_eye=by_eye),
        ),
        limits=limits,
        vane_is_assumed=assumed,
        reaches=(
            Reach(1, (4.572, 4.0, 5.0), (86.868, 82.296, 91.44), 120.0),
            Reach(2, (6.4008, 6.0, 7.0), (120.0, 109.728, 120.0), 120.0),
        ),
        distance_m=np.array([18.288, 91.44]),
        left_m=np.array([[0.0212, -0.0011], [0.0254, -0.0002]]),
        left_low_m=np.array([[0.0199, -0.0031], [0.0239, -0.0019]]),
    )


TILTS = Tilts(np.radians(1.0), np.radians(2.0), np.radians(0.5), 1.5e-3, np.radians(20), 18.288)


MISSES = SimpleNamespace(
    distance_m=np.array([18.288, 54.864]),
    cant_right_m=np.array([0.0051, 0.0254]),
    constant_cant_right_m=np.array([0.0, 0.0127]),
    uphill_right_m=np.array([-0.0102, -0.0508]),
    downhill_right_m=np.array([0.0076, 0.0762]),
    travel_right_m=np.array([0.0, -0.0178]),
    peep_m=np.array([0.0305, 0.1016]),
)


def flown(low, middle, high):
    return SimpleNamespace(low=np.array(low), middle=np.array(middle), high=np.array(high))


def banded_marks(shift_m=0.0, wider=1.0):
    return SimpleNamespace(
        probability=0.9,
        distance_m=np.array([18.288, 64.008]),
        reading_m=np.array([0.016, 0.0412]) + shift_m,
        low_m=np.array([0.0157, 0.0404]) + shift_m,
        high_m=np.array([0.0163, 0.042]) + shift_m,
        impact_low_m=-wider * np.array([0.0127, 0.0762]),
        impact_high_m=wider * np.array([0.0127, 0.0518]),
    )


def card_made(answer, pin=2, speed_mps=82.296):
    """A range card for 20 and 70 yd, of a pin that is trusted to 50 yd."""
    answer.fingerprint = "abc123"
    answer.posterior = SimpleNamespace(method="importance sampling")
    answer.rig.air = SimpleNamespace(temperature_k=288.15, pressure_pa=101325.0)
    return SimpleNamespace(
        answer=answer,
        order=SimpleNamespace(pin=pin, radius_m=0.0635),
        trusted_m=45.72,
        marks=banded_marks(),
        close=SimpleNamespace(
            distance_m=np.array([2.7432]),
            reading_m=np.array([0.0187]),
            low_m=np.array([0.0182]),
            high_m=np.array([0.0192]),
            impact_low_m=np.array([-0.0127]),
            impact_high_m=np.array([0.0102]),
        ),
        close_twin_m=np.array([26.5176]),
        flight=SimpleNamespace(
            turning_m=8.2296,
            hold_near_m=np.array([15.5448, np.nan]),
            hold_far_m=np.array([20.1168, 65.8368]),
            early_m=np.array([2.7432, 2.286]),
            late_m=np.array([1.8288, 1.3716]),
            time_s=flown([0.221, 0.812], [0.223, 0.82], [0.225, 0.83]),
            speed_mps=flown([81.6864, 76.0], [speed_mps, 76.2], [82.9056, 76.4]),
            energy_j=flown([80.0, 70.0], [81.349077, 69.146715], [84.0, 73.0]),
            momentum_n_s=flown([1.9, 1.7], [2.00169972, 1.77928864], [2.1, 1.9]),
            drift_m=flown([0.001, 0.02], [0.0022727, 0.0284090], [0.003, 0.03]),
        ),
    )
