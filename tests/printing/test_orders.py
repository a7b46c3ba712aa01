"""What people say of a print becomes an order; a fault names its place."""

from types import SimpleNamespace

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.printing import tape, target
from tapewright.printing.gauge import gauge_look, gauge_ruler
from tapewright.printing.print_record import Wish, plainly
from tapewright.printing.tape import asked_ticks
from tapewright.questions.question import Said, option
from tapewright.services.equip import Arrow, Belief, Rig

TICKS = tuple(float(one) for one in range(5, 101))
RIG = Rig("Rig", Arrow(Belief(0.027), 0.006), hand="left")


def said(**texts):
    return Said(texts, option)


def tape_order(rig, ticks, units, look, proof_mm=None, read=plainly):
    return tape.tape_order(rig, ticks, units, Wish(look, units, proof_mm, read))


def gauge_order(hand, look):
    return gauge_look(hand, Wish(look, IMPERIAL))


def target_order(rig, look, proof_mm=None, read=plainly, *, metric=None, usually_metric=False):
    grid = {None: "", True: "cm", False: "in"}[metric]
    look = Said({**look.texts, "grid": grid}, option)
    wish = Wish(look, METRIC if usually_metric else IMPERIAL, proof_mm, read)
    order = target.target_order(rig, wish)
    return order.target, order.distance_unit


def test_nothing_said_is_the_usual_tape():
    order = tape_order(RIG, TICKS, IMPERIAL, said())
    assert (order.unit, order.between, order.width_mm, order.paper) == (
        "yd",
        None,  # those that follow the rig
        12.0,
        "A4",
    )
    assert (order.pointer, order.far_end, order.number_every) == ("left", "down", 5)
    assert (order.step_mm, order.length_mm, order.wheel_mm) == (None, None, None)


def test_what_is_said_is_taken():
    look = said(
        pointer="right", far_end="up", number_every="10", paper="Letter", width="1 cm",
        length="5 in", step="0.5 mm", between="20,50", wheel="50 mm", thickness="0.2 mm",
    )  # fmt: skip
    order = tape_order(RIG, TICKS, METRIC, look, (99.0, 101.0))
    assert (order.unit, order.between, order.proof_mm) == ("m", (20.0, 50.0), (99.0, 101.0))
    assert (order.width_mm, order.length_mm, order.step_mm) == pytest.approx((10.0, 127.0, 0.5))
    assert order.wheel_mm == pytest.approx((50.0, 0.2))
    assert (order.pointer, order.far_end, order.number_every) == ("right", "up", 10)


def test_a_side_scale_widens_the_usual_strip_by_its_room():
    order = tape_order(RIG, TICKS, IMPERIAL, said(side_scale="yes", labels="yes"))
    assert (order.side_scale, order.width_mm, order.labels) == (True, 16.5, True)
    assert order.look.lanes_mm == 12.0
    narrow = tape_order(RIG, TICKS, IMPERIAL, said(side_scale="yes", width="14 mm"))
    assert narrow.width_mm == pytest.approx(14.0)
    plain = tape_order(RIG, TICKS, IMPERIAL, said())
    assert (plain.side_scale, plain.labels) == (False, False)


def test_a_wheel_without_a_thickness_takes_the_usual_one():
    order = tape_order(RIG, TICKS, IMPERIAL, said(wheel="50 mm"))
    assert order.wheel_mm == pytest.approx((50.0, 0.15))


def test_units_of_distances_typed_are_those_of_the_tape():
    assert asked_ticks(said(), IMPERIAL) == ((), IMPERIAL)
    assert asked_ticks(said(distances="18,30 m"), IMPERIAL)[1] == METRIC
    assert asked_ticks(said(distances="20,30 yd"), METRIC)[1] == IMPERIAL
    assert asked_ticks(said(distances="60,90 ft"), METRIC)[1] == METRIC


@pytest.mark.parametrize(
    ("look", "place"),
    [
        ({"step": "0 mm"}, "--step"),
        ({"between": "20"}, "--between"),
        ({"width": "wide"}, "--width"),
        ({"paper": "A3"}, "--paper"),
        ({"pointer": "up"}, "--pointer"),
        ({"number_every": "7"}, "--number-every"),
    ],
)
def test_a_fault_names_its_place(look, place):
    with pytest.raises(BadInput) as refused:
        tape_order(RIG, TICKS, IMPERIAL, said(**look))
    assert refused.value.place == place


def test_a_reader_that_goes_on_hears_every_fault():
    heard = []

    def note(name, reading, instead):
        try:
            return plainly(name, reading, instead)
        except BadInput:
            heard.append(name)
            return instead

    look = said(step="0 mm", between="20", width="wide", paper="A3", wheel="x")
    tape_order(RIG, TICKS, IMPERIAL, look, None, note)
    assert sorted(heard) == ["between", "paper", "step", "wheel", "width"]
    heard.clear()
    target_order(None, said(size="60", distance="far", tolerance="x"), None, note)
    assert sorted(heard) == ["distance", "size", "tolerance"]


@pytest.mark.parametrize(
    ("far_end", "numbers_fall", "grows"),
    [("down", False, "down"), ("up", False, "up"), ("down", True, "up"), ("up", True, "down")],
)
def test_a_gauge_s_numbers_run_as_the_sight_s_do(far_end, numbers_fall, grows):
    order = gauge_order("right", said(far_end=far_end))
    assert gauge_ruler(0, 80, order, numbers_fall=numbers_fall).grows == grows
    assert order.pointer == "right"


def test_a_target_s_grid_is_in_the_units_typed_or_else_the_usual():
    def unit(metric=None, usually_metric=False, **texts):  # noqa: FBT002 — as the order takes them
        order, distance_unit = target_order(
            None, said(**texts), metric=metric, usually_metric=usually_metric
        )
        return order.unit, distance_unit

    assert unit() == ("in", "yd")
    assert unit(usually_metric=True) == ("cm", "m")
    assert unit(usually_metric=True, size="6x8 in") == ("in", "yd")
    assert unit(usually_metric=True, distance="30") == ("cm", "m")
    assert unit(distance="30 m") == ("cm", "m")
    assert unit(metric=False, distance="30 m") == ("in", "m")
    assert unit(metric=True, distance="30") == ("cm", "m")
    assert unit(metric=False, usually_metric=True, distance="30") == ("in", "yd")


def test_a_target_takes_the_rig_s_tolerance_unless_told_otherwise():
    rig = SimpleNamespace(archer=SimpleNamespace(tolerance_m=0.05))
    assert target_order(rig, said())[0].tolerance_m == 0.05
    assert target_order(rig, said(tolerance="None"))[0].tolerance_m is None
    assert target_order(rig, said(tolerance="2 cm"))[0].tolerance_m == pytest.approx(0.02)
    assert target_order(None, said())[0].tolerance_m is None
