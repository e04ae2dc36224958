"""Axles made at random from a number: every kind of linkage, joint, bracket, donor and reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.random import Generator

from kinematics.errors import InvalidInput
from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.linkage.motion import solve
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import STEELS
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.parts import (
    CARRIERS,
    Bracket,
    Carrier,
    GearboxMovement,
    Hub,
    InnerJoint,
    Linkage,
    Measured,
    MeasuredPosition,
    OuterJoint,
    Point,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.following import follow
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.trial import TrialMeasurement
from scenes.making import Making
from scenes.model import Scene

HEIGHTS = (-38.0, -15.0, 5.0, 30.0)


def _point(rng: Generator, middle: tuple[float, float, float], by: float) -> Point:
    out, up, fore = np.round(np.add(middle, rng.uniform(-by, by, 3)), 2).tolist()
    return (out, up, fore)


def _linkage(rng: Generator, kind: str, hub: Hub) -> Linkage:
    if kind == "strut":
        return Strut(
            _point(rng, (340, 205, 0), 25),
            _point(rng, (670, 190, 0), 20),
            _point(rng, (580, 780, -20), 30),
            _point(rng, (640, 355, 0), 25),
        )
    if kind == "wishbones":
        return Wishbones(
            _point(rng, (330, 190, 0), 25),
            _point(rng, (670, 175, 0), 20),
            _point(rng, (390, 400, 0), 25),
            _point(rng, (640, 420, 0), 25),
        )
    positions = []
    for travel in (-70.0, -35.0, 30.0, 65.0):
        bend = -(travel**2) / 900.0 + rng.uniform(-0.4, 0.4)
        outer = (hub.outer_joint[0] + bend, hub.outer_joint[1] + travel, hub.outer_joint[2])
        wheel = (hub.wheel_centre[0] + 1.1 * bend, hub.wheel_centre[1] + travel, 0.5)
        positions.append(MeasuredPosition(travel, outer, wheel))
    return Measured(tuple(positions))


def _bracket(rng: Generator, number: int, mounts: Sequence[Carrier]) -> Bracket:
    """A ragged outline near the shaft; often convex, often not."""
    centre = np.array((rng.uniform(300, 620), 310 + rng.choice((-1, 1)) * rng.uniform(35, 130)))
    corners = int(rng.integers(3, 9))
    angle = np.sort(rng.uniform(0, 2 * np.pi, corners))
    size = rng.uniform(12, 60, corners)
    outline = centre + np.stack([size * np.cos(angle), size * np.sin(angle)], axis=1)
    rear = rng.uniform(-60, 30)
    return Bracket(
        f"bracket {number}",
        tuple((round(x, 2), round(y, 2)) for x, y in outline.tolist()),
        mounts[number % len(mounts)],
        None if rng.random() < 0.3 else (round(rear, 1), round(rear + rng.uniform(4, 80), 1)),
        round(rng.uniform(2, 12), 1),
    )


def _shaft(rng: Generator, *, table: bool, bell: bool) -> Shaft:
    stroke_in, stroke_out = rng.uniform(18, 28, 2).round(1).tolist()
    rows = (
        (0.0, stroke_in, stroke_out),
        (12.0, 0.8 * stroke_in, 0.9 * stroke_out),
        (19.0, 0.6 * stroke_in, 0.5 * stroke_out),
        (25.0, 0.2 * stroke_in, 0.3 * stroke_out),
    )
    inner = InnerJoint(
        _point(rng, (255, 310, 0), 15),
        stroke_in,
        stroke_out,
        24.0,
        (1.0, *rng.uniform(-0.1, 0.1, 2).round(3).tolist()),
        rows if table else (),
        () if bell else (Section("housing", -50.0, 20.0, (84.0, 80.0)),),
    )
    boot = float(rng.uniform(80, 100))
    return Shaft(
        inner,
        OuterJoint(46.0, (Section("bell", -20.0, 40.0, (90.0, 70.0)),) if bell else ()),
        None,
        (
            Section("outer boot", 28.0, boot, (82.0, 34.0)),
            Section("bar", boot, 300.0, (25.0, 25.0)),
            Section("inner boot", 300.0, 365.0, (36.0, 80.0)),
        ),
    )


def scene(seed: int, kind: str, *, brackets: int = 3, share: float = 1.0) -> Scene:
    """An axle with the left shaft alone, nothing of its making; every number hangs on ``seed``.

    It takes ``share`` of the usual travel and locks.
    """
    rng = np.random.default_rng(seed)
    outer = _point(rng, (655, 300, 0), 12)
    hub = Hub(outer, _point(rng, (outer[0] + 65, outer[1], 0), 3))
    linkage = _linkage(rng, kind, hub)
    # What turns with a joint stays as far from what is bolted to the same part: a gap that is
    # alike everywhere has no place of its own.
    bell = seed % 4 < 2
    fixed = "knuckle" if bell else "gearbox"
    mounts = [one for one in CARRIERS if one != fixed and (kind != "measured" or one != "arm")]
    near: list[Bracket] = []
    while len(near) < brackets:
        try:
            near.append(_bracket(rng, len(near), mounts))
        except InvalidInput:
            continue
    bump, droop = (share * rng.uniform(40, 64, 2)).round(1).tolist()
    return Scene(
        linkage,
        hub,
        Travel(bump, droop),
        _shaft(rng, table=seed % 2 == 1, bell=bell),
        steering=Steering(33.0 * share, 28.5 * share) if kind != "measured" else None,
        gearbox_movement=GearboxMovement(*rng.uniform(0.5, 7, 3).round(1).tolist()),
        brackets=tuple(near),
        strut_tube=StrutTube(52.0, 10.0, 190.0) if kind == "strut" and not bell else None,
        arm=Arm(22.0, 18.0, (-40.0, 35.0)) if kind == "wishbones" else None,
        gearbox_placement=MountRoom((-9.0, 7.0), (-5.0, 8.0)),
    )


def _donor(rng: Generator, *, length: float, boot: bool) -> Donor:
    edges = np.cumsum(rng.uniform(18, 34, 4)).round(1).tolist()
    bar = round(rng.uniform(24, 29), 1)
    third = "boot" if boot else "groove"
    return Donor(
        length - round(rng.uniform(10, 40), 1),
        Datum("shoulder", edges[2]),
        (
            Stretch("spline", edges[0], edges[1], bar + 1.0, "spline", bar - 1.2, 1.5),
            Stretch("neck", edges[1], edges[2], bar - 0.5, radius=2.5),
            Stretch(third, edges[2], edges[3], bar, third, bar - 1.5, 2.0),  # type: ignore[arg-type]
            Stretch("bar", edges[3], length, bar, radius=3.0),
        ),
        cut_twice=bool(rng.random() < 0.5),
        steel=STEELS[int(rng.integers(len(STEELS)))],
    )


def made(seed: int, kind: str) -> Scene:
    """The same with donors, a splice, a drive, runout and what a dummy shaft measured."""
    rng = np.random.default_rng(1000 + seed)
    drawn = scene(seed, kind, brackets=0)
    assert drawn.left is not None
    corner = drawn.corner("left")
    motion = solve(corner.linkage, corner.hub, HEIGHTS)
    swept_length = follow(corner, motion).swept_length_mm
    hub, gearbox = (_donor(rng, length=rng.uniform(260, 300), boot=b) for b in (False, True))
    bar = min(hub.stretches[-1].diameter, gearbox.stretches[-1].diameter)
    butt = Butt(30.0, spigot_length=26.0, bore=12.0) if seed % 3 else None
    sleeve = Sleeve(85.0, round(bar + 0.05, 2), bar + 11.0) if seed % 3 != 1 else None
    making = Making(
        hub_donor=hub,
        gearbox_donor=gearbox,
        splice=Splice(round(rng.uniform(180, 210), 1), butt=butt, sleeve=sleeve, root_gap=2.0),
        trial=tuple(
            TrialMeasurement(travel, round(swept + rng.uniform(-0.7, 0.7), 2), error=1.0)
            for travel, swept in zip(HEIGHTS, swept_length.tolist(), strict=True)
        ),
        runout=(
            Runout(110.0, round(rng.uniform(0.02, 0.2), 3), 40.0),
            Runout(270.0, round(rng.uniform(0.02, 0.2), 3), 130.0),
        ),
    )
    drive = Drive(rng.uniform(60, 120), 1.8, 3.9, rng.uniform(250, 340), 280.0, 120.0)
    return replace(drawn, left_making=making, drive=drive, strut_tube=None, arm=None)
