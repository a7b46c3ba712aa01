"""Published changes: what a change does to an invented bow, by laws that others have published.

None of it is the program's: speeds go by measured virtual masses, a third of a string's mass and
the trade's figures for draw weight and draw length; drag by its published parts. Where nobody has
published anything (how far another arrow's angle or a peep tied again is off) people scatter by
what is common practice, and the line says so.

Source: [HICK47] Hickman, Nagler, Klopsteg, "Archery: The Technical Side" (1947): six longbows'
speeds with two strings; a third of a string's mass. [OLS] B. Olsen, measurements of a recurve's
limbs: virtual mass 5.7697 g + 0.0583 m. [TUI92] Tuijn, Kooi, Eur. J. Phys. 13 (1992): speeds
repeat to 0.2 %. [ORT20] Ortiz et al., Proceedings 49(1) (2020) 56: drag coefficients 1.56 and 2.05
of short and long vanes. [RHE47] Rheingans in the same book as [HICK47]: drag of skin, base and
vanes. [WH10] Wood Handbook (2010): 0.2 % of modulus a kelvin. The trade (magazine columns, no one
source): 15 to 20 ft/s for 10 lbf of a bow of 70, 10 ft/s or 4 to 5 % for an inch of draw.

Holds:  sheets with all that may change; the kinds of change, each with the truth it makes.
Never:  a number of the program's.
"""

from dataclasses import replace

import numpy as np
from archers import random_sheet, random_truth
from exact_units import FOOT_M, GRAIN_KG, INCH_M, POUND_FORCE_N

from tapewright.calibration.rig import Belief
from tapewright.flight.air import Air

BOWS = ("compound", "recurve", "longbow")
HICKMAN_GR = (188.0, 245.0, 197.0, 245.0, 278.0, 245.0)  # virtual masses of [HICK47], ±10 %
TO_REST_M = 0.7  # nocking point to rest at full draw; common practice


def truth_of(bow, rig, rng):
    """A truth near a sheet, with the dispersion of those who shoot such bows."""
    spread = {"compound": (0.4e-3, 1.2e-3), "recurve": (0.9e-3, 2.2e-3), "longbow": (2e-3, 4e-3)}
    return random_truth(rig, rng, rng.uniform(*spread[bow]))


def sheet_of(bow, rng):
    """A usual bow of a kind, with weight, draw and vanes told. Common practice, no source."""
    rig, told = random_sheet(rng), {}
    if bow != "compound":
        told = {"kind": bow}
        slow, fast = (170, 215) if bow == "recurve" else (140, 175)
        grains = (280, 380) if bow == "recurve" else (400, 520)
        radius = (32, 39) if bow == "recurve" else (27, 30)
        told["launch_speed_mps"] = Belief(rng.uniform(slow, fast) * FOOT_M, 2 * FOOT_M)
        rig = replace(
            rig,
            arrow=replace(rig.arrow, mass_kg=Belief(rng.uniform(*grains) * GRAIN_KG, 2 * GRAIN_KG)),
            sight=replace(
                rig.sight, sight_radius_m=Belief(rng.uniform(*radius) * INCH_M, 0.5 * INCH_M)
            ),
        )
    # So weak, and shafts so long, that no change makes an arrow too light or too short.
    grains_a_pound = {"compound": 8, "recurve": 10, "longbow": 13}[bow]
    pounds = min(rng.uniform(40, 70), rig.arrow.mass_kg.value / GRAIN_KG / grains_a_pound)
    draw_m = rng.uniform(27, 30) * INCH_M
    weak = {"draw_weight_n": pounds * POUND_FORCE_N, "draw_length_m": draw_m}
    long = {"length_m": draw_m + 1.5 * INCH_M, "vane_height_m": 0.4 * INCH_M}
    return replace(rig, bow=replace(rig.bow, **weak, **told), arrow=replace(rig.arrow, **long))


