"""The picture command: forms and sizes, scale, refusals; and a picture for every example.

`python -m tests.test_command_picture` draws the examples' pictures anew.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import pygame
import pytest

from scenes.library import example, example_names, example_text
from scenes.reading import parse_scene
from sketcher.__main__ import main
from sketcher.commands import picture as picture_command
from sketcher.commands.picture import png_bytes, svg_bytes
from sketcher.drawing.picture import Circle, Text
from sketcher.drawing.style import THEMES, Theme, style
from sketcher.paper.picture_page import WHATS, What, paper_page
from sketcher.paper.picture_subject import PictureSubject
from tests.waiting import PATIENCE_SECONDS

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "scenes" / "pictures"
PICTURE_SIZE = (1600, 1000)
MOST_BYTES = 200_000
SVG = "{http://www.w3.org/2000/svg}"

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capfdbinary: pytest.CaptureFixture[bytes]) -> Run:
    """Run the command and give back exit code, output and complaint."""

    def once(*words: object) -> tuple[int, str, str]:
        try:
            code = main(["picture", *map(str, words)])
        except SystemExit as ended:
            code = int(ended.code or 0)
        out, err = capfdbinary.readouterr()
        return code, out.decode(), err.decode()

    return once


def subject(
    name: str = "van-front",
    travel_mm: float = 0.0,
    steer_deg: float = 0.0,
    theme: Theme = "light",
) -> PictureSubject:
    """An example at a position."""
    return PictureSubject.of(example(name), "left", travel_mm, steer_deg, theme=theme)


def telling(name: str) -> PictureSubject:
    """An example where it says most: where its first limit breaks, or halfway into bump."""
    plain = subject(name)
    found, scene = plain.solved.found, plain.scene
    if found.broken:
        at = found.broken[0].position
        return subject(name, at.travel_mm, at.steer_deg)
    lock = scene.steering.inside_lock if scene.steering else 0.0
    return subject(name, round(scene.travel.bump / 2), round(lock / 2))


def test_where_to_is_asked_for(run: Run) -> None:
    code, out, err = run("--example", "van-rear")
    assert (code, out) == (2, "")
    assert "required: -o" in err


def size_of(png: bytes) -> tuple[int, int]:
    """Width and height of a PNG."""
    return pygame.image.load(io.BytesIO(png), "picture.png").get_size()


def svg_in(path: Path) -> ET.Element:
    """The tree of an SVG that we wrote."""
    return ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314


def millimetres(root: ET.Element) -> tuple[float, float]:
    """Width and height of an SVG on paper."""
    width, height = (float(str(root.get(side)).removesuffix("mm")) for side in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    return width, height


def showing(what: What) -> str:
    """An example that has what is to be drawn."""
    return "van-front-making" if what == "cuts" else "van-front"


@pytest.mark.parametrize("what", WHATS)
@pytest.mark.parametrize("theme", THEMES)
def test_png_of_each_kind_has_its_size_and_paper(
    run: Run, tmp_path: Path, what: What, theme: Theme
) -> None:
    path = tmp_path / "van.png"
    words = ("--what", what, "--size", "960x600", "--theme", theme, "--travel", "-30.5")
    assert run("--example", showing(what), "-o", path, *words) == (0, "", "")
    picture = pygame.image.load(path)
    assert picture.get_size() == (960, 600)
    # Inside the border, beside the frame, lies the surround.
    assert picture.get_at((3, 3))[:3] == style(theme).palette.sheet


@pytest.mark.parametrize(
    ("what", "paper"),
    [
        ("sketch", (210, 297)),
        ("above", (210, 297)),
        ("plots", (210, 297)),
        ("cuts", (210, 297)),
        ("sheet", (420, 297)),
    ],
)
def test_svg_is_a_sheet_of_iso_216(
    run: Run, tmp_path: Path, what: What, paper: tuple[int, int]
) -> None:
    path = tmp_path / "van.svg"
    assert run("--example", showing(what), "-o", path, "--what", what) == (0, "", "")
    assert millimetres(svg_in(path)) == paper


@pytest.mark.parametrize(("scale", "times"), [("1:5", 0.2), ("1:2", 0.5), ("1:1", 1.0)])
def test_svg_is_to_scale(run: Run, tmp_path: Path, scale: str, times: float) -> None:
    """Strut top to wheel centre: as far apart on paper as the scene says, times the scale."""
    path = tmp_path / "van.svg"
    assert run("--example", "van-front", "-o", path, "--scale", scale)[0] == 0
    root = svg_in(path)
    assert f"scale 1 : {1 / times:g}" in [text.text for text in root.iter(f"{SVG}text")]
    assert f"scale 1 : {1 / times:g}" in str(root.findtext(f"{SVG}desc"))
    page, _ = paper_page(subject(), "sketch", times)
    drawn = {
        item.key: (item.centre, panel.camera)
        for panel in page.panels
        for item in panel.picture
        if isinstance(item, Circle) and item.key in {"linkage.strut_top", "linkage.arm_pivot"}
    }
    centres = {
        (float(str(circle.get("cx"))), float(str(circle.get("cy"))))
        for circle in root.iter(f"{SVG}circle")
    }
    ends = []
    for at, camera in drawn.values():
        x, y = (px / camera.pixels_per_paper_mm for px in camera.to_screen(at))
        assert min(abs(x - cx) + abs(y - cy) for cx, cy in centres) < 0.002
        ends.append((x, y))
    (x1, y1), (x2, y2) = ends
    linkage = example("van-front").linkage
    top, pivot = linkage.strut_top, linkage.arm_pivot  # type: ignore[union-attr]
    assert abs(x2 - x1) == pytest.approx(abs(top[0] - pivot[0]) * times, abs=1e-6)
    assert abs(y2 - y1) == pytest.approx(abs(top[1] - pivot[1]) * times, abs=1e-6)


def test_everything_drawn_lies_on_the_page() -> None:
    for what in WHATS:
        page, _ = paper_page(subject(showing(what), travel_mm=40.0, steer_deg=20.0), what)
        for panel in page.panels:
            for item in panel.picture:
                if isinstance(item, Text):
                    x, y = panel.camera.to_screen(item.at)
                    assert 0 <= x <= page.width, item.text
                    assert 0 <= y <= page.height, item.text


def test_cuts_are_drawn_only_where_the_shaft_may_be_cut(run: Run, tmp_path: Path) -> None:
    code, _, err = run("--example", "van-front", "-o", tmp_path / "a.png", "--what", "cuts")
    assert code == 2
    assert "the scene has no [shafts.left.donors.hub]" in err
    scene = tmp_path / "van.toml"
    text = example_text("van-front-making").replace("length = 391\n", "length = 440\n")
    scene.write_text(text, encoding="utf-8")
    code, _, err = run(scene, "-o", tmp_path / "a.png", "--what", "cuts")
    assert code == 1
    assert "Do not cut" in err
    assert not (tmp_path / "a.png").exists()
    sheet = ("-o", tmp_path / "a.png", "--what", "sheet", "--size", "960x600")
    assert run(scene, *sheet)[0] == 1


def test_a_line_across_says_that_the_cuts_are_not_sure_enough() -> None:
    text = example_text("van-front-making")
    tacked = text.replace("[drive]", "[gearbox.placement]\nout = 4\n\n[drive]", 1)
    for scene, count in ((text, 0), (tacked, 1)):
        shown = PictureSubject.of(parse_scene(scene), "left", 0.0, 0.0)
        assert svg_bytes(shown, "cuts").decode().count("Not sure enough to cut by") == count


def test_sheet_shows_what_the_window_shows() -> None:
    shown = subject("van-front-too-long")
    texts = re.findall(r">([^<>]+)</text>", svg_bytes(shown, "sheet").decode())
    together = " | ".join(texts)
    for words in ("Do not cut at 412.0 mm", "plunge", "swept length", "outer joint", "arm pivot"):
        assert words in together


def test_same_scene_same_bytes() -> None:
    first, again = subject("van-rear", 20.0), subject("van-rear", 20.0)
    assert svg_bytes(first, "sheet") == svg_bytes(again, "sheet")
    assert png_bytes(first, "sketch", (480, 400)) == png_bytes(again, "sketch", (480, 400))


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--travel", "120"), "from -80 to +70 mm, got 120"),
        (("--travel", "nan"), "got nan"),
        (("--steer", "50"), "from -29 to +35 deg, got 50"),
        (("--size", "10x10"), "from 320x240"),
        (("--size", "big"), 'such as 1600x1000, got "big"'),
        (("--scale", "1:2"), "expected with an .svg"),
        (("--scale", "1:3"), "expected one of 1:1, 1:2, 1:5"),
        (("--what", "sheet", "--size", "640x480"), "from 960x600"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_a_line(
    run: Run, tmp_path: Path, words: tuple[str, ...], complaint: str
) -> None:
    path = tmp_path / "van.png"
    code, out, err = run("--example", "van-front", "-o", path, *words)
    assert (code, out) == (2, "")
    assert complaint in err.replace("−", "-")
    assert not path.exists()


def test_endings_and_options_of_the_other_form(run: Run, tmp_path: Path) -> None:
    assert "ending in .png or .svg" in run("--example", "van-front", "-o", tmp_path / "van.jpg")[2]
    asked = run("--example", "van-front", "-o", tmp_path / "van.svg", "--size", "800x600")
    assert "drawn to scale" in asked[2]
    assert run("--example", "van-rear", "-o", tmp_path / "v.png", "--steer", "5")[0] == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("key", "far", "named"),
    [("bump", "390", r"to \+([\d.]+) mm"), ("droop", "-390", r"from −([\d.]+) to")],
)
def test_travel_that_the_linkage_does_not_reach_names_what_it_reaches(
    run: Run, tmp_path: Path, key: str, far: str, named: str
) -> None:
    scene, sign = tmp_path / "van.toml", far.removesuffix("390")
    scene.write_text(re.sub(rf"(?m)^{key} = .*", f"{key} = 400", example_text("van-front")))
    code, _, err = run(scene, "-o", tmp_path / "van.png", f"--travel={far}")
    assert code == 2
    assert "linkage's reach" in err
    assert len(err.splitlines()) == 1
    found = re.search(named, err)
    assert found is not None
    beyond = f"{sign}{float(found[1]) + 0.1:.1f}"
    assert run(scene, "-o", tmp_path / "van.png", f"--travel={beyond}")[0] == 2
    assert run(scene, "-o", tmp_path / "van.png", f"--travel={sign}{found[1]}")[0] == 0


def test_a_picture_that_cannot_be_written_leaves_the_old_one(run: Run, tmp_path: Path) -> None:
    code, _, err = run("--example", "van-front", "-o", tmp_path / "nowhere" / "van.svg")
    assert code == 2
    assert "cannot be written" in err


def test_no_screen_is_needed(tmp_path: Path) -> None:
    path = tmp_path / "van.png"
    left_out = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER", "PYGAME_HIDE_SUPPORT_PROMPT")
    result = subprocess.run(
        [sys.executable, "-m", "sketcher", "picture", "--example", "van-front", "-o", str(path)],
        cwd=ROOT,
        env={name: value for name, value in os.environ.items() if name not in left_out},
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")
    assert size_of(path.read_bytes()) == (1200, 1000)


def test_title_with_control_characters_still_makes_a_readable_svg(tmp_path: Path, run: Run) -> None:
    scene = tmp_path / "van.toml"
    text = re.sub(r"(?m)^title = .*", r'title = "a\\u0007 <b> & van"', example_text("van-front"))
    scene.write_text(text, encoding="utf-8")
    assert run(scene, "-o", tmp_path / "van.svg")[0] == 0
    root = svg_in(tmp_path / "van.svg")
    assert root.findtext(f"{SVG}title") == "a  <b> & van"


def test_every_example_has_its_picture() -> None:
    made = {path.stem for path in PICTURES.glob("*.png")}
    assert made == set(example_names())


@pytest.mark.parametrize("name", example_names())
def test_pictures_of_examples_are_small_and_in_the_readme(name: str) -> None:
    content = (PICTURES / f"{name}.png").read_bytes()
    assert size_of(content) == PICTURE_SIZE
    assert len(content) < MOST_BYTES
    assert f"scenes/pictures/{name}.png" in (ROOT / "README.md").read_text(encoding="utf-8")


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    for each in example_names():
        content = png_bytes(telling(each), "sheet", PICTURE_SIZE)
        (PICTURES / f"{each}.png").write_bytes(content)


@pytest.mark.parametrize(
    ("what", "size", "taken"),
    [
        ("sketch", (320, 240), True),
        ("sketch", (319, 240), False),
        ("sketch", (320, 239), False),
        ("sketch", (7680, 4320), True),
        ("sketch", (7681, 4320), False),
        ("sketch", (7680, 4321), False),
        ("sheet", (960, 600), True),
        ("sheet", (959, 600), False),
        ("sheet", (960, 599), False),
    ],
)
def test_sizes_just_inside_and_just_outside(
    what: str, size: tuple[int, int], taken: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = list[tuple[int, int]]()
    monkeypatch.setattr(
        picture_command,
        "pixel_page",
        lambda _subject, _what, wide, high: drawn.append((wide, high)),
    )
    monkeypatch.setattr(picture_command, "page_png", lambda *_, **__: b"")
    words = ["picture", "--example", "van-rear", "-o", "-", "--what", what]
    code = main([*words, "--size", f"{size[0]}x{size[1]}"])
    assert bool(drawn) is taken
    assert (code != 2) is taken
