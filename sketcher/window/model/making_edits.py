"""What a person does about making the shaft: donors, splice, sleeve, drive, readings."""

from __future__ import annotations

import math
import re
from dataclasses import replace

from kinematics.errors import InvalidInput
from kinematics.making.donors import ENDS, Datum, Donor, End, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.shaft.following import ride_centred_length_mm
from scenes.guessed import guessed_values, with_guesses, without_guesses
from scenes.keys import EditRefused, refusing, value_of, with_value
from scenes.making import Making, Others
from scenes.model import Scene, Side

# A key that names where a stretch of a donor begins or ends.
STRETCH_END = re.compile(r"(?P<stretches>.+\.stretch)\[(?P<index>\d+)\]\.(?P<end>from|to)")
# Where a person starts from: sizes that a small car's shaft may have.
_SPLINE, _BAR, _ROOT = 26.0, 25.0, 24.0
_SPLINE_FROM, _SPLINE_TO = 15.0, 40.0
_SPARE = 50.0
_SLIDES = 0.05
START_DRIVE = Drive(
    engine_torque=80.0, gear=2.0, final_drive=4.0,
    wheel_load=300.0, tyre_radius=280.0, top_speed=110.0,
)  # fmt: skip


def start_making(scene: Scene, side: Side) -> Scene:
    """Two plain donors and a butt weld in the middle of the shaft, to be set right."""
    length = length_of(scene, side)
    middle = round(0.5 * length)
    reach = math.ceil(max(middle, length - middle) + _SPARE)
    donor = Donor(
        usable_to=reach,
        datum=Datum("end of the spline", _SPLINE_TO),
        stretches=(
            Stretch("spline", _SPLINE_FROM, _SPLINE_TO, _SPLINE, "spline", _ROOT),
            Stretch("bar", _SPLINE_TO, reach, _BAR),
        ),
    )
    making = scene.making(side)
    new = replace(
        making,
        hub_donor=making.hub_donor or replace(donor, cut_twice=False),
        gearbox_donor=making.gearbox_donor or donor,
        splice=making.splice or Splice(at=middle, butt=Butt(), root_gap=2.0),
    )
    started = [f"shafts.{side}.donors.{end}" for end in ENDS if not making.donors(end)]
    return with_guesses(_with_making(scene, side, new), started)


def length_of(scene: Scene, side: Side) -> float:
    """The shaft's length, or the ride-centred one while it is undecided; mm.

    Raises EditRefused where the scene has no shaft on that side.
    """
    shaft = scene.shaft(side)
    if shaft is None:
        raise EditRefused(f"shafts.{side}: this scene has no {side} shaft")
    if shaft.length is not None:
        return shaft.length
    return ride_centred_length_mm(shaft.inner_joint, scene.hub.outer_joint)


def turn_butt(scene: Scene, side: Side) -> Scene:
    """The splice with a butt weld, or without the one it has."""
    splice = _splice(scene, side)
    return _with_splice(scene, side, butt=None if splice.butt else Butt())


def turn_spigot(scene: Scene, side: Side) -> Scene:
    """The butt weld with a spigot, or without the one it has."""
    splice = _splice(scene, side)
    if splice.butt is None:
        raise EditRefused(f"shafts.{side}.splice.butt: a spigot needs a butt weld")
    sizes = (0.0, 0.0) if splice.spigot_mm else (25.0, 12.0)
    butt = replace(splice.butt, spigot_length=sizes[0], bore=sizes[1])
    return _with_splice(scene, side, butt=butt)


def turn_sleeve(scene: Scene, side: Side) -> Scene:
    """The splice with a sleeve that fits its bars, or without the one it has."""
    splice, making = _splice(scene, side), scene.making(side)
    if splice.sleeve is not None:
        return _with_splice(scene, side, sleeve=None)
    bars = [
        stretch.diameter
        for donor in (making.hub_donor, making.gearbox_donor)
        if donor is not None
        for stretch in donor.stretches
        if stretch.kind == "bar"
    ]
    bar = splice.diameter or min(bars, default=_BAR)
    sleeve = Sleeve(length=80.0, bore=round(bar + _SLIDES, 3), outside_diameter=round(1.5 * bar))
    return _with_splice(scene, side, sleeve=sleeve)


def turn_drive(scene: Scene) -> Scene:
    """The scene with a drive to be set right, or without the one it has."""
    if scene.drive is not None:
        return replace(scene, drive=None)
    return with_guesses(replace(scene, drive=START_DRIVE), ("drive",))


def turn_lathe(scene: Scene) -> Scene:
    """The scene with a lathe of which nothing is told yet, or without the one it has."""
    return replace(scene, lathe=Lathe() if scene.lathe is None else None)


def add_reading(scene: Scene, side: Side) -> Scene:
    """One runout reading more, where the last one was not taken."""
    making = scene.making(side)
    middle = making.splice.at if making.splice else 0.5 * length_of(scene, side)
    aside = -50.0 if len(making.runout) % 2 == 0 else 50.0
    reading = Runout(at=round(middle + aside), tir=0.0)
    new = _with_making(scene, side, replace(making, runout=(*making.runout, reading)))
    return with_guesses(new, (f"shafts.{side}.runout[{len(making.runout)}]",))


