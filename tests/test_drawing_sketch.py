"""The sketch: what it shows of a scene, where, in which words."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
import shapely.affinity
from hypothesis import example as hypothesis_example
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.parts import Measured, MeasuredPosition, Strut
from scenes.library import example, example_names
from sketcher.answers.corner_answers import PoseGap
from sketcher.answers.pose import carried, pose_as_drawn
from sketcher.drawing.camera import Camera
from sketcher.drawing.hitting import hit, hits
from sketcher.drawing.picture import Box, Circle, Line, Picture, Polygon, Text
from sketcher.drawing.shapes import bellows, hatching, hull
from sketcher.drawing.sketch import (
    SketchExtras,
    front_view,
    view_from_above,
    world_box,
    world_box_above,
)
from sketcher.drawing.unclosed_view import cannot_close
from tests.drawn import front, pose

TRAVELS = st.floats(-75.0, 65.0)
STEERS = st.floats(-28.0, 34.0)


def keys(picture: Picture) -> set[str]:
    return {item.key for item in picture if item.key}


@pytest.mark.parametrize("name", example_names())
def test_every_point_of_the_scene_can_be_taken_hold_of(name: str) -> None:
    scene = example(name)
    picture, camera = front(name)
    handles = {handle.key: handle.at for handle in picture.handles}
    for path, point in pose(scene, 0.0).points.items():
        assert handles[path] == pytest.approx(point[:2])
    assert handles["shafts.left.inner_joint.mid_stroke"] == pytest.approx(
        pose(scene, 0.0).shaft.mid_stroke[:2]  # type: ignore[union-attr]
    )
    for index, bracket in enumerate(scene.brackets):
        for corner, at in enumerate(bracket.outline):
            assert handles[f"bracket[{index}].outline[{corner}]"] == pytest.approx(at)
    for key, at in handles.items():
        found = hit(picture, camera, camera.to_screen(at), prefer=key)
        assert found is not None
        assert found.kind == "point"


def test_bodies_can_be_pointed_at() -> None:
    picture, camera = front()
    assert {"arm", "strut", "knuckle", "wheel", "gearbox", "shafts.left"} <= keys(picture)
    assert {"shafts.left.section[1]", "shafts.left.length", "bracket[0].edge[3]"} <= keys(picture)
    middle_of_bar = camera.to_screen((450.0, 302.0))
    found = hit(picture, camera, middle_of_bar)
    assert found is not None
    assert found.key.startswith("shafts.left")


def test_a_point_is_hit_before_an_edge_before_an_area() -> None:
    picture, camera = front()
    outline = example("van-front").brackets[0].outline
    corner, (a, b) = camera.to_screen(outline[0]), outline[:2]
    edge = camera.to_screen(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
    inside = camera.to_screen((437.0, 208.0))
    assert hit(picture, camera, (corner[0] + 6, corner[1] + 4)).key == "bracket[0].outline[0]"  # type: ignore[union-attr]
    assert hit(picture, camera, edge).key == "bracket[0].edge[0]"  # type: ignore[union-attr]
    assert hit(picture, camera, inside).key == "bracket[0]"  # type: ignore[union-attr]
    assert hit(picture, camera, (20.0, 20.0)) is None


def test_a_target_reaches_ten_px_and_doubles_with_the_ui_scale() -> None:
    picture, camera = front()
    x, y = camera.to_screen((338.0, 205.0))
    assert "linkage.arm_pivot" in {found.key for found in hits(picture, camera, (x - 9.5, y))}
    assert all(found.kind != "point" for found in hits(picture, camera, (x - 11.0, y)))
    fine = replace(camera, ui_scale=2.0)
    assert "linkage.arm_pivot" in {found.key for found in hits(picture, fine, (x - 19.0, y))}


def test_the_ghost_shows_only_where_the_pose_has_left_ride_height() -> None:
    assert not front()[0].with_role("ghost")
    assert front(travel_mm=20.0)[0].with_role("ghost")
    assert front(steer_deg=10.0)[0].with_role("ghost")
    assert not front(travel_mm=20.0, shown=SketchExtras(ghost=False))[0].with_role("ghost")


def test_the_stroke_is_drawn_to_scale() -> None:
    scene = example("van-front")
    assert scene.left is not None
    joint = scene.left.inner_joint
    ends = [item for item in front()[0].with_role("stroke_end") if isinstance(item, Line)]
    middles = sorted((end.start[0] + end.end[0]) / 2 for end in ends)
    assert middles == pytest.approx(
        [joint.mid_stroke[0] - joint.stroke_in, joint.mid_stroke[0] + joint.stroke_out]
    )


@pytest.mark.parametrize("travel", [-70.0, -20.0, 35.0, 65.0])
def test_the_joint_s_centre_rides_where_the_plunge_puts_it(travel: float) -> None:
    scene = example("van-front")
    riding = pose(scene, travel).shaft
    assert riding is not None
    centre = next(item for item in front(travel_mm=travel)[0].with_role("joint_centre"))
    assert isinstance(centre, Circle)
    # The housing axis lies straight outboard.
    assert centre.centre[0] - riding.mid_stroke[0] == pytest.approx(riding.plunge_mm)


def test_dimensions_and_angles_say_their_values() -> None:
    scene = example("van-front")
    riding = pose(scene, 50.0, 20.0).shaft
    assert riding is not None
    texts = front(travel_mm=50.0, steer_deg=20.0)[0].texts
    assert "391.0 mm" in texts
    assert f"{riding.inner_angle_deg:.1f}°" in texts
    assert f"{riding.outer_angle_deg:.1f}°" in texts
    assert f"plunge −{abs(riding.plunge_mm):.1f}" in texts
    inches = front(travel_mm=50.0, shown=SketchExtras(unit="in"))[0].texts
    assert "15.394 in" in inches


def test_the_end_of_the_stroke_is_told_whole_in_a_narrow_view() -> None:
    from sketcher.drawing.labels import Room
    from sketcher.drawing.style import style

    picture, camera = front("van-front-too-long", 70.0, -29.0, size=(350, 420))
    past = [item for item in picture if isinstance(item, Text) and "past the end" in item.text]
    assert past
    assert all(Room(camera, style()).in_view(Room(camera, style()).box(item)) for item in past)


def test_stroke_past_its_end_is_told_in_words() -> None:
    texts = front("van-front-too-long", travel_mm=70.0)[0].texts
    assert "bottoms: past the end" in texts


def test_a_fouling_bracket_has_a_word_and_a_sign() -> None:
    gaps = (PoseGap(0, -4.3, 6.0, (450.0, 270.0, 0.0)), PoseGap(1, 3.2, 6.0, (600.0, 360.0, 23.0)))
    picture, _ = front("van-front-mount-fouls", shown=SketchExtras(gaps=gaps))
    assert "motor mount foot: fouls" in picture.texts
    assert "brake hose stay: too close" in picture.texts
    assert "overlap 4.3" in picture.texts
    assert picture.with_role("note_past_ring")
    clear, _ = front(
        "van-front", shown=SketchExtras(gaps=(PoseGap(0, 40.0, 6.0, (450.0, 230.0, 0.0)),))
    )
    assert "gap 40.0" in clear.texts
    assert not clear.with_role("note_past_ring", "bracket_past", "bracket_close")


def test_brackets_move_with_their_carriers() -> None:
    scene = example("van-rear")
    ride, now = pose(scene, 0.0), pose(scene, 40.0)
    body = replace(scene.brackets[0], mounted_on="body")
    point = (620.0, 330.0, 5.0)
    assert carried(point, body, now) == point
    for carrier, root, end in (
        ("arm", "linkage.lower_pivot", "linkage.lower_ball_joint"),
        ("knuckle", "hub.outer_joint", "hub.wheel_centre"),
    ):
        bracket = replace(body, mounted_on=carrier)  # type: ignore[arg-type]
        moved = carried(point, bracket, now)
        for path in (root, end):
            assert math.dist(moved, now[path]) == pytest.approx(math.dist(point, ride[path]))


@settings(max_examples=20)
@given(TRAVELS, STEERS)
@hypothesis_example(0.0, -1.0)
def test_words_do_not_lie_on_words(travel: float, steer: float) -> None:
    """Upright texts are measured by the painter's own font."""
    from sketcher.drawing.labels import Room
    from sketcher.drawing.style import style

    scene = example("van-front")
    ride = pose(scene, 0.0)
    # As large as the view from above is in a small window.
    small = Camera(226, 148).fitted(world_box_above(scene, ride, "left"))
    above = view_from_above(scene, "left", pose(scene, travel, steer), ride, small)
    for picture, camera in (front(travel_mm=travel, steer_deg=steer), (above, small)):
        room = Room(camera, style())
        texts = [item for item in picture if isinstance(item, Text) and item.angle_deg == 0.0]
        boxes = [(item.text, room.box(item).grown(-camera.paper(0.2))) for item in texts]
        crossed = [(a, b) for (a, p), (b, q) in combinations(boxes, 2) if p.overlaps(q)]
        assert not crossed


