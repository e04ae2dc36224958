"""Writing scenes: equal when read again, comments kept, the file always whole."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example as sample
from hypothesis import given, settings

from kinematics.parts import (
    Bracket,
    GearboxMovement,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from scenes.errors import SceneError
from scenes.library import example, example_names, example_text
from scenes.model import Scene
from scenes.reading import parse_scene, read_scene
from scenes.writing import scene_text, write_scene, write_whole
from tests import strategies

TEXT = example_text("van-front")
SCENE = parse_scene(TEXT)
DAMPER = Section("damper", 100.0, 120.0, (40.0, 44.0))
PLATE = Bracket("plate", ((300.0, 100.0), (340.0, 100.0), (340.0, 120.5)), "gearbox", (-5.0, 5.0))


def left(**changes: object) -> Scene:
    assert SCENE.left is not None
    return replace(SCENE, left=replace(SCENE.left, **changes))  # type: ignore[arg-type]


def right_shaft() -> Shaft:
    assert SCENE.right is not None
    return SCENE.right


def sections() -> tuple[Section, ...]:
    assert SCENE.left is not None
    return SCENE.left.sections


def ball_joint(out: float, fore: float) -> Scene:
    assert isinstance(SCENE.linkage, Strut)
    return replace(SCENE, linkage=replace(SCENE.linkage, ball_joint=(out, 188.0, fore)))


EDITS: dict[str, Scene] = {
    "nothing": SCENE,
    "a title": replace(SCENE, title='Another "title" \\ with [[brackets]] # and more'),
    "no title": replace(SCENE, title=""),
    "notes": replace(SCENE, notes="One line"),
    "longer notes": replace(SCENE, notes='first\n\n[second]\n"""third"""\n# fourth'),
    "no notes": replace(SCENE, notes=""),
    "a point": ball_joint(670.25, 6.0),
    "a point's depth": ball_joint(668.0, 0.0),
    "the linkage": replace(
        SCENE,
        linkage=Wishbones(
            (306.0, 178.0, 0.0), (642.0, 166.0, 8.0), (372.0, 392.0, 0.0), (618.0, 418.0, -6.0)
        ),
    ),
    "travel": replace(SCENE, travel=Travel(60.5, 80.0)),
    "no steering": replace(SCENE, steering=None),
    "a lock": replace(SCENE, steering=Steering(35.0, 28.0)),
    "no movement": replace(SCENE, gearbox_movement=GearboxMovement()),
    "less movement": replace(SCENE, gearbox_movement=GearboxMovement(0.0, 5.0, 7.5)),
    "a length": left(length=392.4),
    "no length": left(length=None),
    "a length where none was": replace(SCENE, right=replace(right_shaft(), length=400.5)),
    "no stroke table": left(inner_joint=replace(right_shaft().inner_joint, stroke_at_angle=())),
    "a section more": left(sections=(*sections(), DAMPER)),
    "a section before": left(sections=(DAMPER, *sections())),
    "a section between": left(sections=(sections()[0], DAMPER, *sections()[1:])),
    "a section less": left(sections=sections()[1:]),
    "the last section less": left(sections=sections()[:-1]),
    "sections in another order": left(sections=sections()[::-1]),
    "no sections": left(sections=()),
    "a section and a bracket": replace(
        left(sections=(*sections(), DAMPER)), brackets=(*SCENE.brackets, PLATE)
    ),
    "a bracket more": replace(SCENE, brackets=(*SCENE.brackets, PLATE)),
    "a bracket before": replace(SCENE, brackets=(PLATE, *SCENE.brackets)),
    "a bracket less": replace(SCENE, brackets=SCENE.brackets[1:]),
    "the last bracket less": replace(SCENE, brackets=SCENE.brackets[:-1]),
    "brackets in another order": replace(SCENE, brackets=SCENE.brackets[::-1]),
    "no brackets": replace(SCENE, brackets=()),
    "no brackets, as it says": replace(SCENE, brackets=(), none_of=frozenset({"bracket"})),
    "solid mounts, as it says": replace(
        SCENE, gearbox_movement=GearboxMovement(), none_of=frozenset({"gearbox.movement"})
    ),
    "a bracket renamed": replace(
        SCENE, brackets=(replace(SCENE.brackets[0], name="foot"), SCENE.brackets[1])
    ),
    "a bracket at every depth": replace(
        SCENE, brackets=(replace(SCENE.brackets[0], fore=None), SCENE.brackets[1])
    ),
    "a wanted gap": replace(
        SCENE, brackets=(replace(SCENE.brackets[0], wanted_gap=9.5), SCENE.brackets[1])
    ),
    "no left shaft": replace(SCENE, left=None),
    "no right shaft": replace(SCENE, right=None),
}


@pytest.mark.parametrize("edited", EDITS.values(), ids=EDITS.keys())
class TestEdits:
    def test_read_again_it_is_the_same(self, edited: Scene) -> None:
        assert parse_scene(scene_text(edited, TEXT)) == edited
        assert parse_scene(scene_text(edited)) == edited

    def test_and_back_again(self, edited: Scene) -> None:
        there = scene_text(edited, TEXT)
        assert parse_scene(scene_text(SCENE, there)) == SCENE

    def test_one_blank_line_and_no_more(self, edited: Scene) -> None:
        for text in (scene_text(edited), scene_text(edited, TEXT)):
            # Notes may hold blank lines of their own.
            outside = re.sub(r'""".*?"""', "", text, flags=re.DOTALL)
            assert "\n\n\n" not in outside
            assert text.endswith("\n")
            assert not text.startswith("\n")
            assert re.search(r"[^\n]\n\[\[bracket\]\]", outside) is None
            assert re.search(r"[^\n]\n\[shafts\.(left|right)\]", outside) is None

    def test_windows_line_ends_stay(self, edited: Scene) -> None:
        text = scene_text(edited, TEXT.replace("\n", "\r\n"))
        assert parse_scene(text) == edited
        if "notes" not in text or edited.notes == SCENE.notes:
            assert "\n" not in text.replace("\r\n", "")


def test_an_untouched_scene_is_the_same_text() -> None:
    for name in example_names():
        assert scene_text(example(name), example_text(name)) == example_text(name)


def test_what_is_not_touched_stays_letter_by_letter() -> None:
    changed = scene_text(EDITS["a length"], TEXT)
    assert changed == TEXT.replace("length = 391\n", "length = 392.4\n")
    changed = scene_text(EDITS["a section and a bracket"], TEXT)
    kept = iter(changed.splitlines())
    assert all(line in kept for line in TEXT.splitlines())


def noted(text: str) -> tuple[str, list[str]]:
    """The text with a comment over every header and at the end of every line."""
    lines: list[str] = []
    inside = False
    for number, line in enumerate(text.splitlines()):
        if line.count('"""') == 1:
            inside = not inside
        if line.startswith("["):
            lines.append(f"# over {number}.")
        lines.append(line if inside or not line or "#" in line else f"{line}  # at {number}.")
    return "\n".join(lines) + "\n", re.findall(r"# (?:over|at) \d+\.", "\n".join(lines))


