"""``trim`` leaves the wanted gap over the whole motion, beside the shafts of both sides."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import shapely

from kinematics.gaps.trimming import Trim
from kinematics.parts import Bracket, Travel
from kinematics.shaft.clearing import NothingToTrimAgainst, deepest_cut_mm, trim_to_clear
from kinematics.shaft.whole_motion import examine
from scenes.library import example, example_text
from scenes.reading import read_scene
from sketcher.__main__ import main
from sketcher.answers.trimmed import trim_in_scene, trim_lines

FOULS = "van-front-mount-fouls"
FOOT = "motor mount foot"


def gap_of(path: Path, name: str, side: str) -> float:
    found = examine(read_scene(path).corner("left" if side == "left" else "right"))
    (gap,) = (gap for gap in found.gaps if gap.worst.part == name)
    return gap.worst.value


def test_examined_again_the_wanted_gap_is_left_on_both_sides(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "trimmed.toml"
    assert main(["trim", "--example", FOULS, "--bracket", FOOT, "-o", str(target)]) == 0
    told = capsys.readouterr().out
    assert "left and right shafts" in told
    assert "mm²" in told
    gaps = [gap_of(target, FOOT, side) for side in ("left", "right")]
    assert min(gaps) >= 6.0
    assert min(gaps) < 6.5, "no more than it must"
    # Comments of the scene stay, and nothing else is changed.
    assert "# centre of the arm's inner bush" in target.read_text()
    before, after = example(FOULS), read_scene(target)
    assert replace(after, brackets=before.brackets) == before
    assert after.brackets[1:] == before.brackets[1:]


def test_trimmed_once_it_needs_no_more(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "trimmed.toml"
    main(["trim", "--example", FOULS, "--bracket", FOOT, "-o", str(target)])
    capsys.readouterr()
    assert main(["trim", str(target), "--bracket", FOOT]) == 0
    assert "needs no trimming" in capsys.readouterr().out


def test_both_sides_take_at_least_what_each_takes() -> None:
    scene = example(FOULS)
    cut = {
        sides: trim_in_scene(scene, 0, sides).trim.cut.area
        for sides in (("left",), ("right",), ("left", "right"))
    }
    # A cut edge, here under 100 mm long, may lie up to 0.25 mm farther back than it must.
    assert cut["left", "right"] >= max(cut["left",], cut["right",]) - 0.25 * 100


def test_nothing_is_written_where_no_file_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trim", "--example", FOULS, "--bracket", FOOT, "--side", "left"]) == 0
    told = capsys.readouterr().out
    assert "left shaft." in told
    assert "Nothing was written" in told


def test_inches(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trim", "--example", FOULS, "--bracket", FOOT, "--units", "in"]) == 0
    told = capsys.readouterr().out
    assert "in²" in told
    assert "wanted 0.236 in" in told


def test_a_bracket_inside_the_shaft_cannot_be_trimmed_clear(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(
        example_text("van-front")
        + '[[bracket]]\nname = "inside"\noutline = [[450, 300], [460, 300], [460, 306]]\n'
    )
    target = tmp_path / "out.toml"
    assert main(["trim", str(scene), "--bracket", "inside", "-o", str(target)]) == 1
    assert "nothing would be left" in capsys.readouterr().err
    assert not target.exists()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--bracket", "motor mount"], 'did you mean "motor mount foot"'),
        ([], "--bracket: expected one of"),
        (["--bracket", FOOT, "-o", "/no such folder/x.toml"], "cannot be written"),
    ],
)
def test_refused_in_one_line(
    words: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["trim", "--example", FOULS, *words]) == 2
    err = capsys.readouterr().err
    assert line in err
    assert err.count("\n") == 1


def changed(tmp_path: Path, was: str, now: str) -> Path:
    path = tmp_path / "scene.toml"
    text = example_text(FOULS)
    assert was in text
    path.write_text(text.replace(was, now))
    return path


def test_a_motion_out_of_reach_is_not_trimmed_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = changed(tmp_path, "droop = 80 ", "droop = 800 ")
    assert main(["trim", str(path), "--bracket", FOOT]) == 2
    assert "out of reach" in capsys.readouterr().err


def test_a_shaft_too_short_is_named_by_its_side(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = changed(tmp_path, "[shafts.right]\n", "[shafts.right]\nlength = 15\n")
    assert main(["trim", str(path), "--bracket", FOOT]) == 2
    assert "shafts.right.length: expected a shaft that reaches" in capsys.readouterr().err


def test_without_an_outline_of_the_shaft_there_is_nothing_to_trim_against() -> None:
    corner = example(FOULS).corner("left")
    bare = replace(
        corner,
        travel=Travel(1, 1),
        steering=None,
        shaft=replace(corner.shaft, sections=()),
    )
    with pytest.raises(NothingToTrimAgainst, match="no outline"):
        trim_to_clear({"shafts.left": bare}, corner.brackets[0])


def test_the_deepest_cut_is_how_far_in_from_the_edge_it_goes() -> None:
    corner = example(FOULS).corner("left")
    foot = corner.brackets[0]
    found = trim_to_clear({"shafts.left": corner}, foot)
    depth = deepest_cut_mm(found)
    whole = shapely.Polygon(foot.outline)
    assert depth > 0.0
    # A second route: the cut lies wholly in the rim of that depth, and no thinner one.
    assert whole.buffer(-depth - 0.6).intersection(found.cut).area < 1e-6
    assert whole.buffer(-depth + 0.6).intersection(found.cut).area > 0.0
    clear = trim_to_clear({"shafts.left": corner}, Bracket("far", ((0, 0), (9, 0), (9, 9))))
    assert deepest_cut_mm(clear) == 0.0


def test_what_lost_more_than_a_quarter_is_judged_again() -> None:
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (0.0, 10.0))

    def warned(wide: float) -> bool:
        cut = shapely.MultiPolygon([shapely.box(0.0, 0.0, wide, 10.0)])
        left = ((wide, 0.0), (100.0, 0.0), (100.0, 10.0), (wide, 10.0))
        trim = Trim(Bracket("plate", outline), cut, left, (), 0, 6.0)
        return any("weaker" in line for line in trim_lines(trim, "mm"))

    # Our choice.
    assert not warned(24.0)
    assert warned(26.0)