@settings(max_examples=25)
@given(TRAVELS, STEERS)
def test_the_shaft_is_drawn_as_long_as_it_looks(travel: float, steer: float) -> None:
    scene = example("van-front")
    now = pose(scene, travel, steer)
    assert now.shaft is not None
    drawn = next(iter(front(travel_mm=travel, steer_deg=steer)[0].with_role("shaft_line")))
    assert isinstance(drawn, Line)
    depth = now["hub.outer_joint"][2] - now.shaft.inner_joint[2]
    flat = math.dist(drawn.start, drawn.end)
    assert math.hypot(flat, depth) == pytest.approx(now.shaft.length_mm)


@pytest.mark.parametrize("name", example_names())
def test_the_view_from_above_shows_depth_and_steer(name: str) -> None:
    scene = example(name)
    ride = pose(scene, 0.0)
    steer = 20.0 if scene.steering else 0.0
    now = pose(scene, 10.0, steer)
    camera = Camera(600, 400).fitted(world_box_above(scene, ride, "left"))
    picture = view_from_above(scene, "left", now, ride, camera)
    handles = {handle.key: handle.at for handle in picture.handles}
    for path, point in now.points.items():
        assert handles[path] == pytest.approx((point[0], point[2]))
    assert ("steer +20.0°" in picture.texts) == bool(scene.steering)


