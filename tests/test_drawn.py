"""What the sketch is made of, what it says and what it may be taken hold of by, word for word.

Many scenes, positions and scales.  Pinned from our own output: it proves nothing right, and shows
at once what a change changes.  ``python -m tests.test_drawn`` writes ``tests/pinned/drawn`` anew;
read the difference.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from sketcher.answers.points import settle_scene
from sketcher.drawing.camera import Camera
from sketcher.drawing.hitting import hit, hits
from sketcher.drawing.picture import Box, Picture, Text
from sketcher.drawing.reading_view import ReadingsShown
from sketcher.drawing.sketch import (
    SketchExtras,
    front_view,
    view_from_above,
    world_box,
    world_box_above,
)
from sketcher.drawing.unclosed_view import cannot_close
from tests.drawn import laid
from tests.pinning import now_and_before, same, write_anew
from tests.test_by_hand import editor_of

HELD = ((0.0, 0.0), (35.0, -12.0), (-45.0, 21.0))
# As large as a window shows it, as a stamp, and near enough to see a joint alone.
SCALES = (1.0, 0.25, 4.0)


def made_of(picture: Picture, camera: Camera) -> Iterator[str]:
    items = list(picture)
    counted = Counter(f"{type(one).__name__} {one.role}" for one in items)
    yield f"  {dict(sorted(counted.items()))}"
    yield f"  {[one.text for one in items if isinstance(one, Text)]}"
    keys = Counter(one.key for one in items if one.key)
    yield f"  {dict(sorted(keys.items()))}"
    found = Counter[str]()
    for key in keys:
        places = [one.at for one in items if one.key == key and hasattr(one, "at")]
        for place in places[:1]:
            x, y = camera.to_screen(place)
            for by in (0.0, 9.0, 11.0):
                taken = hit(picture, camera, (x + by, y), prefer="bracket[0]")
                found[f"{taken}"] += len(hits(picture, camera, (x + by, y)))
    yield f"  {dict(sorted(found.items()))}"
    yield from (f"  lies {line}" for line in laid(items))


def of_scene(name: str) -> Iterator[str]:
    editor = editor_of(name)
    scene, side = editor.scene, editor.side
    settled = settle_scene(scene) if scene.readings else None
    for number, (travel, steer) in enumerate(HELD):
        editor.set_travel(travel)
        editor.set_steer(steer)
        shown = editor.shown(exact=number == 0)
        solved, pose = shown.solved, shown.pose
        assert solved is not None
        assert pose is not None
        for scale in SCALES if number == 0 else (SCALES[0], SCALES[number]):
            camera = Camera(900.0, 700.0).fitted(world_box(scene, pose, side)).times(1.0)
            camera = replace(camera, zoom=camera.zoom * scale)
            readings = None
            if settled is not None:
                lit = frozenset({"reading[0]"} if number else ())
                unread = scene.readings[-1] if number == 1 else None
                readings = ReadingsShown(settled, unread, lit, words=number < 2)
            extras = SketchExtras(
                envelope=solved.envelope,
                gaps=shown.gaps,
                margin_mm=8.0,
                unit="in" if number == 2 else "mm",
                grid=number != 1,
                names=scale != SCALES[1],
                dimensions=number != 2 or scale == 1.0,
                ghost=scale == 1.0,
                readings=readings,
                covered=(Box(200.0, 600.0, 500.0, 900.0),) if number else (),
            )
            yield f"{travel:g} {steer:g} {scale:g}"
            yield from made_of(front_view(scene, side, pose, solved.ride, camera, extras), camera)
            above = camera.fitted(world_box_above(scene, pose, side))
            drawn = view_from_above(scene, side, pose, solved.ride, above, extras)
            yield from made_of(drawn, above)
    ride = editor.shown().solved.ride  # type: ignore[union-attr]
    for asked in (None, 140.0, -160.0):
        camera = Camera(900.0, 700.0).fitted(world_box(scene, ride))
        yield f"does not close {asked}"
        words = "the arm is too short"
        picture = cannot_close(scene, ride, camera, words, asked_travel_mm=asked)
        yield from made_of(picture, camera)
    editor.close()


@pytest.mark.parametrize("name", ["brackets", "measured", "ragged", "readings", "wishbones"])
def test_what_is_drawn_is_as_it_was(name: str) -> None:
    said, was = now_and_before(f"drawn/{name}", of_scene(name))
    assert len(said) == len(was)
    for line, before in zip(said, was, strict=True):
        assert line == before or (" lies " in line and same(line, before, 1e-5)), line


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
