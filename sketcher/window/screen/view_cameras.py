"""Where the cameras of both views stand so that everything is seen."""

from __future__ import annotations

from dataclasses import replace

from scenes.model import Scene
from sketcher.answers.pose import Pose, pose_as_drawn
from sketcher.answers.shown import Shown, Solved
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Box, View
from sketcher.drawing.sketch import world_box, world_box_above
from sketcher.window.model.editor import Editor
from sketcher.window.screen.layout import ScreenLayout


def fit(layout: ScreenLayout, editor: Editor, shown: Shown) -> None:
    """Point the cameras so that both views show everything."""
    if shown.solved is None:
        return
    scene, ride, side = editor.scene, ride_of(editor.scene, shown.solved), shown.solved.side
    editor.cameras["front"] = _fitted(layout, scene, ride, world_box(scene, ride, side))
    above = Camera.on(layout.above, layout.scale)
    box = world_box_above(scene, ride, side)
    editor.cameras["above"] = above.fitted(box, padding_px=12.0)


def _fitted(layout: ScreenLayout, scene: Scene, ride: Pose, box: Box) -> Camera:
    """The front camera that shows everything, the view from above covering nothing of it."""
    whole, inset = layout.front, layout.above
    free = Area(whole.left, whole.top, whole.width, layout.title.top - whole.top)
    points = [p[:2] for p in ride.points.values()]
    points += [corner for bracket in scene.brackets for corner in bracket.outline]

    def camera(area: Area) -> Camera:
        fitted = Camera.on(area, layout.scale).fitted(box, padding_px=16.0)
        middle = fitted.to_world((whole.left + whole.width / 2, whole.top + whole.height / 2))
        return replace(Camera.on(whole, layout.scale), centre=middle, zoom=fitted.zoom)

    room = inset.inset(-layout.px(40))
    aside = Area(free.left + free.width // 5, free.top, free.width * 4 // 5, free.height)
    for area in (free, aside):
        first = camera(area)
        if not any(room.holds(first.to_screen(point)) for point in points):
            return first
    right = Area(inset.right, free.top, free.right - inset.right, free.height)
    under = Area(free.left, inset.bottom, free.width, free.bottom - inset.bottom)
    return max((camera(right), camera(under)), key=lambda one: one.zoom)


def resize(layout: ScreenLayout, editor: Editor) -> None:
    """Lay the cameras on the areas of this layout."""
    areas: dict[View, Area] = {"front": layout.front, "above": layout.above}
    for view, area in areas.items():
        editor.cameras[view] = editor.cameras[view].resized(
            area.width, area.height, left=area.left, top=area.top, ui_scale=layout.scale
        )


def ride_of(scene: Scene, solved: Solved) -> Pose:
    """The pose at ride height, as drawn where what is solved is of another kind of linkage.

    The last that closed then has none of the scene's points.
    """
    if scene.linkage.kind == solved.corner.linkage.kind:
        return solved.ride
    return pose_as_drawn(scene.linkage, scene.hub)
