"""A reading as it is typed from paper: points by letter or name, what was read, the number.

``A B 330``, ``ball joint to rail hole 335``, ``B up 188``, ``A B rise -76 at -60``,
``B across 1336 ±2``, ``B I 374 at 60 droop``: the kind may be left out for a distance, the
letters are those of the paper list and of the sketch.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from kinematics.errors import InvalidInput
from kinematics.parts import Point
from kinematics.sure.readings import BETWEEN_KINDS, OF_KINDS, READING_KINDS, Reading, ReadingKind
from scenes.keys import EditRefused
from scenes.model import Scene
from scenes.readings import MARK
from sketcher.answers.reading_list import letters
from sketcher.words.points import point_words
from sketcher.words.units import LengthError, Unit, parse_length, parse_travel, typed_length

_NUMBER = r"[-−+]?\s*[\d.,½¼¾⅛⅜⅝⅞][^@±a-z]*(?:mm|cm|in|m|ft|°)?"
_TRAVEL = rf"(?:(?:droop|bump)\s+)?{_NUMBER}(?:\s*\b(?:droop|bump)\b)?|ride\s+height"
_EXTRAS = re.compile(
    rf"(?P<rest>.*?)(?:\s*(?:±|\+/-|\+-)\s*(?P<error>{_NUMBER}))?"
    rf"(?:[\s,]*(?:@|\bat\b)\s*(?P<travel>{_TRAVEL}))?"
    rf"(?:[\s,]*\bsteer\b\s*(?P<steer>{_NUMBER}))?\s*",
    re.IGNORECASE,
)
_WITH_KIND = re.compile(
    rf"(?P<points>.*\S)[\s,:;]+(?P<kind>{'|'.join(READING_KINDS)})\b[\s:=]*(?P<number>.*)",
    re.IGNORECASE,
)
_BETWEEN_POINTS = re.compile(r"\s+to\s+|\s*[–—;,]\s*|\s+-\s+|\s+|-")
_EXPECTED = "expected points and a number such as A B 330, ball joint up 188"


def parse_reading(scene: Scene, text: str, unit: Unit = "mm") -> Reading:
    """The reading that was typed.

    Raises EditRefused, with one line that says what would be right.
    """
    found = _EXTRAS.fullmatch(" ".join(text.split()))
    assert found is not None
    points, kind, number = _parted(scene, found["rest"])
    angle, error = kind == "slope", found["error"]
    try:
        return Reading(
            kind,
            points,
            _amount(number, unit, angle=angle),
            error=None if error is None else _amount(error, _unit_of(number, unit), angle=angle),
            travel=_length(found["travel"] or "0", unit, parse_travel),
            steer=_angle(found["steer"] or "0"),
        )
    except InvalidInput as refused:
        raise EditRefused(f"reading: {refused.problems[0].message}") from refused


def points_named(scene: Scene, names: Iterable[str]) -> tuple[str, ...]:
    """The paths of points that a hand names, by name or path.

    Raises EditRefused, with one line that says what would be right.
    """
    known, paths = _names(scene), list(scene.points)
    found = []
    for name in names:
        path = name if name in paths else known.get(" ".join(name.lower().split()), "")
        if not path:
            there = ", ".join(point_words(one, paths) for one in paths)
            raise EditRefused(f'expected points that are there ({there}), got "{name}"')
        found.append(path)
    return tuple(found)


def parse_mark(text: str, unit: Unit = "mm") -> tuple[str, Point]:
    """A mark's name and place as typed: ``rail hole; 455; 420; 120``, fore 0 where left out.

    Raises EditRefused, with one line that says what would be right.
    """
    name, *places = (part.strip() for part in text.split(";"))
    if not name or len(places) not in (2, 3):
        raise EditRefused(f'expected name; out; up; fore such as rail hole; 455; 420, got "{text}"')
    out, up, *fore = (_length(place, unit) for place in places)
    return name, (out, up, fore[0] if fore else 0.0)


def begun(scene: Scene, points: tuple[str, ...], kind: ReadingKind | None = None) -> str:
    """The text of a reading up to its number, as :func:`parse_reading` takes it."""
    paths = list(scene.points)
    names = " to ".join(point_words(path, paths) for path in points)
    return f"{names} {kind} " if kind and kind != "distance" else f"{names} " if names else ""


def line_of(scene: Scene, reading: Reading, unit: Unit = "mm") -> str:
    """A reading as one line, with the letters of its points, as it could have been typed."""

    def length(mm: float) -> str:
        return typed_length(mm, unit)

    named = letters(scene)
    amount = brief_angle if reading.kind == "slope" else length
    words = [named[path] for path in reading.points]
    words += [] if reading.kind == "distance" else [reading.kind]
    words.append(amount(reading.value))
    words += [] if reading.error is None else [f"±{amount(reading.error)}"]
    words += [f"at {length(reading.travel)}"] if reading.travel else []
    words += [f"steer {brief_angle(reading.steer)}"] if reading.steer else []
    return " ".join(words)


def as_was(scene: Scene, line: Reading, before: Reading, unit: Unit) -> Reading:
    """A reading from its line, with the numbers that it had where the line has as many digits."""
    shown = parse_reading(scene, line_of(scene, before, unit), unit)
    same = {
        name: getattr(before, name)
        for name in ("value", "error", "travel", "steer")
        if getattr(line, name) == getattr(shown, name)
    }
    return replace(line, **same)


def brief_angle(degrees: float) -> str:
    """Degrees as they are typed."""
    return f"{degrees:.6g}"


def _parted(scene: Scene, text: str) -> tuple[tuple[str, ...], ReadingKind, str]:
    """Points, kind and number of what was typed."""
    named = _names(scene)
    with_kind = _WITH_KIND.fullmatch(text)
    if with_kind is not None and with_kind["number"].strip():
        points = _points(named, with_kind["points"])
        kind = next(one for one in READING_KINDS if one == with_kind["kind"].lower())
        if points:
            _require(len(points), kind)
            return points, kind, with_kind["number"]
    for cut in sorted((one.start() for one in re.finditer(r"[\s:;=]+", text)), reverse=True):
        points, number = _points(named, text[:cut]), text[cut:].strip(" :;=")
        if points and number[:1] in tuple("-−+.,½¼¾⅛⅜⅝⅞") + tuple("0123456789"):
            if len(points) == 1:
                raise EditRefused(
                    f"reading: expected {', '.join(OF_KINDS)} after one point, such as "
                    f'{text[:cut]} up 188, got "{text}"'
                )
            return points, "distance", number
    known = ", ".join(
        f"{letter} {point_words(path, list(scene.points))}"
        for path, letter in letters(scene).items()
    )
    number_first = text[:1].isdecimal() or text.partition(" ")[0].lower() in READING_KINDS
    if number_first or _points(named, text) or not re.search(r"\d", text):
        raise EditRefused(f'reading: {_EXPECTED}, got "{text}"')
    raise EditRefused(f'reading: expected points that are there ({known}), got "{text}"')


def _require(count: int, kind: ReadingKind) -> None:
    if (count == 2) != (kind in BETWEEN_KINDS):
        one, two = ", ".join(OF_KINDS), ", ".join(BETWEEN_KINDS)
        raise EditRefused(f"reading: expected {one} of one point, {two} of two; got {kind}")


def _names(scene: Scene) -> Mapping[str, str]:
    """Every name that a point goes by, in small letters; what is unclear names nothing."""
    paths = list(scene.points)
    found: dict[str, str] = {}
    for path in paths:
        for name in (path, point_words(path, paths), point_words(path)):
            plain = " ".join(name.lower().split())
            found[plain] = path if found.get(plain, path) == path else ""
    # A mark's own name, and a letter on paper, are what they are.
    for path, letter in letters(scene).items():
        found[letter.lower()] = path
    for path in paths:
        if path.startswith(MARK):
            found[" ".join(path.removeprefix(MARK).lower().split())] = path
    return found


def _points(named: Mapping[str, str], text: str) -> tuple[str, ...]:
    """The one or two points that a text names; none where it names others."""
    plain = " ".join(text.lower().split()).strip(" ,:;").removeprefix("from ")
    if named.get(plain):
        return (named[plain],)
    for cut in _BETWEEN_POINTS.finditer(plain):
        pair = (named.get(plain[: cut.start()]), named.get(plain[cut.end() :]))
        if pair[0] and pair[1]:
            return (pair[0], pair[1])
    both = tuple(named.get(letter, "") for letter in plain) if len(plain) == 2 else ()
    return both if all(both) else ()


def _unit_of(number: str, unit: Unit) -> Unit:
    """The unit in which a number was typed, which is that of what stands behind its ±."""
    if re.search(r"mm|cm", number, re.IGNORECASE):
        return "mm"
    return "in" if re.search(r"in|ft|[^\w\s.,/°½¼¾⅛⅜⅝⅞+−-]", number, re.IGNORECASE) else unit


def _amount(text: str, unit: Unit, *, angle: bool) -> float:
    return _angle(text) if angle else _length(text, unit)


def _length(text: str, unit: Unit, parse: Callable[[str, Unit], float] = parse_length) -> float:
    try:
        return parse(text.replace("− ", "−").replace("- ", "-"), unit)
    except LengthError as error:
        raise EditRefused(f"reading: {error}") from error


def _angle(text: str) -> float:
    try:
        return float(text.replace("−", "-").replace(" ", "").rstrip("°").replace(",", "."))
    except ValueError:
        raise EditRefused(f'reading: expected degrees such as 5.7, got "{text}"') from None
