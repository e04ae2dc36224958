"""Points that ride on arm or knuckle: where they are at ride height when the pose shows them.

A drag away from ride height asks for a place in the pose; the scene keeps the place at
ride height.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.parts import Carrier
from scenes.keys import EditRefused, value_of, with_value
from scenes.model import Scene, Side
from sketcher.answers import corner_answers
from sketcher.answers.pose import Pose
from sketcher.drawing.picture import Point2, View
from sketcher.window.model.edits import bracket_key, from_view, in_view

ON_ARM = ("linkage.ball_joint", "linkage.lower_ball_joint")
ON_KNUCKLE = ("linkage.strut_lower", "hub.outer_joint", "hub.wheel_centre")
CARRIED = (*ON_ARM, *ON_KNUCKLE, "linkage.upper_ball_joint")
# Closer than this is under the pointer, mm; and so many tries a frame has time for.
_CLOSE_MM, _LOST_MM, _MOST_TRIES = 0.03, 2.0, 4
# A view that shows a turned part almost edge on does not say how far it went.
_LEAST_SEEN = 0.2

Square = tuple[Point2, Point2]


def carrier_of(scene: Scene, key: str) -> Carrier:
    """What a point or bracket moves with, as far as a turn goes."""
    if key in ON_ARM:
        return "arm"
    if key in ON_KNUCKLE:
        return "knuckle"
    bracket = bracket_key(key)
    carrier: Carrier = value_of(scene, f"{bracket}.mounted_on") if bracket else "body"
    return carrier


def turn_seen(pose: Pose, carrier: Carrier, view: View) -> Square:
    """How a push of a carried thing at ride height is seen in a view of the pose, row by row."""
    taken = pose.carriers.get(carrier)
    if taken is None or taken.rotation is None:
        return ((1.0, 0.0), (0.0, 1.0))
    seen = [0, 1 if view == "front" else 2]
    (a, b), (c, d) = taken.rotation[np.ix_(seen, seen)].tolist()
    return ((a, b), (c, d))


def pushed_back(pose: Pose | None, carrier: Carrier, by: Point2, view: View) -> Point2:
    """A push seen in a pose, as a push at ride height."""
    if pose is None:
        return by
    (a, b), (c, d) = turn_seen(pose, carrier, view)
    seen = a * d - b * c
    if not math.isfinite(seen) or abs(seen) < _LEAST_SEEN:
        return by
    return ((d * by[0] - b * by[1]) / seen, (a * by[1] - c * by[0]) / seen)


@dataclass(slots=True)
class Follower:
    """Keeps a point of the linkage under the pointer while the pose itself hangs on it.

    ``scene`` is the scene that the drag began with.  How a push at ride height is seen
    is learnt from try to try (Broyden), so that one or two a frame are enough.
    """

    scene: Scene
    side: Side
    key: str
    view: View
    pose: Pose
    _seen: np.ndarray = field(init=False)
    _at: np.ndarray = field(init=False)
    _last: tuple[np.ndarray, np.ndarray] | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        self._forget()
        self._at = np.array(in_view(value_of(self.scene, self.key), self.view))

    @property
    def start(self) -> Point2:
        """Where the pose shows the point when the drag begins."""
        return in_view(self.pose[self.key], self.view)

    def place(self, wanted: Point2) -> Point2 | None:
        """Where the point has to be at ride height to be seen there; None where no pose is."""
        target = np.array(wanted)
        best: tuple[float, np.ndarray] | None = None
        at = self._at
        if self._last is not None:
            at = at + self._step(target - self._last[1])
        for _ in range(_MOST_TRIES):
            seen = self._look(at)
            if seen is None:
                break
            self._learn(at, seen)
            miss = float(np.hypot(*(target - seen)))
            if best is None or miss < best[0]:
                best = (miss, at)
            if miss < _CLOSE_MM:
                break
            at = at + self._step(target - seen)
        if best is None or best[0] > _LOST_MM:
            # Nothing there is carried to the pointer: it waits where it last was.
            self._forget()
        else:
            self._at = best[1]
        if best is None:
            return None
        return (float(self._at[0]), float(self._at[1]))

    def _forget(self) -> None:
        carrier = carrier_of(self.scene, self.key)
        self._seen = np.array(turn_seen(self.pose, carrier, self.view))
        self._last = None

    def _look(self, at: np.ndarray) -> np.ndarray | None:
        """Where the pose shows the point with its ride-height place at ``at``."""
        point = from_view(value_of(self.scene, self.key), (float(at[0]), float(at[1])), self.view)
        try:
            corner = with_value(self.scene, self.key, point).corner(self.side)
            here = corner_answers.poses(corner, None, self.pose.travel_mm, self.pose.steer_deg).here
        except (EditRefused, KinematicsError):
            return None
        return None if here is None else np.array(in_view(here[self.key], self.view))

    def _learn(self, at: np.ndarray, seen: np.ndarray) -> None:
        if self._last is not None:
            step, change = at - self._last[0], seen - self._last[1]
            size = float(step @ step)
            if size > 1e-12:
                self._seen = self._seen + np.outer(change - self._seen @ step, step) / size
        self._last = (at, seen)

    def _step(self, miss: np.ndarray) -> np.ndarray:
        if abs(np.linalg.det(self._seen)) < _LEAST_SEEN:
            return miss
        step: np.ndarray = np.linalg.solve(self._seen, miss)
        return step