def test_the_wheel_stands_on_the_floor_and_leans_with_its_camber() -> None:
    picture, _ = front()
    wheel = next(item for item in picture.with_role("wheel") if isinstance(item, Polygon))
    assert min(y for _, y in wheel.points) == pytest.approx(0.0, abs=8.0)
    steered = next(
        item for item in front(steer_deg=25.0)[0].with_role("wheel") if isinstance(item, Polygon)
    )
    width = [max(x for x, _ in w.points) - min(x for x, _ in w.points) for w in (wheel, steered)]
    assert width[1] > 1.3 * width[0]


def test_a_shaft_too_short_to_reach_is_left_out() -> None:
    scene = example("van-front")
    assert scene.left is not None
    short = replace(scene, left=replace(scene.left, length=12.0))
    now = pose(short, -60.0)
    assert now.shaft is None
    camera = Camera(800, 600).fitted(world_box(short, now, "left"))
    picture = front_view(short, "left", now, now, camera)
    assert not picture.with_role("shaft", "housing")
    assert picture.with_role("arm", "strut_tube")


def test_what_cannot_close_says_what_is_missing() -> None:
    scene = example("van-rear")
    last = pose(scene, 60.0)
    camera = Camera(800, 600).fitted(world_box(scene, last, "left"))
    words = "The wheel cannot rise to 95 mm: the upper arm is too short."
    picture = cannot_close(scene, last, camera, words, asked_travel_mm=95.0)
    assert "35.0 missing" in picture.texts
    assert {"reach of the arm", "reach of the upper arm", "reach of the knuckle"} <= set(
        picture.texts
    )
    assert words.split() == [
        word
        for item in picture.with_role("note_past")
        if isinstance(item, Text)
        for word in item.text.split()
    ]
    assert {handle.key for handle in picture.handles} == set(last.points)


def test_what_is_missing_is_not_written_over() -> None:
    from sketcher.drawing.labels import Room
    from sketcher.drawing.style import style

    scene = example("van-front")
    last = pose(scene, 0.0)
    camera = Camera(500, 400).fitted(world_box(scene, last, "left"))
    picture = cannot_close(scene, last, camera, "", asked_travel_mm=390.0)
    room = Room(camera, style())
    (turned,) = (item for item in picture if isinstance(item, Text) and item.angle_deg != 0.0)
    flat = room.box(replace(turned, angle_deg=0.0))
    missing = shapely.affinity.rotate(
        shapely.box(flat.left, flat.bottom, flat.right, flat.top),
        turned.angle_deg, origin=turned.at,
    )  # fmt: skip
    for item in picture:
        if isinstance(item, Text) and item is not turned:
            box = room.box(item)
            assert not missing.intersects(shapely.box(box.left, box.bottom, box.right, box.top))