@pytest.mark.parametrize(
    "name", [name for name in EDITS if not name.startswith(("no ", "the linkage"))]
)
def test_comments_stay_where_a_save_does_not_touch_them(name: str) -> None:
    text, comments = noted(TEXT)
    assert parse_scene(text) == SCENE
    changed = scene_text(EDITS[name], text)
    assert parse_scene(changed) == EDITS[name]
    lost = [comment for comment in comments if comment not in changed]
    if name == "a bracket at every depth":
        assert len(lost) == 1
    elif "less" not in name:
        assert lost == []
    else:
        # Those of the table that is gone, and no others.
        assert len(lost) <= 7
    order = [changed.index(comment) for comment in comments if comment in changed]
    if "order" not in name:
        assert order == sorted(order)


LAYOUTS = {
    "inline tables": """
format = 1
bracket = [{ name = "foot", outline = [[1, 1], [9, 1], [9, 9]] }]
hub = { outer_joint = [652, 293], wheel_centre = [716, 292] }
travel = { bump = 70, droop = 80 }
linkage = { kind = "strut", arm_pivot = [338, 205], ball_joint = [668, 188, 6], strut_top = \
[575, 790, -30], strut_lower = [636, 350, -4] }
shafts.left = { inner_joint = { mid_stroke = [262, 312], stroke_in = 23, stroke_out = 24, \
max_angle = 23 }, outer_joint = { max_angle = 46 } }
""",
    "dotted keys": """
format = 1
hub.outer_joint = [652, 293]
hub.wheel_centre = [716, 292]
travel.bump = 70
travel.droop = 80
shafts.left.inner_joint.mid_stroke = [262, 312]
shafts.left.inner_joint.stroke_in = 23
shafts.left.inner_joint.stroke_out = 24
shafts.left.inner_joint.max_angle = 23
shafts.left.outer_joint.max_angle = 46
linkage.kind = "strut"
linkage.arm_pivot = [338, 205]
linkage.ball_joint = [668, 188, 6]
linkage.strut_top = [575, 790, -30]
linkage.strut_lower = [636, 350, -4]
""",
    "out of order": """
[shafts.left.outer_joint]
max_angle = 46
[[bracket]]
outline = [[1, 1], [9, 1], [9, 9]]
[hub]
outer_joint = [652, 293]
wheel_centre = [716, 292]
[shafts.left.inner_joint]
mid_stroke = [262, 312]
stroke_in = 23
stroke_out = 24
max_angle = 23
[travel]
bump = 70
droop = 80
[linkage]
kind = "strut"
arm_pivot = [338, 205]
ball_joint = [668, 188, 6]
strut_top = [575, 790, -30]
strut_lower = [636, 350, -4]
""",
}
LAYOUTS["out of order"] = "format = 1\n" + LAYOUTS["out of order"]