def remove_reading(scene: Scene, side: Side) -> Scene:
    """The readings without the last one."""
    making = scene.making(side)
    return _with_making(scene, side, replace(making, runout=making.runout[:-1]))


def add_stretch(scene: Scene, side: Side, end: End) -> Scene:
    """The donor's last stretch in two, to be set right."""
    donor = _donor(scene, side, end)
    last = donor.stretches[-1]
    middle = round(0.5 * (last.from_ + last.to), 1)
    halves = (replace(last, to=middle), replace(last, name="bar", from_=middle, kind="bar"))
    new = _with_stretches(scene, side, end, (*donor.stretches[:-1], *halves))
    base, last_one = f"shafts.{side}.donors.{end}.stretch", len(donor.stretches) - 1
    # Where the donor ends is as well known as before.
    split = (f"{base}[{last_one}].to", f"{base}[{last_one + 1}].from",
             f"{base}[{last_one + 1}].diameter")  # fmt: skip
    return with_guesses(new, split)


def remove_stretch(scene: Scene, side: Side, end: End) -> Scene:
    """The donor without its last stretch; the one before goes on to where that ended."""
    stretches = _donor(scene, side, end).stretches
    if len(stretches) == 1:
        raise EditRefused(f"shafts.{side}.donors.{end}: a donor has one stretch or more")
    before = replace(stretches[-2], to=stretches[-1].to)
    new = _with_stretches(scene, side, end, (*stretches[:-2], before))
    base = f"shafts.{side}.donors.{end}.stretch"
    last = len(stretches) - 1
    end_known = f"{base}[{last}].to" not in guessed_values(scene)
    return without_guesses(new, (f"{base}[{last - 1}].to",) if end_known else ())


def use_donor(scene: Scene, side: Side, end: End, place: int) -> Scene:
    """Another of an end's donors, by its place in the list, used in place of the one that was."""
    making = scene.making(side)
    listed = making.donors(end)
    if not 0 <= place < len(listed):
        raise EditRefused(f"shafts.{side}.donors.{end}: there is none at this place of the list")
    if len(listed) == 1:
        return scene
    others = Others((*listed[:place], *listed[place + 1 :]), place)
    if end == "hub":
        used = replace(making, hub_donor=listed[place], hub_others=others)
    else:
        used = replace(making, gearbox_donor=listed[place], gearbox_others=others)
    return _with_making(scene, side, used)


def set_stretch_end(scene: Scene, key: re.Match[str], at_mm: float) -> Scene:
    """An edge between stretches, or the first or last one, elsewhere; its datum goes with it.

    A donor whose last stretch grows shorter is sound no further than that.  ``key`` is what
    STRETCH_END matches.
    """
    # The edge's number: it begins the stretch of that number and ends the one before.
    edge = int(key["index"]) + (key["end"] == "to")
    holder = key["stretches"].removesuffix(".stretch")
    donor: Donor = value_of(scene, holder)
    stretches = list(donor.stretches)
    was = stretches[0].from_ if edge == 0 else stretches[edge - 1].to
    datum = replace(donor.datum, at=at_mm) if donor.datum.at == was else donor.datum
    try:
        if edge > 0:
            stretches[edge - 1] = replace(stretches[edge - 1], to=at_mm)
        if edge < len(stretches):
            stretches[edge] = replace(stretches[edge], from_=at_mm)
        usable = min(donor.usable_to, stretches[-1].to)
        changed = replace(donor, stretches=tuple(stretches), usable_to=usable, datum=datum)
    except InvalidInput as error:
        raise refusing(error, key[0]) from error
    return with_value(scene, holder, changed)


def _splice(scene: Scene, side: Side) -> Splice:
    splice = scene.making(side).splice
    if splice is None:
        raise EditRefused(f"shafts.{side}.splice: there is none yet; start with two donors")
    return splice


def _with_splice(scene: Scene, side: Side, **changes: object) -> Scene:
    try:
        splice = replace(_splice(scene, side), **changes)  # type: ignore[arg-type]
    except InvalidInput as error:
        raise EditRefused(f"shafts.{side}.splice: {error.problems[0].message}") from error
    return _with_making(scene, side, replace(scene.making(side), splice=splice))


def _donor(scene: Scene, side: Side, end: End) -> Donor:
    making = scene.making(side)
    donor = making.hub_donor if end == "hub" else making.gearbox_donor
    if donor is None:
        raise EditRefused(f"shafts.{side}.donors.{end}: there is none yet")
    return donor


def _with_stretches(scene: Scene, side: Side, end: End, stretches: tuple[Stretch, ...]) -> Scene:
    donor = replace(_donor(scene, side, end), stretches=stretches)
    return with_value(scene, f"shafts.{side}.donors.{end}", donor)


def _with_making(scene: Scene, side: Side, making: Making) -> Scene:
    if side == "left":
        return replace(scene, left_making=making)
    return replace(scene, right_making=making)
