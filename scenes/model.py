"""The scene: one axle of one car, as the scene file says it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from kinematics import parts
from kinematics.errors import InvalidInput, KinematicsError, Problem
from kinematics.linkage.bodies import Arm, StrutTube, arm_bracket, strut_tube_bracket
from kinematics.making.lathe import Lathe
from kinematics.making.torque import Drive
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.measurands import MID_STROKE, Measurand, points_of
from kinematics.sure.readings import Mark, Reading
from kinematics.sure.tape import Tape
from scenes.making import Making
from scenes.part_keys import ANY_SIDE, path_of
from scenes.photo import Photo
from scenes.readings import point_problems

Side = parts.Side
SIDES: tuple[Side, ...] = ("left", "right")
FORMAT = 1


class NoSuchSide(KinematicsError, LookupError):
    """The scene has no shaft on the side asked for."""


def _not_told_apart(brackets: Sequence[parts.Bracket]) -> Iterator[Problem]:
    """A gap says its bracket's name, and commands choose by it: each has its own."""
    first: dict[str, int] = {}
    for index, bracket in enumerate(brackets):
        if not bracket.name.strip():
            yield Problem(f"bracket[{index}].name", "expected a name, got none")
            continue
        other = first.setdefault(bracket.name, index)
        if other != index:
            yield Problem(
                f"bracket[{index}].name",
                f'expected a name of its own, bracket[{other}] is named "{bracket.name}", too',
            )


@dataclass(frozen=True, slots=True)
class Scene:
    """One axle: the linkage of one side seen from the front, and a shaft for each side.

    An edit makes a new scene (``dataclasses.replace``); the old one stays for undo.
    ``guessed`` are the paths of values that nobody has measured yet.
    ``none_of`` has what the scene says that there is none of, which is more than leaving it
    out: ``gearbox.movement`` (solid mounts), ``bracket`` (nothing that stands near); what the
    scene has some of drops out of it.
    Raises InvalidInput for a strut tube or an arm that the linkage does not have, and
    for readings of points that are nowhere.
    """

    linkage: parts.Linkage
    hub: parts.Hub
    travel: parts.Travel
    left: parts.Shaft | None = None
    right: parts.Shaft | None = None
    steering: parts.Steering | None = None
    gearbox_movement: parts.GearboxMovement = parts.GearboxMovement()
    brackets: tuple[parts.Bracket, ...] = ()
    strut_tube: StrutTube | None = None
    arm: Arm | None = None
    title: str = ""
    notes: str = ""
    left_making: Making = Making()
    right_making: Making = Making()
    drive: Drive | None = None
    lathe: Lathe | None = None
    tape: Tape[str] | None = None
    gearbox_placement: MountRoom | None = None
    marks: tuple[Mark, ...] = ()
    readings: tuple[Reading, ...] = ()
    photo: Photo | None = None
    guessed: tuple[str, ...] = ()
    none_of: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        there = {
            "gearbox.movement": self.gearbox_movement != parts.GearboxMovement(),
            "bracket": bool(self.brackets),
        }
        left = frozenset(name for name in self.none_of if not there[name])
        object.__setattr__(self, "none_of", left)
        # A tube without a strut raises here, where the scene is made.
        _ = self.linkage_bodies
        lost = point_problems(self.marks, self.readings, self.points)
        problems = [*_not_told_apart(self.brackets), *lost]
        if problems:
            raise InvalidInput(problems)

    @property
    def steers(self) -> bool:
        """Whether the axle steers; locks of 0 say that it does not."""
        steering = self.steering
        return steering is not None and max(steering.inside_lock, steering.outside_lock) > 0.0

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides that have a shaft, left first."""
        return tuple(side for side in SIDES if self.shaft(side) is not None)

    @property
    def travel_range(self) -> tuple[float, float]:
        """Full droop and full bump, mm."""
        return (-self.travel.droop, self.travel.bump)

    @property
    def steer_range(self) -> tuple[float, float]:
        """Outside and inside lock, degrees; both 0 for an axle that does not steer."""
        if self.steering is None:
            return (0.0, 0.0)
        return (-self.steering.outside_lock, self.steering.inside_lock)

    @property
    def points(self) -> Mapping[str, parts.Point]:
        """Every point that a reading can name, by its path: linkage, hub, shafts, marks."""
        return MappingProxyType(
            {path_of(thing, side or ANY_SIDE): at for thing, side, at in self.measured_points()}
        )

    def measured_points(self) -> Iterator[tuple[Measurand, Side | None, parts.Point]]:
        """The same as the mechanics name them, with the side of a shaft's point."""
        for thing, at in points_of(self.linkage, self.hub):
            yield thing, None, at
        for side in self.sides:
            shaft = self.shaft(side)
            assert shaft is not None
            yield MID_STROKE, side, shaft.inner_joint.mid_stroke
        for mark in self.marks:
            yield Measurand("mark", mark.name), None, mark.at

    @property
    def linkage_bodies(self) -> tuple[parts.Bracket, ...]:
        """Strut tube and arm as brackets, those of them that the scene knows."""
        bodies = []
        if self.strut_tube is not None:
            bodies.append(strut_tube_bracket(self.strut_tube, self.linkage))
        if self.arm is not None:
            bodies.append(arm_bracket(self.arm, self.linkage))
        return tuple(bodies)

    def shaft(self, side: Side) -> parts.Shaft | None:
        """The shaft of a side, or None where the scene has none."""
        return self.left if side == "left" else self.right

    def making(self, side: Side) -> Making:
        """How a side's shaft is made; empty where nothing is known yet."""
        return self.left_making if side == "left" else self.right_making

    def corner(self, side: Side) -> parts.Corner:
        """Everything that decides how one side's shaft moves and what it meets.

        A sleeve is part of its shaft's outline.  Its brackets are the scene's, in
        order, then strut tube and arm where known.
        Raises NoSuchSide where the scene has no shaft on that side.
        """
        shaft = self.shaft(side)
        if shaft is None:
            raise NoSuchSide(f"shafts.{side}: this scene has no {side} shaft")
        return parts.Corner(
            linkage=self.linkage,
            hub=self.hub,
            travel=self.travel,
            shaft=replace(shaft, sections=self.making(side).outlined(shaft)),
            steering=self.steering,
            gearbox_movement=self.gearbox_movement,
            brackets=(*self.brackets, *self.linkage_bodies),
        )