class Bench:
    """A bow on the bench: its sheet and its truth, changed step by step."""

    def __init__(self, bow, rig, truth, rng, unsourced):
        self.bow, self.rig, self.truth, self.rng = bow, rig, truth, rng
        self.unsourced = unsourced
        self.vector, self.place = truth.vector.copy(), truth.unknowns.place
        self.mass_kg = self._weighed(rig.arrow.mass_kg)
        self.moving = self._moving()
        self.by_weight = rng.uniform(0.317, 0.5)  # 15 of 315 ft/s for 10 of 70 lbf, to the root
        self.new_string = False
        # How far the bow turns while the string pushes, for each kilogram of arrow: momentum, a
        # lever, half a stroke's time, an inertia. Plain mechanics; the sizes are common practice.
        lever_m, inertia_kg_m2 = rng.uniform(-0.08, 0.08), rng.uniform(0.15, 0.3)
        self.turn_per_kg = 0.7 * 0.52 * lever_m / inertia_kg_m2

    def _weighed(self, told):
        """A mass that was told, as it really is."""
        return told.value + told.sd * self.rng.standard_normal()

    def _moving(self):
        """(constant part, part that grows with the arrow) of the virtual mass."""
        rng = self.rng
        if self.bow == "compound":  # 25 to 90 gr: efficiencies of 0.75 to 0.88, from memory
            return 25 * GRAIN_KG * (90 / 25) ** rng.random(), 0.0
        if self.bow == "recurve":  # one pair of limbs was measured: others ±20 %
            return 5.7697e-3 * np.exp(0.2 * rng.standard_normal()), 0.0583 * rng.uniform(0.5, 1.5)
        return rng.choice(HICKMAN_GR) * GRAIN_KG * (1 + 0.1 * rng.standard_normal()), 0.0

    def all_kg(self, arrow_kg, more_kg=0.0):
        return arrow_kg + self.moving[0] + self.moving[1] * arrow_kg + more_kg

    def add(self, name, by):
        self.vector[self.place(name)] += by

    def scatter(self, name, sd):
        """What has a source."""
        self.add(name, sd * self.rng.standard_normal())

    def usual(self, name, sd):
        """What is common practice, no source."""
        self.scatter(name, self.unsourced * sd)

    def lift(self, by_m):
        """The eye higher over the arrow."""
        self.add("peep_height", by_m)
        self.add("zero_tangent", -by_m / self.truth.unknowns.sight_radius_m)

    def arrow(self, **parts):
        self.rig = replace(self.rig, arrow=replace(self.rig.arrow, **parts))

    def another_mass(self, grains):
        """Another mass of arrow, told as well as the first."""
        told = Belief(self.rig.arrow.mass_kg.value + grains * GRAIN_KG, 2 * GRAIN_KG)
        is_kg = self._weighed(told)
        self.add("log_speed", 0.5 * np.log(self.all_kg(self.mass_kg) / self.all_kg(is_kg)))
        self.scatter("log_speed", 0.002)  # [TUI92]
        self.add("log_drag", np.log(self.mass_kg / is_kg))
        self.add("zero_tangent", self.unsourced * self.turn_per_kg * (is_kg - self.mass_kg))
        self.mass_kg = is_kg
        self.arrow(mass_kg=told)

    def coefficient(self):
        """Of drag, on the shaft's cross-section."""
        area_m2 = np.pi * self.rig.arrow.shaft_diameter_m**2 / 4
        per_m = np.exp(self.vector[self.place("log_drag")])
        return 2 * self.mass_kg * per_m / (self.rig.air.density_kg_m3 * area_m2)

    def more_drag(self, coefficient):
        had = self.coefficient()
        self.add("log_drag", np.log(max(had + coefficient, 1.0) / had))

    # ---- the kinds

    def point(self):
        """A heavier or lighter point of the same shape on the same shaft."""
        grains = self.rng.choice([-1, 1]) * self.rng.uniform(10, 80)
        self.another_mass(grains)
        self.usual("log_drag", 0.02)
        self.usual("zero_tangent", 0.25e-3)  # spine under load

    def shaft(self):
        """Other arrows with like vanes: another mass, diameter and length."""
        was, rng = self.rig.arrow, self.rng
        is_m, length_m = rng.uniform(5.2e-3, 7.2e-3), was.length_m + rng.uniform(-1, 1) * INCH_M
        skin, vanes = rng.uniform(0.4, 0.6), rng.uniform(0.15, 0.35)  # [RHE47], shares by [PARK]
        wide, long = is_m / was.shaft_diameter_m, length_m / was.length_m
        self.add("log_drag", np.log(skin * wide * long + vanes + (1 - skin - vanes) * wide**2))
        self.usual("log_drag", 0.02)
        self.another_mass(was.mass_kg.value / GRAIN_KG * rng.uniform(-0.25, 0.25))
        self.arrow(shaft_diameter_m=is_m, length_m=length_m)
        self.add("launch_ahead", length_m - was.length_m)
        # On the rest the point of a thick shaft lies high; half of all people move the rest.
        tilt = 0.5 * (is_m - was.shaft_diameter_m) / TO_REST_M
        self.add("zero_tangent", self.unsourced * tilt * (rng.random() - rng.integers(2)))
        self.usual("zero_tangent", 0.5e-3)  # stiffness, nock

    def vanes(self):
        """Longer or shorter vanes: anything up to from short to long, [ORT20]."""
        self.more_drag(self.rng.uniform(-0.49, 0.49))
        self.another_mass(self.rng.uniform(-8, 8))
        self.arrow(vane_height_m=self.rng.choice([0.3, 0.5]) * INCH_M)
        self.usual("zero_tangent", 0.25e-3)

    def broadhead(self):
        """Blades in place of a field point: no law is published, only that they drag and plane."""
        self.more_drag(self.rng.uniform(0.1, 0.9))  # from memory: noticeably
        self.another_mass(self.rng.uniform(-3, 3))
        self.arrow(point="broadhead")
        self.usual("zero_tangent", 1.5e-3)  # a couple of inches at 20 to 30 yd

    def string(self):
        """A string of another mass; weight, nocking point and peep set again."""
        normal = self.rng.standard_normal
        more_kg = (15 * normal() / 3 + 3 * normal()) * GRAIN_KG  # a third [HICK47]; peep whole
        has, gets = self.all_kg(self.mass_kg), self.all_kg(self.mass_kg, more_kg)
        back = self.by_weight * np.log(1 + normal() / 60)  # set within a pound of sixty
        self.add("log_speed", 0.5 * np.log(has / gets) + back)
        self.usual("zero_tangent", 0.5e-3 / TO_REST_M)  # nocking point within half a millimetre
        self.usual("zero_tangent", 0.5e-3)
        if self.bow == "compound":
            self.lift(self.unsourced * 1.5e-3 * normal())  # a peep tied by a ruler
        self.new_string = True

    def weight(self):
        """Limbs turned in or out: the trade's 15 to 20 ft/s for 10 lbf, or energy alone."""
        more = self.rng.choice([-1, 1]) * self.rng.uniform(0.03, 0.15)
        self.read_weight(1 + more)
        share = self.by_weight
        if self.bow != "compound":
            share = 0.5
            self.scatter("log_speed", 0.005)  # stored share 0.575 to 0.595 [TUI92]
        self.add("log_speed", share * np.log(1 + more))
        self.usual("zero_tangent", 0.5e-3)  # tiller

    def read_weight(self, ratio):
        """The new weight, read on a hand scale as the old one was."""
        off = 1 + self.unsourced * 0.008 * self.rng.standard_normal(2)
        is_n = self.rig.bow.draw_weight_n * ratio * off[1] / off[0]
        self.rig = replace(self.rig, bow=replace(self.rig.bow, draw_weight_n=is_n))

    def draw(self):
        """A longer or shorter draw; the eye goes with the string."""
        rng = self.rng
        told_m = rng.choice([-1.0, -0.5, 0.5, 1.0]) * INCH_M
        by_m = told_m + self.unsourced * 0.1 * INCH_M * rng.standard_normal()
        self.push(by_m)
        self.add("launch_ahead", by_m)
        radius_m = self.truth.unknowns.sight_radius_m
        self.vector[self.place("zero_tangent")] *= radius_m / (radius_m + by_m)
        self.add("log_gain", np.log((radius_m + by_m) / radius_m))
        # the string's angle at the eye: plain geometry
        self.lift(-0.13 * self.unsourced * rng.random() * by_m)
        length_m = self.rig.bow.draw_length_m + told_m
        self.rig = replace(self.rig, bow=replace(self.rig.bow, draw_length_m=length_m))
        self.usual("zero_tangent", 0.5e-3)  # timing of cams

    def push(self, by_m):
        """2.3 to 4.5 % of speed an inch; without cams the force grows along a straight curve."""
        rng = self.rng
        if self.bow == "compound":
            self.add("log_speed", rng.uniform(0.023, 0.045) * by_m / INCH_M)
            return
        brace_m = (8.6 if self.bow == "recurve" else 6.75) * INCH_M  # [TUI92]; common practice
        stroke_m = self.rig.bow.draw_length_m - 1.75 * INCH_M - brace_m
        # of weight times stroke: [TUI92], [OLS]; longbows by a nearly straight curve, from memory
        stored = rng.uniform(0.575, 0.595) if self.bow == "recurve" else rng.uniform(0.5, 0.54)
        longer, start = 1 + by_m / stroke_m, 2 * stored - 1
        heavier = start + (1 - start) * longer
        self.add("log_speed", 0.5 * np.log(longer * (start + heavier) / (start + 1)))
        if rng.random() < 0.5:  # half of all people weigh it again
            self.read_weight(heavier)

    def cold(self):
        """Another day: density, and limbs by half the modulus of wood [WH10] or less."""
        was = self.rig.air
        by_k = self.rng.uniform(-30, 15)
        air = Air(was.temperature_k + by_k, was.pressure_pa, was.relative_humidity)
        self.add("log_drag", np.log(air.density_kg_m3 / was.density_kg_m3))
        if self.bow == "longbow":  # wood is stiffer in the cold; fibre, strings, people: either way
            self.add("log_speed", -self.rng.uniform(0.0, 0.001) * by_k)
            self.scatter("log_speed", 0.0005 * abs(by_k))
        else:
            self.scatter("log_speed", self.rng.uniform(0.0005, 0.001) * abs(by_k))
        self.rig = replace(self.rig, air=air)


KINDS = ("point", "shaft", "vanes", "broadhead", "string", "weight", "draw", "cold")


def changed(kind, bow, rig, truth, rng, unsourced=1.0):
    """The sheet after a change, its truth, and whether the string is new.

    What is common practice without a source scatters so many times as much as is usual.
    """
    bench = Bench(bow, rig, truth, rng, unsourced)
    getattr(bench, kind)()
    return bench.rig, replace(truth, vector=bench.vector), bench.new_string