def lengthened(scene: Scene) -> Scene:
    assert scene.left is not None
    return replace(scene, left=replace(scene.left, length=391.0))


def sectioned(scene: Scene) -> Scene:
    assert scene.left is not None
    return replace(scene, left=replace(scene.left, sections=(DAMPER,)))


def bracketed(scene: Scene) -> Scene:
    return replace(scene, brackets=(*scene.brackets, replace(PLATE, name="own name")))


def moved(scene: Scene) -> Scene:
    assert isinstance(scene.linkage, Strut)
    return replace(
        scene, linkage=replace(scene.linkage, ball_joint=(660.0, 188.0, 6.0)), title="moved"
    )


def steered(scene: Scene) -> Scene:
    return replace(scene, steering=Steering(35.0, 29.0), gearbox_movement=GearboxMovement(1.0))


def mirrored(scene: Scene) -> Scene:
    return replace(scene, right=scene.left)


@pytest.mark.parametrize("edit", [lengthened, sectioned, bracketed, moved, steered, mirrored])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_any_layout_that_toml_allows(layout: str, edit: Callable[[Scene], Scene]) -> None:
    """Where a change in place would say something else, the file is written afresh instead."""
    scene = parse_scene(LAYOUTS[layout])
    assert scene_text(scene, LAYOUTS[layout]) == LAYOUTS[layout]
    edited = edit(scene)
    assert parse_scene(scene_text(edited, LAYOUTS[layout])) == edited


def test_an_original_that_is_no_scene_is_not_used() -> None:
    for original in ("", "not = toml = at all", "format = 1\n", TEXT.replace("format = 1", "")):
        assert scene_text(SCENE, original) == scene_text(SCENE)


@given(strategies.scenes())
def test_round_trip(scene: Scene) -> None:
    text = scene_text(scene)
    assert parse_scene(text) == scene
    assert scene_text(scene, text) == text


@settings(max_examples=40)
@given(strategies.scenes(), strategies.scenes())
def test_any_edit_of_any_scene(before: Scene, after: Scene) -> None:
    assert parse_scene(scene_text(after, scene_text(before))) == after


@sample("", "\r\n")
@sample("", "\n\nfirst\rsecond\n")
@sample("", 'a """ b \\\n\tc\x7f"')
@given(strategies.words(), strategies.words())
def test_any_words(title: str, notes: str) -> None:
    worded = replace(SCENE, title=title, notes=notes)
    for text in (scene_text(worded), scene_text(worded, TEXT)):
        assert parse_scene(text.encode("utf-8").decode("utf-8")) == worded


def test_numbers_as_a_person_writes_them() -> None:
    text = scene_text(SCENE)
    assert "bump = 70\n" in text
    assert "arm_pivot = [338, 205]\n" in text
    assert "ball_joint = [668, 188, 6]\n" in text
    assert ".0" not in text
    assert "max_angle = 23\n" in text
    assert "wanted_gap" not in text


