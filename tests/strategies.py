"""Hypothesis strategies: plausible corners of both kinds, with depth, steer and gearbox movement.

Points lie on a grid of a hundredth of a millimetre, about the sizes of a small van.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from kinematics.parts import (
    Bracket,
    Corner,
    GearboxMovement,
    Hub,
    InnerJoint,
    Linkage,
    OuterJoint,
    Point,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from scenes.model import Scene


def hundredths(lowest: float, highest: float) -> st.SearchStrategy[float]:
    """Numbers between two bounds in steps of 0.01."""
    return st.integers(round(lowest * 100), round(highest * 100)).map(lambda n: n / 100)


@st.composite
def points(
    draw: st.DrawFn,
    out: tuple[float, float],
    up: tuple[float, float],
    fore: tuple[float, float],
    *,
    depth: bool,
) -> Point:
    """A point in a box; in the plane of the front view where ``depth`` is False."""
    return (
        draw(hundredths(*out)),
        draw(hundredths(*up)),
        draw(hundredths(*fore)) if depth else 0.0,
    )


@st.composite
def struts(draw: st.DrawFn, *, depth: bool = True) -> Strut:
    """Strut linkages."""
    return Strut(
        arm_pivot=draw(points((290, 400), (150, 250), (-20, 20), depth=depth)),
        ball_joint=draw(points((630, 720), (140, 240), (-20, 20), depth=depth)),
        strut_top=draw(points((530, 640), (700, 860), (-60, 20), depth=depth)),
        strut_lower=draw(points((600, 700), (300, 420), (-20, 20), depth=depth)),
    )


@st.composite
def wishbones(draw: st.DrawFn, *, depth: bool = True) -> Wishbones:
    """Double wishbones, the upper arms shorter."""
    return Wishbones(
        lower_pivot=draw(points((280, 390), (140, 230), (-20, 20), depth=depth)),
        lower_ball_joint=draw(points((620, 720), (130, 220), (-20, 20), depth=depth)),
        upper_pivot=draw(points((340, 450), (350, 460), (-30, 30), depth=depth)),
        upper_ball_joint=draw(points((580, 690), (370, 480), (-30, 20), depth=depth)),
    )


def linkages(*, depth: bool = True) -> st.SearchStrategy[Linkage]:
    """Linkages of both kinds."""
    return st.one_of(struts(depth=depth), wishbones(depth=depth))


@st.composite
def hubs(draw: st.DrawFn, *, depth: bool = True) -> Hub:
    """Hubs with some camber, and some toe where there is depth."""
    outer = draw(points((620, 690), (260, 330), (-10, 10), depth=depth))
    reach = draw(points((50, 95), (-6, 6), (-4, 4), depth=depth))
    out, up, fore = (round(a + b, 2) for a, b in zip(outer, reach, strict=True))
    return Hub(outer, (out, up, fore))


@st.composite
def inner_joints(draw: st.DrawFn, *, depth: bool = True, table: bool | None = False) -> InnerJoint:
    """Inner joints; ``table`` None draws whether the stroke shrinks with the joint's angle."""
    stroke_in, stroke_out = draw(hundredths(15, 30)), draw(hundredths(15, 30))
    rows: tuple[tuple[float, float, float], ...] = ()
    if table or (table is None and draw(st.booleans())):
        rows = (
            (0.0, stroke_in, stroke_out),
            (draw(hundredths(8, 14)), 0.8 * stroke_in, 0.85 * stroke_out),
            (draw(hundredths(18, 26)), 0.3 * stroke_in, 0.4 * stroke_out),
        )
    side = (-0.15, 0.15)
    tilt = draw(points((1, 1), side, side, depth=depth))
    return InnerJoint(
        mid_stroke=draw(points((220, 300), (260, 350), (-30, 30), depth=depth)),
        axis=tilt,
        stroke_in=stroke_in,
        stroke_out=stroke_out,
        max_angle=draw(hundredths(20, 26)),
        stroke_at_angle=rows,
    )


@st.composite
def shafts(draw: st.DrawFn, *, depth: bool = True, table: bool | None = False) -> Shaft:
    """Shafts, of a given length or none."""
    return Shaft(
        inner_joint=draw(inner_joints(depth=depth, table=table)),
        outer_joint=OuterJoint(draw(hundredths(42, 48))),
        length=draw(st.none() | hundredths(330, 480)),
        sections=draw(st.just(()) | st.just((Section("bar", 60.0, 300.0, (24.0, 30.0)),))),
    )


@st.composite
def corners(
    draw: st.DrawFn, *, depth: bool = True, steers: bool = True, table: bool | None = False
) -> Corner:
    """Corners of both kinds of linkage."""
    return Corner(
        linkage=draw(linkages(depth=depth)),
        hub=draw(hubs(depth=depth)),
        travel=Travel(draw(hundredths(30, 80)), draw(hundredths(30, 80))),
        shaft=draw(shafts(depth=depth, table=table)),
        steering=Steering(draw(hundredths(20, 40)), draw(hundredths(20, 34))) if steers else None,
        gearbox_movement=GearboxMovement(*draw(st.tuples(*[hundredths(0, 8)] * 3))),
    )


def words(max_size: int | None = None) -> st.SearchStrategy[str]:
    """Any text that a scene takes: all but the character of number 0."""
    return st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=max_size)


@st.composite
def brackets(draw: st.DrawFn) -> Bracket:
    """Boxes beside the shaft."""
    out, up = draw(hundredths(350, 550)), draw(hundredths(150, 400))
    wide, high = draw(hundredths(5, 80)), draw(hundredths(5, 60))
    return Bracket(
        name=draw(words(12).filter(str.strip)),
        outline=((out, up), (out + wide, up), (out + wide, up + high), (out, up + high)),
        mounted_on=draw(st.sampled_from(("body", "arm", "knuckle", "gearbox"))),
        fore=draw(st.none() | st.just((-30.0, 40.0))),
        wanted_gap=draw(st.just(6.0) | hundredths(0, 20)),
    )


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    """Whole scenes, with a shaft on one side or both."""
    corner = draw(corners(steers=draw(st.booleans()), table=None))
    other = draw(st.none() | shafts(table=None))
    scene = Scene(
        linkage=corner.linkage,
        hub=corner.hub,
        travel=corner.travel,
        left=corner.shaft,
        right=other,
        steering=corner.steering,
        gearbox_movement=corner.gearbox_movement,
        brackets=tuple(draw(st.lists(brackets(), max_size=3, unique_by=lambda one: one.name))),
        title=draw(words(30)),
        notes=draw(words(60)),
    )
    if other is not None and draw(st.booleans()):
        return replace(scene, left=None)
    return scene
