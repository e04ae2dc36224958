"""The search finds what looking at every pair would, and gaps behave as distances do."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from kinematics.gaps.clearance import clearance, feature_at
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.solids import TurnedBody
from kinematics.parts import Bracket, Section
from kinematics.poses import CarrierPose, Carriers

BOOTED = (
    Section("boot", 20, 90, (80, 40)),
    Section("bar", 90, 300, (24, 24)),
    Section("cup", 300, 380, (60, 84)),
)
PIVOT = (300.0, 200.0)


def outline(centre: tuple[float, float], size: float, seed: int) -> tuple[tuple[float, float], ...]:
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, 7, endpoint=False) + rng.uniform(0, 0.8, 7)
    radius = size * rng.uniform(0.4, 1.0, 7)
    return tuple(
        (centre[0] + r * float(np.cos(a)), centre[1] + r * float(np.sin(a)))
        for a, r in zip(angle, radius, strict=True)
    )


BRACKETS = (
    Bracket("above", outline((420, 420), 40, 1), fore=(-20, 30)),
    Bracket("below", outline((500, 180), 50, 2)),
    Bracket("in the way", outline((350, 330), 30, 3), fore=(-60, -10)),
    Bracket("behind", outline((560, 300), 60, 4), fore=(-160, -70)),
    Bracket("on the arm", outline((480, 210), 20, 5), "arm", (-15, 15)),
    Bracket("on the knuckle", outline((700, 330), 25, 6), "knuckle", (20, 50)),
    Bracket("on the gearbox", outline((250, 360), 25, 7), "gearbox", (0, 40)),
)


def motion(travels: int, steers: int, *, shifts: bool = False) -> tuple[list[TurnedBody], Carriers]:
    """A shaft, the gearbox' cup and the hub's drum, with everything that can move moving."""
    rise = np.linspace(-80, 70, travels)[:, None, None]
    steer = np.linspace(-30, 30, steers)[None, :, None]
    outer = np.stack(
        np.broadcast_arrays(650 - rise**2 / 700 + 0.1 * steer, 300 + rise, 1.2 * steer), axis=-1
    )
    corners = np.array(list(itertools.product((-1.0, 1.0), repeat=3))) * (4.0, 6.0, 8.0)
    shift = corners if shifts else np.zeros((1, 3))
    turn = np.broadcast_to(np.arctan(rise / 350), np.broadcast_shapes(rise.shape, steer.shape))
    rotation = Rotation.from_euler(
        "yz",
        np.stack(np.broadcast_arrays(np.radians(steer), 0.1 * turn), axis=-1).reshape(-1, 2),
    ).as_matrix()
    rotation = rotation.reshape(travels, steers, 1, 3, 3)
    bodies = [
        TurnedBody.between(outer, np.array([270.0, 310.0, 0.0]) + shift, BOOTED),
        TurnedBody(
            np.array([270.0, 310.0, 0.0]) + shift,
            np.array([1.0, 0.0, 0.0]),
            (Section("housing", -60, 10, (90, 90)),),
        ),
        TurnedBody(outer, rotation[..., 0], (Section("drum", -10, 30, (100, 70)),)),
    ]
    carriers: Carriers = {
        "body": CarrierPose.still(),
        "arm": CarrierPose.swung((*PIVOT, 0.0), np.degrees(turn)),
        "knuckle": CarrierPose(np.array([650.0, 300.0, 0.0]), outer, rotation),
        "gearbox": CarrierPose.shifted(shift),
    }
    return bodies, carriers


def test_each_position_has_its_smallest_gap_and_each_bracket_its_own() -> None:
    bodies, carriers = motion(9, 3)
    found = clearance(bodies, BRACKETS, carriers)
    single = np.array(
        [
            [
                clearance(
                    [TurnedBody(body.origin, body.axis, (section,))], [bracket], carriers
                ).gap_mm
                * np.ones((9, 3, 1))
                for body in bodies
                for section in body.sections
            ]
            for bracket in BRACKETS
        ]
    )
    of_bracket = single.min(axis=1)
    np.testing.assert_allclose(found.gap_mm, of_bracket.min(axis=0), atol=2e-6)
    nearest = np.take_along_axis(of_bracket, found.nearest[None], axis=0)[0]
    np.testing.assert_allclose(nearest, found.gap_mm, atol=2e-6)
    assert min(one.gap_mm for one in found.approaches) < 0 < found.approaches[0].gap_mm
    for b, one in enumerate(found.approaches):
        assert one.bracket == b
        assert one.bracket_name == BRACKETS[b].name
        assert one.gap_mm == pytest.approx(of_bracket[b].min(), abs=2e-6)
        rows = [(j, k) for j, body in enumerate(bodies) for k in range(len(body.sections))]
        row = rows.index((one.body, one.section))
        assert single[(b, row, *one.position)] == pytest.approx(one.gap_mm, abs=2e-6)
        assert one.section_name == bodies[one.body].sections[one.section].name
    assert found.worst is min(found.approaches, key=lambda one: one.gap_mm)
    assert [one.holds for one in found.approaches] == [one.gap_mm >= 6 for one in found.approaches]


def test_the_point_named_is_as_far_from_the_section_as_the_gap_says() -> None:
    bodies, carriers = motion(15, 3)
    for one in clearance(bodies, BRACKETS, carriers).approaches:
        bracket = BRACKETS[one.bracket]
        body = bodies[one.body].seen_from(carriers[bracket.mounted_on])
        flat = body.flat((15, 3, 1))
        place = int(np.ravel_multi_index(one.position, (15, 3, 1)))
        section = flat.sections[one.section]
        x, y, z = one.point_mm
        pin = 2e-3
        tiny = Bracket("pin", ((x, y), (x + pin, y), (x, y + pin)), fore=(z, z + pin))
        here = TurnedBody(flat.origin[place], flat.axis[place], (section,))
        assert float(clearance([here], [tiny]).gap_mm) == pytest.approx(one.gap_mm, abs=3 * pin)
        assert feature_at(bracket, one.point_mm) == (one.feature, one.corner)


@pytest.mark.parametrize("unknown", [False, True])
def test_blocks_find_what_looking_everywhere_does(unknown: bool) -> None:
    bodies, carriers = motion(60, 9, shifts=True)
    if unknown:
        origin = np.array(bodies[0].origin)
        origin[:7] = np.nan
        origin[30:33, 2:5] = np.nan
        bodies[0] = TurnedBody(origin, bodies[0].axis, bodies[0].sections)
    everywhere = clearance(bodies, BRACKETS, carriers)
    assert np.isnan(everywhere.gap_mm).any() == unknown
    blocks = closest_approaches(bodies, BRACKETS, carriers)
    assert [one.bracket for one in blocks] == list(range(len(BRACKETS)))
    for a, b in zip(everywhere.approaches, blocks, strict=True):
        assert a.gap_mm == pytest.approx(b.gap_mm, abs=2e-6)
        assert a.section_name == b.section_name


def test_small_motions_and_one_axis_of_travel() -> None:
    bodies, _ = motion(5, 1)
    few = closest_approaches(bodies[:1], BRACKETS[:4])
    assert few == clearance(bodies[:1], BRACKETS[:4]).approaches
    rise = np.linspace(-80, 70, 4001)
    outer = np.stack([650 - rise**2 / 700, 300 + rise, 0 * rise], axis=-1)
    long = [TurnedBody.between(outer, [270.0, 310.0, 0.0], BOOTED)]
    for a, b in zip(
        closest_approaches(long, BRACKETS[:4]),
        clearance(long, BRACKETS[:4]).approaches,
        strict=True,
    ):
        assert a.gap_mm == pytest.approx(b.gap_mm, abs=2e-6)
        assert a.position == b.position


def test_each_position_alone_gives_the_same_gaps() -> None:
    bodies, carriers = motion(9, 3)
    both = clearance(bodies, BRACKETS, carriers)
    alone = clearance(bodies, BRACKETS, carriers, each_bracket=False)
    np.testing.assert_allclose(alone.gap_mm, both.gap_mm, atol=2e-6)
    assert alone.approaches == ()
    assert alone.worst is None


def test_nothing_to_meet() -> None:
    bodies, carriers = motion(4, 3)
    bare = [TurnedBody(bodies[0].origin, bodies[0].axis, ())]
    for none in (clearance(bodies, [], carriers), clearance(bare, BRACKETS, carriers)):
        assert none.gap_mm.shape == (4, 3, 1)
        assert np.isnan(none.gap_mm).all()
        assert (none.nearest == -1).all()
        assert none.approaches == ()
        assert none.worst is None
    assert closest_approaches(bodies, [], carriers) == ()
    assert closest_approaches(bare, BRACKETS, carriers) == ()


def test_everything_unknown() -> None:
    bodies, _ = motion(70, 50)
    lost = [TurnedBody(bodies[0].origin * np.nan, bodies[0].axis, BOOTED)]
    assert np.isnan(clearance(lost, BRACKETS[:2]).gap_mm).all()
    assert closest_approaches(lost, BRACKETS[:2]) == ()


def test_a_carrier_that_is_not_given_is_named() -> None:
    bodies, _ = motion(3, 1)
    with pytest.raises(KeyError, match="knuckle"):
        clearance(bodies, [BRACKETS[5]])


def test_results_cannot_be_written_to() -> None:
    bodies, carriers = motion(3, 1)
    found = clearance(bodies, BRACKETS, carriers)
    for array in (found.gap_mm, found.nearest):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


scenes = st.tuples(
    st.floats(-60, 60), st.floats(-60, 60), st.floats(-60, 60), st.floats(-1, 1), st.floats(-1, 1),
    st.floats(2, 60), st.floats(2, 60), st.integers(0, 99),
)  # fmt: skip


def scene(values: tuple[float, ...]) -> tuple[TurnedBody, Bracket]:
    x, y, z, lean_up, lean_fore, d0, d1, seed = values
    section = Section("s", 10.0, 70.0, (d0, d1))
    body = TurnedBody.between([x, y, z], [x + 1, y + lean_up, z + lean_fore], [section])
    return body, Bracket("b", outline((40, 10), 35, int(seed)), fore=(-20, 15))


def gap(body: TurnedBody, bracket: Bracket, carriers: Carriers | None = None) -> float:
    return float(clearance([body], [bracket], carriers or {"body": CarrierPose.still()}).gap_mm)


@settings(deadline=None, max_examples=60)
@given(
    values=scenes,
    turn=st.tuples(*[st.floats(-3, 3)] * 3),
    shift=st.tuples(*[st.floats(-300, 300)] * 3),
)
def test_moving_both_changes_nothing(
    values: tuple[float, ...], turn: tuple[float, ...], shift: tuple[float, ...]
) -> None:
    body, bracket = scene(values)
    rotation = Rotation.from_rotvec(turn).as_matrix()
    centre = np.array([11.0, -7.0, 5.0])
    now = centre + np.array(shift)
    carried = TurnedBody(
        rotation @ (body.origin - centre) + now, rotation @ body.axis, body.sections
    )
    pose: Carriers = {"body": CarrierPose(centre, now, rotation)}
    before, after = gap(body, bracket), gap(carried, bracket, pose)
    # Exactly touching ends may turn from a gap into an overlap; anything else must not move.
    if before * after > 0:
        assert after == pytest.approx(before, abs=3e-6)
    else:
        assert max(before, after) == pytest.approx(0, abs=1e-6)


@settings(deadline=None, max_examples=40)
@given(values=scenes, more=st.floats(0.1, 30))
def test_a_thicker_shaft_never_has_more_room(values: tuple[float, ...], more: float) -> None:
    body, bracket = scene(values)
    d0, d1 = body.sections[0].diameter
    thick = TurnedBody(body.origin, body.axis, (Section("s", 10, 70, (d0 + more, d1 + more)),))
    thin_gap, thick_gap = gap(body, bracket), gap(thick, bracket)
    assert thick_gap <= thin_gap + 1e-6
    if thin_gap > 0 and thick_gap > 0:
        assert thick_gap >= thin_gap - more / 2 - 1e-6


@given(height=st.floats(20, 80), diameter=st.floats(2, 38), more=st.floats(0, 1))
def test_beside_a_parallel_edge_the_gap_falls_by_the_radius(
    height: float, diameter: float, more: float
) -> None:
    plate = Bracket("b", ((10, height), (60, height), (60, height + 30), (10, height + 30)))

    def at(d: float) -> float:
        axis = np.array([1.0, 0, 0])
        return gap(TurnedBody(np.zeros(3), axis, (Section("bar", 0, 100, (d, d)),)), plate)

    assert at(diameter) == pytest.approx(height - diameter / 2, abs=1e-9)
    assert at(diameter + more) == pytest.approx(at(diameter) - more / 2, abs=1e-9)


@settings(deadline=None, max_examples=40)
@given(values=scenes)
def test_a_bracket_at_every_depth_is_a_very_deep_one(values: tuple[float, ...]) -> None:
    body, bracket = scene(values)
    depthless = Bracket("b", bracket.outline)
    deep = Bracket("b", bracket.outline, fore=(-900, 900))
    assert gap(body, depthless) == pytest.approx(gap(body, deep), abs=3e-6)
    assert gap(body, depthless) <= gap(body, bracket) + 1e-6


@settings(deadline=None, max_examples=40)
@given(values=scenes)
def test_a_mirrored_scene_has_the_same_gap(values: tuple[float, ...]) -> None:
    body, bracket = scene(values)
    flip = np.array([1.0, 1.0, -1.0])
    other = TurnedBody(body.origin * flip, body.axis * flip, body.sections)
    assert bracket.fore is not None
    mirrored = Bracket("b", bracket.outline[::-1], fore=(-bracket.fore[1], -bracket.fore[0]))
    assert gap(other, mirrored) == pytest.approx(gap(body, bracket), abs=3e-6)


def test_an_axis_that_points_at_the_viewer() -> None:
    pin = TurnedBody(np.zeros(3), np.array([0.0, 0.0, 1.0]), (Section("pin", -50, 50, (20, 20)),))
    plate = Bracket("b", ((30, -10), (60, -10), (60, 10), (30, 10)), fore=(-5, 5))
    before = Bracket("b", ((-20, -20), (20, -20), (20, 20), (-20, 20)), fore=(57, 60))
    assert gap(pin, plate) == pytest.approx(20, abs=1e-9)
    assert gap(pin, before) == pytest.approx(7, abs=1e-9)
