"""Another kind of linkage in place of the one drawn, at the ends of what the first one reaches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kinematics.linkage.motion import reach_of
from kinematics.parts import Strut, Travel, Wishbones
from scenes.keys import EditRefused
from scenes.library import example
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.steps.commands import COMMANDS


@pytest.mark.parametrize("travel", [(1e4, 1e4), (282.41783051, 100.0), (10.0, 341.6061934)])
def test_positions_are_taken_within_the_reach_of_the_linkage_drawn(
    travel: tuple[float, float],
) -> None:
    scene = replace(example("van-front-misread"), travel=Travel(*travel), readings=())
    reach = reach_of(scene.linkage, scene.hub)
    measured = change_linkage(scene, "measured").linkage
    travels = [position.travel for position in measured.positions]  # type: ignore[union-attr]
    assert all(reach.lowest_mm <= one <= reach.highest_mm for one in travels)


@pytest.mark.parametrize("travel", [(0.0, 0.0), (0.05, 80.0), (80.0, 1.5)])
def test_too_little_travel_for_positions_is_refused(travel: tuple[float, float]) -> None:
    scene = replace(example("van-front"), travel=Travel(*travel))
    with pytest.raises(EditRefused, match="bump and droop of a few mm"):
        change_linkage(scene, "measured")


@pytest.mark.parametrize("kind", ["strut", "wishbones", "measured"])
@pytest.mark.parametrize("travel", [280.0, -340.0])
def test_a_pose_is_of_the_linkage_that_there_is(kind: str, travel: float) -> None:
    """At a travel that the first kind reaches and another does not."""
    editor = Editor(Document(replace(example("van-front"), travel=Travel(282.0, 341.0))))
    editor.set_travel(travel)
    assert editor.shown().pose is not None
    assert editor.do("linkage", lambda scene: change_linkage(scene, kind))
    pose = editor.shown().pose
    assert pose is not None
    names = () if kind == "measured" else type(editor.scene.linkage).__slots__
    assert {path for path in pose.points if path.startswith("linkage.")} == {
        f"linkage.{name}" for name in names
    }
    editor.close()


def test_wishbones_in_place_of_a_strut_steer_about_the_same_axis() -> None:
    scene = replace(example("van-front"), readings=())
    strut = scene.linkage
    assert isinstance(strut, Strut)
    arms = change_linkage(scene, "wishbones").linkage
    assert isinstance(arms, Wishbones)
    assert arms.lower_ball_joint == strut.ball_joint
    axis = np.subtract(strut.strut_top, strut.ball_joint)
    upper = np.subtract(arms.upper_ball_joint, strut.ball_joint)
    # To the tenth of a mm that it is rounded to.
    assert np.linalg.norm(np.cross(axis, upper)) / np.linalg.norm(axis) < 0.1
    assert scene.hub.wheel_centre[1] < arms.upper_ball_joint[1] < strut.strut_top[1]


@pytest.mark.parametrize("steers", [True, False])
def test_steering_that_goes_with_the_linkage_is_told(steers: bool) -> None:
    scene = replace(example("van-front-misread"), readings=())
    editor = Editor(Document(scene if steers else replace(scene, steering=None)))
    COMMANDS["measured"].run(editor)
    assert editor.scene.linkage.kind == "measured"
    assert editor.message is not None
    assert ("no longer steers" in editor.message.text) == steers
    editor.close()
