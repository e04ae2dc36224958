"""The editor: everything the window knows, without a screen.

The document on it, the position of wheel and steering, what is pointed at and
where each view looks.  The window draws the editor; gestures, keys and fields
change it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from kinematics.parts import Bracket, FrontPoint
from kinematics.shaft.length_window import Position
from scenes.key_table import named
from scenes.keys import has, value_of
from scenes.model import SIDES, Scene
from sketcher.answers.kept import Answers
from sketcher.answers.memo import Same
from sketcher.answers.shown import Shown
from sketcher.answers.trimmed import TrimmedScene, trim_in_scene, trim_lines
from sketcher.answers.worker import Worker
from sketcher.drawing.camera import Camera
from sketcher.drawing.hitting import REACH_PX
from sketcher.drawing.picture import View
from sketcher.drawing.style import Theme
from sketcher.window.model import edits
from sketcher.window.model.document import Document
from sketcher.window.model.editing import Editing
from sketcher.window.model.fields import STEPS_MM
from sketcher.window.model.open_outline import Aids, OpenOutline, Snapping, catchable
from sketcher.window.model.photo_shown import PhotoShown
from sketcher.words.units import MM_PER_INCH, Unit

GRID_MM = 5.0
# What dragged points snap to with the grid on, and how that is said.
GRIDS: dict[Unit, tuple[float, str]] = {"mm": (GRID_MM, "5 mm"), "in": (MM_PER_INCH / 8, '1/8"')}
STEER_STEP_DEG = 1.0
# A full sweep from droop to bump and back, seconds.
SWEEP_SECONDS = 4.0


@dataclass(frozen=True, slots=True)
class HeldThing:
    """What a drag holds: its key, and what it was before."""

    key: str
    before: object


class Editor(Editing):
    """What the window knows and what can be done with it."""

    def __init__(self, document: Document, *, unit: Unit = "mm", theme: Theme = "light") -> None:
        super().__init__(document, unit)
        self.worker = Worker()
        self.answers = Answers(worker=self.worker)
        self.theme: Theme = theme
        self.grid_mm: float | None = None
        self.cameras: dict[View, Camera] = {
            "front": Camera(100.0, 100.0),
            "above": Camera(100.0, 100.0),
        }
        self.open_steps: set[str] = {"Length"}
        self.lit = ""
        self.hover = ""
        self.focus: View = "front"
        self.travel_mm = 0.0
        self.steer_deg = 0.0
        self.open_outline: OpenOutline | None = None
        self.snapping = Snapping()
        self.held: HeldThing | None = None
        self._sweep: float | None = None
        self._trimming: tuple[Scene, int] | None = None
        self.put(document)

    def put(self, document: Document) -> None:
        """Lay another document on the editor."""
        self.document = document
        self.answers.forget()
        self.photo = PhotoShown()
        self.side = (document.scene.sides or SIDES)[0]
        self.travel_mm = self.steer_deg = 0.0
        self.hover = self.lit = ""
        self.message = None
        self.open_outline = self.held = self.pointing = None
        self._sweep = self._trimming = None
        self._typed_places.clear()

    def shown(self, *, exact: bool = False, pose_only: bool = False) -> Shown:
        """What there is to be drawn; see :meth:`Answers.show`."""
        self.set_travel(self.travel_mm)
        self.set_steer(self.steer_deg)
        shown = self.answers.show(
            self.scene, self.side, self.travel_mm, self.steer_deg, exact=exact, pose_only=pose_only
        )
        outdated = self.document.refused_file
        return replace(shown, outdated=outdated) if outdated else shown

    # The position.

    @property
    def playing(self) -> bool:
        """Whether the travel is swept by itself."""
        return self._sweep is not None

    def set_travel(self, travel_mm: float) -> None:
        """Move the wheel to a travel, held within bump and droop."""
        self.travel_mm = _within(travel_mm, self.scene.travel_range)

    def set_steer(self, steer_deg: float) -> None:
        """Steer the wheel, held within the locks."""
        self.steer_deg = _within(steer_deg, self.scene.steer_range)

    def go_to(self, position: Position) -> None:
        """Put the wheel where something was found."""
        self._sweep = None
        self.set_travel(position.travel_mm)
        self.set_steer(position.steer_deg)

    def play(self) -> None:
        """Begin to sweep the travel, or stop."""
        if self._sweep is not None:
            self._sweep = None
            return
        low, high = self.scene.travel_range
        self._sweep = (self.travel_mm - low) / max(high - low, 1e-9) / 2.0

    def pass_time(self, seconds: float) -> None:
        """Go on with the sweep, and take over a trim that is done."""
        self._finish_trimming()
        if self._sweep is None:
            return
        self._sweep = (self._sweep + seconds / SWEEP_SECONDS) % 1.0
        low, high = self.scene.travel_range
        there = 2.0 * self._sweep
        self.travel_mm = low + (high - low) * (there if there <= 1.0 else 2.0 - there)

    def close(self) -> None:
        """Let go of the worker."""
        self.worker.close()

    # What is pushed, added and trimmed.

    def nudge(self, dx: int, dy: int, *, fine: bool = False) -> None:
        """Push what is selected by an arrow key."""
        key = self.selection
        if not movable(self.scene, key):
            self.say("Select a point to move it with the arrow keys.")
            return
        step = STEPS_MM[self.unit][fine]
        by, view = (dx * step, dy * step), self.focus
        self.do(f"move {name_of(key)}", lambda scene: edits.nudge(scene, key, by, view), ())

    def add_bracket(self, outline: tuple[FrontPoint, ...], name: str = "bracket") -> bool:
        """Add a bracket and select it; whether there is one more."""
        if not self.do(f"add {name}", lambda scene: edits.add_bracket(scene, outline, name)):
            return False
        self.select(f"bracket[{len(self.scene.brackets) - 1}]")
        return True

    def add_bracket_in_view(self) -> None:
        """Add a bracket in the middle of the front view."""
        x, y = self.cameras["front"].centre
        half = 40.0 if self.cameras["front"].zoom < 2.0 else 15.0
        corners = ((x - half, y - half), (x + half, y - half), (x + half, y), (x - half, y))
        self.add_bracket(tuple(edits.snapped(corner, GRID_MM) for corner in corners))

    def trim_selected(self) -> None:
        """Trim the selected bracket until its wanted gap is left, while the frames go on."""
        base = edits.bracket_key(self.selection)
        if not base:
            self.say("Select a bracket first.")
        elif self._trimming is None:
            scene, index = self.scene, edits.last_place(base)
            self._trimming = (scene, index)
            self.say(f"Trimming {scene.brackets[index].name} over the whole motion…")
            self._finish_trimming()

    def _finish_trimming(self) -> None:
        if self._trimming is None:
            return
        scene, index = self._trimming
        if scene is not self.scene:
            self._trimming = None
            self.say("The scene has changed since; nothing was trimmed.")
            return
        work = partial(trim_in_scene, scene, index)
        answer = self.worker.ask("trim", (Same(scene), index), work, soon=True)
        if answer.problem:
            self._trimming = None
            self.refuse(answer.problem)
        elif answer.found is not None:
            self._trimming = None
            self.take_trimmed(answer.found)

    def take_trimmed(self, trimmed: TrimmedScene) -> None:
        """Take over a trimmed bracket as one step, and say what it took."""
        self.do("trim bracket", lambda _: trimmed.scene)
        self.say(" ".join(trim_lines(trimmed.trim, self.unit)))

    # The answer.

    def use_middle_of_window(self) -> None:
        """Make the shaft as long as the middle of its window."""
        shown, side = self.shown(exact=True), self.side
        window = None if shown.solved is None else shown.solved.found.window
        self.do(
            "middle of the window", lambda scene: edits.to_middle_of_window(scene, side, window)
        )

    # The views.

    def open_only(self, *steps: str) -> None:
        """Open these steps and parts and shut the other steps; which parts are open stays."""
        parts = {name for name in self.open_steps if "/" in name}
        self.open_steps = {*steps, *parts}

    def toggle_grid(self) -> None:
        """Switch snapping to the grid on or off."""
        step, words = GRIDS[self.unit]
        self.grid_mm = None if self.grid_mm else step
        self.say(f"Points snap to {words}." if self.grid_mm else "Points move freely.")

    @property
    def snap_mm(self) -> float:
        """What dragged points snap to: the grid, or the finest step of the unit, mm."""
        return self.grid_mm or STEPS_MM[self.unit][1]

    @property
    def reach_mm(self) -> float:
        """How far a target reaches in the front view, mm."""
        camera = self.cameras["front"]
        return REACH_PX * camera.ui_scale / camera.zoom

    def aids(self, besides: str = "") -> Aids:
        """What a place pointed at keeps to now; the points of ``besides`` are not caught."""
        points = catchable(self.scene, besides) if self.snapping.catch else ()
        return Aids(self.snapping.square, points, self.reach_mm, self.snap_mm)

    def toggle_unit(self) -> None:
        """Switch between mm and inches."""
        self.unit = "in" if self.unit == "mm" else "mm"
        if self.grid_mm:
            self.grid_mm = GRIDS[self.unit][0]

    def toggle_theme(self) -> None:
        """Switch between paper and slate."""
        self.theme = "dark" if self.theme == "light" else "light"


def movable(scene: Scene, key: str) -> bool:
    """Whether a key names a point or a bracket, which can be pushed about."""
    bracket = has(scene, key) and isinstance(value_of(scene, key), Bracket)
    return bracket or edits.point_of(scene, key) is not None


def name_of(key: str) -> str:
    """A key as a person would say it: ``linkage.ball_joint`` is "ball joint"."""
    if key.startswith("mark["):
        return "mark"
    if key.startswith("bracket["):
        return "corner" if ".outline[" in key else "bracket"
    return named(key)


def _within(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])