def test_points_as_drawn_need_no_solving() -> None:
    strut = Strut(
        (300.0, 200.0, 0.0), (600.0, 200.0, 0.0), (560.0, 700.0, 0.0), (590.0, 300.0, 0.0)
    )
    hub = example("van-front").hub
    drawn = pose_as_drawn(strut, hub)
    assert drawn["linkage.ball_joint"] == (600.0, 200.0, 0.0)
    assert drawn["hub.wheel_centre"] == hub.wheel_centre
    assert drawn.shaft is None


def test_inches_get_a_grid_and_a_scale_bar_of_their_own() -> None:
    assert any(text.endswith(" in") for text in front(shown=SketchExtras(unit="in"))[0].texts)
    assert any(text.endswith("00 mm") for text in front()[0].texts)
    assert not front(shown=SketchExtras(grid=False))[0].with_role("grid")


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(-200, 200), st.integers(-200, 200)), min_size=3, max_size=9),
    st.sampled_from([45.0, -45.0, 30.0]),
)
def test_hatching_stays_inside_its_outline(points: list[tuple[int, int]], angle: float) -> None:
    """Against shapely: every hatching line is covered by the outline, and none is missing."""
    outline = hull([(float(x), float(y)) for x, y in points])
    if not outline:
        return
    area = shapely.Polygon(outline)
    lines = hatching(outline, 7.0, angle)
    for a, b in lines:
        assert area.buffer(1e-6).covers(shapely.LineString((a, b)))
    covered = sum(math.dist(a, b) for a, b in lines) * 7.0
    assert covered == pytest.approx(area.area, abs=7.0 * area.length / 2 + 1.0)


def test_a_boot_s_folds_stay_within_its_taper() -> None:
    outline = bellows((0.0, 0.0), (70.0, 0.0), 40.0, 18.0, 10.0)
    assert shapely.Polygon(outline).is_valid
    for x, y in outline:
        assert abs(y) <= 40.0 - 22.0 * x / 70.0 + 1e-9


def test_measured_positions_stand_in_for_the_linkage() -> None:
    front_scene = example("van-front")
    outer = front_scene.hub.outer_joint
    taken = tuple(
        MeasuredPosition(travel, (outer[0] - travel**2 / 800.0, outer[1] + travel, outer[2]))
        for travel in (-60.0, -30.0, 30.0, 60.0)
    )
    scene = replace(front_scene, linkage=Measured(taken), steering=None, brackets=())
    ride, now = pose(scene, 0.0), pose(scene, 40.0)
    camera = Camera(900, 600).fitted(world_box(scene, ride, "left"))
    for view in (front_view, view_from_above):
        picture = view(scene, "left", now, ride, camera)
        handles = {handle.key for handle in picture.handles}
        assert {f"linkage.position[{i}].outer_joint" for i in range(4)} <= handles
        assert "measured at −30" in picture.texts
        assert not picture.with_role("arm", "strut_tube")
    cannot_close(scene, now, camera, "No position was measured beyond 60 mm.", asked_travel_mm=80.0)
    assert set(pose_as_drawn(scene.linkage, scene.hub).points) == {
        "hub.outer_joint",
        "hub.wheel_centre",
    }


