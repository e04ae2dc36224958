"""One verdict: the same state in every output of a scene, and no number to cut by against it."""

from __future__ import annotations

import functools
import itertools
import json
import random
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from kinematics.parts import DEFAULT_MARGIN
from kinematics.shaft.whole_motion import Examination, examine
from scenes.library import example_text
from scenes.model import Scene, Side
from scenes.reading import parse_scene
from sketcher.__main__ import main
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.verdict import Answered
from sketcher.answers.workings import Workings, workings
from sketcher.commands.common import Opened
from sketcher.drawing.answer_strip import draw_answer
from sketcher.drawing.areas import Area
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Text
from sketcher.paper.shop_sheet.answer import certainty_blocks, verdict_blocks
from sketcher.paper.shop_sheet.blocks import Blocks, SheetTable, Tick, Ticks, Words
from sketcher.paper.shop_sheet.checking import after_blocks
from sketcher.paper.shop_sheet.making import cut_order_blocks, swept_blocks
from sketcher.paper.shop_sheet.sheet import pages_pdf
from sketcher.paper.shop_sheet.subject import Subject
from sketcher.words.lengths import Lengths

STATES = (
    "do not cut",
    "not sure enough",
    "fits as far as looked at",
    "fits by what was measured",
)
FITS = STATES[2:]
TEXT = re.sub(r"(?m)^finished_length.*\n", "", example_text("van-front-making"))
TEXT = re.sub(r"(?ms)^\[\[shafts\.left\.runout\]\][^\n]*\n.*?(?=^\[)", "", TEXT)
LEFT_OUT = {
    "": "",
    "steering": r"(?ms)^\[steering\]\n.*?(?=^\[)",
    "gearbox movement": r"(?ms)^\[gearbox\.movement\].*?(?=^\[)",
    "stroke at an angle": r"(?m)^stroke_at_angle.*\n",
    "brackets": r"(?ms)^\[\[bracket\]\].*\Z",
    "bump travel": r"(?m)^bump = \d+",
    "droop travel": r"(?m)^droop = \d+",
}
FACTORS: dict[str, tuple[str, ...]] = {
    "trial": ("agrees", "contradicts", "none"),
    "chance": ("high", "low"),
    "strength": ("holds", "not", "none"),
    "limits": ("hold", "broken"),
    "left out": tuple(LEFT_OUT),
}
Case = dict[str, str]


def all_pairs() -> list[Case]:
    """Cases in which every two values of two different factors meet at least once."""
    chooser = random.Random(1)
    names = list(FACTORS)
    wanted = {
        frozenset(((a, x), (b, y)))
        for a, b in itertools.combinations(names, 2)
        for x in FACTORS[a]
        for y in FACTORS[b]
    }
    cases = [dict(zip(names, (values[0] for values in FACTORS.values()), strict=True))]
    while wanted := wanted - {
        frozenset(pair) for case in cases for pair in itertools.combinations(case.items(), 2)
    }:
        tried = [{n: chooser.choice(values) for n, values in FACTORS.items()} for _ in range(60)]
        meet = [
            len(wanted & {frozenset(p) for p in itertools.combinations(case.items(), 2)})
            for case in tried
        ]
        cases.append(tried[meet.index(max(meet))])
    return cases


def scene_text(case: Case) -> str:
    """The shaft in the making, changed as a case says."""
    text = TEXT
    if case["trial"] == "none":
        text = re.sub(r"(?ms)^\[\[shafts\.left\.trial\]\][^\n]*\n.*?(?=^\[)", "", text)
    elif case["trial"] == "contradicts":
        text = re.sub(r"(?m)^value = (\d+\.\d)", lambda m: f"value = {float(m[1]) + 8}", text)
    if case["strength"] == "none":
        text = re.sub(r"(?ms)^\[drive\]\n.*?(?=^\[)", "", text)
    elif case["strength"] == "not":
        text = re.sub(r"(?m)^engine_torque = \d+", "engine_torque = 400", text)
    if case["limits"] == "broken":
        text = text.replace("max_angle = 46", "max_angle = 8")
    gone = LEFT_OUT[case["left out"]]
    if gone:
        name = case["left out"].partition(" ")[0]
        text = re.sub(gone, f"{name} = 0" if "travel" in case["left out"] else "", text)
    if case["chance"] == "low":
        window = known(parse_scene(text), DEFAULT_MARGIN)[0].window
        assert window is not None
        # Inside, and so near to the end that half of all tapes are past it.
        text = text.replace("length = 391\n", f"length = {window.shortest_mm + 0.05:.3f}\n")
    return text


def expected(case: Case) -> str:
    """The state by the table of states, told once more."""
    if "contradicts" in case.values() or "not" in case.values() or "broken" in case.values():
        return STATES[0]
    if case["chance"] == "low":
        return STATES[1]
    return STATES[2] if case["left out"] else STATES[3]