class TestFile:
    def test_written_and_read(self, tmp_path: Path) -> None:
        path = tmp_path / "van.toml"
        assert write_scene(path, SCENE) == path.read_text("utf-8")
        assert read_scene(path) == SCENE
        write_scene(path, EDITS["a length"], TEXT)
        assert read_scene(path) == EDITS["a length"]
        assert [entry.name for entry in tmp_path.iterdir()] == ["van.toml"]

    def test_a_new_file_is_as_readable_as_any(self, tmp_path: Path) -> None:
        path, other = tmp_path / "van.toml", tmp_path / "other"
        write_whole(path, b"x")
        other.touch()
        assert path.stat().st_mode == other.stat().st_mode

    @pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o027, 0o640), (0o077, 0o600)])
    def test_who_may_read_a_new_file_is_said_by_the_umask_which_stays(
        self, tmp_path: Path, mask: int, mode: int
    ) -> None:
        before = os.umask(mask)
        try:
            write_whole(tmp_path / "van.toml", b"x")
        finally:
            after = os.umask(before)
        assert after == mask
        assert stat.S_IMODE((tmp_path / "van.toml").stat().st_mode) == mode

    def test_a_read_only_file_is_refused(self, tmp_path: Path) -> None:
        path = tmp_path / "van.toml"
        path.write_text("old")
        path.chmod(0o444)
        with pytest.raises(PermissionError, match="read-only"):
            write_whole(path, b"new")
        assert path.read_text() == "old"

    def test_permissions_stay(self, tmp_path: Path) -> None:
        path = tmp_path / "van.toml"
        path.touch()
        for mode in (0o600, 0o644, 0o664):
            path.chmod(mode)
            write_whole(path, b"x")
            assert stat.S_IMODE(path.stat().st_mode) == mode

    def test_a_link_stays_a_link(self, tmp_path: Path) -> None:
        real = tmp_path / "real" / "van.toml"
        real.parent.mkdir()
        real.write_text("old")
        link = tmp_path / "link.toml"
        link.symlink_to(real)
        write_whole(link, b"new")
        assert link.is_symlink()
        assert real.read_text() == "new"
        assert [entry.name for entry in real.parent.iterdir()] == ["van.toml"]

    @pytest.mark.parametrize(
        "fails", ["os.fsync", "pathlib.Path.replace", "pathlib.Path.chmod", "os.fdopen"]
    )
    @pytest.mark.parametrize("error", [OSError(28, "No space left"), KeyboardInterrupt()])
    def test_a_failure_leaves_the_old_file_and_nothing_else(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str, error: BaseException
    ) -> None:
        path = tmp_path / "van.toml"
        path.write_text("old")

        def fail(*_: object, **__: object) -> None:
            raise error

        with monkeypatch.context() as patch:
            patch.setattr(fails, fail)
            with pytest.raises(type(error)):
                write_whole(path, b"new")
        assert path.read_text() == "old"
        assert [entry.name for entry in tmp_path.iterdir()] == ["van.toml"]

    def test_the_file_is_never_half_written(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """When the rename comes, the new content is whole and on the disk."""
        path = tmp_path / "van.toml"
        path.write_text("old")
        steps: list[str] = []
        really_sync, really_replace = os.fsync, Path.replace

        def sync(handle: int) -> None:
            steps.append("sync")
            assert os.fstat(handle).st_size == 100_000
            really_sync(handle)

        def swap(self: Path, target: Path) -> Path:
            steps.append("replace")
            assert target.read_text() == "old"
            assert self.parent == target.parent
            assert len(self.read_bytes()) == 100_000
            return really_replace(self, target)

        monkeypatch.setattr(os, "fsync", sync)
        monkeypatch.setattr(Path, "replace", swap)
        write_whole(path, b"n" * 100_000)
        assert steps == ["sync", "replace"]

    def test_a_folder_that_is_not_there(self, tmp_path: Path) -> None:
        with pytest.raises(OSError, match="No such file"):
            write_scene(tmp_path / "none" / "van.toml", SCENE)

    def test_what_was_written_can_be_refused_only_by_hand(self, tmp_path: Path) -> None:
        path = tmp_path / "van.toml"
        write_scene(path, SCENE)
        path.write_text(path.read_text("utf-8").replace("strut_top", "strut_tip"))
        with pytest.raises(SceneError):
            read_scene(path)