def test_strut_tube_and_arm_are_drawn_in_their_sizes_and_named_where_they_foul() -> None:
    plain = example("van-front")
    scene = replace(plain, strut_tube=StrutTube(51.0, -20.0, 180.0), arm=Arm(9.0, 21.0))
    ride = pose(scene, 0.0)
    camera = Camera(1280, 800).fitted(world_box(scene, ride, "left"))
    gaps = (PoseGap(2, -2.0, 6.0, (640.0, 360.0, 0.0)), PoseGap(3, 4.0, 6.0, (500.0, 210.0, 0.0)))
    picture = front_view(scene, "left", ride, ride, camera, SketchExtras(gaps=gaps))
    assert {"strut tube: fouls", "arm: too close", "overlap 2.0"} <= set(picture.texts)
    tube = next(item for item in picture.with_role("strut_tube") if isinstance(item, Polygon))
    assert math.dist(tube.points[0], tube.points[3]) == pytest.approx(51.0)
    arm = next(item for item in picture.with_role("arm") if isinstance(item, Polygon))
    line = shapely.LineString([(338.0, 205.0), (668.0, 188.0)])
    reach = [shapely.Point(at).distance(line) for at in arm.points]
    assert max(reach) == pytest.approx(21.0, abs=1e-6)


@pytest.mark.parametrize("name", ["van-front", "van-front-making", "van-rear"])
def test_no_line_strikes_through_an_angle(name: str) -> None:
    texts = [item for item in front(name)[0] if isinstance(item, Text)]
    angles = [text for text in texts if text.text.endswith("°")]
    assert angles
    assert all(text.backed for text in angles)


def test_the_view_from_above_says_which_way_is_forward() -> None:
    scene = example("van-front")
    ride = pose(scene, 0.0)
    camera = Camera(400, 260).fitted(world_box_above(scene, ride, "left"))
    picture = view_from_above(scene, "left", ride, ride, camera)
    (word,) = (item for item in picture if isinstance(item, Text) and item.text == "forward")
    tips = [
        item.points[0] for item in picture
        if isinstance(item, Polygon) and len(item.points) == 3
        and abs(item.points[0][0] - word.at[0]) < camera.paper(4.0)
    ]  # fmt: skip
    assert any(tip[1] > word.at[1] for tip in tips), "fore is upwards"


def test_no_end_of_the_lengths_dimension_is_hidden() -> None:
    plain, camera = front("van-front")
    text = next(item for item in plain if isinstance(item, Text) and item.text == "391.0 mm")
    # What lies on its left end, as the view from above does in a small window.
    over = Box(camera.box.left, text.at[1] - 40.0, text.at[0] - 180.0, camera.box.top)
    covered, _ = front("van-front", shown=SketchExtras(covered=(over,)))
    dimension = [
        item for item in covered
        if isinstance(item, Line) and item.role == "dimension" and item.key == "shafts.left.length"
    ]  # fmt: skip
    assert dimension
    assert not any(over.holds(end) for item in dimension for end in (item.start, item.end))


@pytest.mark.parametrize("name", ["van-front", "van-front-making"])
def test_no_edge_of_an_arm_strikes_through_a_name(name: str) -> None:
    from sketcher.drawing.labels import Room
    from sketcher.drawing.style import style

    picture, camera = front(name)
    room = Room(camera, style())
    (drawn,) = (item for item in picture.with_role("arm") if isinstance(item, Polygon))
    arm = shapely.Polygon(drawn.points).exterior
    for item in picture:
        if isinstance(item, Text) and item.angle_deg == 0.0 and not item.backed:
            box = room.box(item)
            words = shapely.box(box.left, box.bottom, box.right, box.top)
            assert not arm.intersects(words), item.text


def test_what_is_drawn_does_not_hang_on_last_digits() -> None:
    now = pose(example("van-front"), 33.0, 11.0)
    for at in (*now.points.values(), now.shaft.inner_joint):  # type: ignore[union-attr]
        for value in at:
            # Whole ten millionths of a mm, as they are written.
            assert value == round(value, 7)
    exact = pose(example("van-front"), 33.0, 11.0).points["hub.outer_joint"]
    assert any(value != round(value, 6) for value in exact)


@pytest.mark.parametrize("times", [0.5, 3.0])
def test_an_axis_of_any_length_is_drawn_alike(times: float) -> None:
    scene = example("van-front")
    assert scene.left is not None
    drawn = []
    for by in (1.0, times):
        axis = (0.9 * by, 0.3 * by, -0.2 * by)
        joint = replace(scene.left.inner_joint, axis=axis)
        now = pose(replace(scene, left=replace(scene.left, inner_joint=joint)), 20.0)
        assert now.shaft is not None
        drawn.append(now.shaft.axis)
    assert math.hypot(*drawn[0]) == pytest.approx(1.0)
    assert drawn[1] == pytest.approx(drawn[0])