@functools.cache
def known(scene: Scene, margin_mm: float) -> tuple[Examination, Workings]:
    """Every scene looked at once and weighed by a few draws, for all of its outputs."""
    found = examine(scene.corner("left"), margin_mm)
    return found, workings(scene, "left", found, 300)


@pytest.fixture
def once_each(monkeypatch: pytest.MonkeyPatch) -> None:
    def answered(
        opened: Opened, sides: Sequence[Side], margin_mm: float, **_: int
    ) -> tuple[Answered, ...]:
        assert sides == ("left",)
        return (Answered(opened.scene, "left", *known(opened.scene, margin_mm)),)

    after = functools.partial(certainty_in_scene, draws=300)
    monkeypatch.setattr("sketcher.commands.trial.certainty_in_scene", after)
    for name in ("report", "making", "certainty", "trial"):
        monkeypatch.setattr(f"sketcher.commands.{name}.answer_sides", answered)


def told(blocks: Blocks) -> Iterator[str]:
    """The text of a part of the shop sheet."""
    for block in blocks:
        if isinstance(block, Words):
            yield block.text
        elif isinstance(block, Ticks):
            for item in block.items:
                assert isinstance(item, Tick)
                yield item.text


@pytest.fixture
def outputs(
    once_each: None,  # noqa: ARG001  (in force while the commands run)
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> Callable[[str], dict[str, tuple[int, str]]]:
    """Exit code and text of everything that a scene's shaft is told in."""

    def of(text: str) -> dict[str, tuple[int, str]]:
        path = tmp_path / "van.toml"
        path.write_text(text, encoding="utf-8")
        scene = parse_scene(text)
        commands = ["report", "cuts", "certainty"]
        commands += ["trial"] if scene.left_making.trial else []
        commands += ["strength"] if scene.drive is not None else []
        found = {}
        for command in commands:
            for form in ((), ("--json",)):
                code = main([command, str(path), "--side", "left", *form])
                found[" ".join((command, *form))] = (code, capsys.readouterr().out)
        subject = subject_of(text)
        parts = (verdict_blocks(subject), cut_order_blocks(subject), after_blocks(subject))
        sheet = " ".join(itertools.chain.from_iterable(map(told, parts)))
        code = found["report"][0]
        return found | {"sheet": (code, sheet), "strip": (code, strip(subject))}

    return of


def subject_of(text: str) -> Subject:
    scene = parse_scene(text)
    return Subject(scene, "left", *known(scene, DEFAULT_MARGIN))


def strip(one: Answered) -> str:
    """What the strip of window and picture says."""
    from sketcher.answers.kept import Answers

    shown = Answers().show(one.scene, "left", 0.0, 0.0)
    pane = Pane(Area(0, 0, 1600, 72), 1.0)
    picture = draw_answer(pane, shown, "mm", one.verdict())
    return " ".join(item.text for item in picture if isinstance(item, Text))


def flat(text: str) -> str:
    return " ".join(text.split()).lower()


SAW = re.compile(r"saw at|saw it|mark the|sawn|finished end|saw_from|finished_from", re.IGNORECASE)


@pytest.mark.parametrize("case", all_pairs(), ids=lambda case: "-".join(case.values()))
def test_every_output_of_a_scene_names_the_same_state(
    outputs: Callable[[str], dict[str, tuple[int, str]]], case: Case
) -> None:
    found, state = outputs(scene_text(case)), expected(case)
    verdicts = [
        json.loads(text)["sides"]["left"]["verdict"]
        for name, (_, text) in found.items()
        if name.endswith("--json")
    ]
    assert all(one == verdicts[0] for one in verdicts)
    assert verdicts[0]["state"] == state
    assert {code for code, _ in found.values()} == {0 if state in FITS else 1}
    unseen = verdicts[0]["not_looked_at"]
    assert [case["left out"] in one.lower() for one in unseen] == [True] * bool(case["left out"])
    for name, (_, text) in found.items():
        words = flat(text)
        assert state in words, name
        assert not any(one in words for one in STATES if one != state), name
        assert "can be cut" not in words, name
        if state == STATES[0]:
            assert not SAW.search(text), name
        if state == STATES[1] and name in ("cuts", "sheet"):
            # Over the cuts and their order; and over the fixture, which a sheet has on a page.
            assert words.count("not sure enough to cut by") == {"cuts": 3, "sheet": 1}[name]
            assert words.index("not sure enough to cut by") < words.index("saw")


def test_a_sheet_that_forbids_shows_no_saw_mark() -> None:
    """The drawing with the numbers to cut is left out with the order of work."""
    import io

    from pypdf import PdfReader

    text = scene_text(dict.fromkeys(FACTORS, "") | {"trial": "contradicts"})
    pages = PdfReader(io.BytesIO(pages_pdf((subject_of(text),)))).pages
    words = " ".join(page.extract_text() for page in pages)
    assert "Do not cut" in words
    assert "contradicts" in words
    assert "can be cut" not in words
    assert not SAW.search(words)


def test_a_sheet_that_is_not_sure_says_so_across_cuts_and_fixture() -> None:
    import io

    from pypdf import PdfReader

    subject = subject_of(scene_text(dict.fromkeys(FACTORS, "") | {"chance": "low"}))
    assert subject.told.state == STATES[1]
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pages_pdf((subject,)))).pages]
    for numbers in ("Fixture from the side", "Order of work"):
        (page,) = (text for text in pages if numbers in text)
        assert page.count("Not sure enough to cut by") == 2, "over the drawing, over the words"


def test_of_the_swept_lengths_on_the_sheet_ride_height_alone_stands_out() -> None:
    (table,) = (one for one in swept_blocks(subject_of(TEXT)) if isinstance(one, SheetTable))
    assert [row[0] for n, row in enumerate(table.rows) if n in table.strong] == ["0.0"]


def test_what_is_said_is_not_left_out() -> None:
    text = re.sub(LEFT_OUT["brackets"], "", TEXT)
    text = re.sub(LEFT_OUT["gearbox movement"], "[gearbox.movement]\nout = 0\n\n", text)
    text = re.sub(r"_lock = \d+", "_lock = 0", text)
    text = re.sub(r"stroke_at_angle.*", "stroke_at_angle = [[0, 23, 24]]", text)
    text = text.replace("\n[linkage]", "\nbracket = []\n[linkage]", 1)
    told_now = subject_of(text).verdict()
    assert told_now.not_looked_at == ()
    assert told_now.state == STATES[3]
    assert "try it in the car before cutting" in told_now.line


def test_a_tape_that_nobody_gave_is_told_with_the_chance() -> None:
    nobody = re.sub(r"(?m)^limit = 0\.7.*\n", "", TEXT)
    subject = subject_of(nobody)
    assert subject.told.fits
    assert any("no tape given: ±0.7 mm assumed" in line for line in subject.told.because)
    (how_sure,) = certainty_blocks(subject)
    assert isinstance(how_sure, Words)
    assert "no tape given: ±0.7 mm assumed" in how_sure.text
    given = subject_of(TEXT)
    (how_sure,) = certainty_blocks(given)
    assert isinstance(how_sure, Words)
    assert "assumed" not in how_sure.text + " ".join(given.told.because)


def test_no_tape_is_asked_for_where_every_point_rests_on_readings() -> None:
    read = example_text("van-front-readings")
    assert "[tape]" not in read
    told = subject_of(read).told
    assert told.fits
    assert "tape given" not in " ".join(told.because)
    long = re.sub(r"(?m)^length = 391\b.*", "length = 402.6", read, count=1)
    unsure = subject_of(long).told
    assert unsure.state == "not sure enough"
    assert "tape given" not in " ".join(unsure.because)


def test_what_a_plan_cannot_be_made_of_is_told_in_inches_too() -> None:
    far = subject_of(TEXT.replace("\nat = 190 ", "\nat = 500 "))
    (line,) = far.verdict(Lengths("in")).because
    assert line.endswith("expected a splice between the joint centres, 15.394 in apart.")


def test_a_sleeve_alone_is_no_outline_of_the_shaft() -> None:
    bare = re.sub(r"(?ms)^\[\[shafts\.left\.section\]\][^\n]*\n.*?(?=^\[)", "", TEXT)
    told_now = subject_of(bare).verdict()
    assert told_now.state == STATES[2]
    assert told_now.not_looked_at == (
        "Gaps were not looked at; the shaft has no [[shafts.left.section]].",
    )


def test_a_reading_that_seems_misread_is_told_by_its_number() -> None:
    told_now = subject_of(example_text("van-front-misread")).verdict()
    assert told_now.state == STATES[1]
    assert "reading 32 seems misread" in told_now.line


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "[linkage]",
            'guessed = ["travel.bump"]\n[linkage]',
            "values is still the starting sketch",
        ),
        (
            "[linkage]",
            'guessed = ["travel.bump", "travel.droop"]\n[linkage]',
            "values are still the starting sketch",
        ),
        ("[drive]", "[gearbox.placement]\nout = 4\n[drive]", "only tacked"),
    ],
)
def test_what_is_not_settled_yet_is_not_sure_enough(old: str, new: str, words: str) -> None:
    assert f"\n{old}" in TEXT
    told_now = subject_of(TEXT.replace(f"\n{old}", f"\n{new}", 1)).verdict()
    assert told_now.state == STATES[1]
    assert words in told_now.because[0]
