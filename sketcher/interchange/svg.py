"""An outline from an SVG drawing, its paths read through svgpathtools.

The file's own size in mm or inches and its viewBox give the scale.  SVG counts y
downwards; here up counts from the lower edge of the page.
"""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np

from kinematics.gaps.outlines import FLATTENED_TO_MM
from kinematics.parts import FrontPoint
from kinematics.vectors import Array
from sketcher.interchange.loops import SAME_POINT_MM, OutlineError, Piece, few_enough, within_reason

NAMESPACE = "{http://www.w3.org/2000/svg}"
# CSS Values and Units 3, absolute lengths; a bare number or px says nothing that can be relied on.
MM_PER = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "Q": 0.25}
SHAPES = ("path", "polygon", "polyline", "rect", "circle", "ellipse", "line")
GROUPS = ("g", "a", "switch")
NOT_DRAWN = (
    *("defs", "symbol", "clipPath", "mask", "pattern", "marker", "filter"),
    *("linearGradient", "radialGradient", "style", "script", "metadata", "title", "desc"),
)
DEEPEST = 60
MOST_STEPS = 2000
UNEVEN = 1e-3
_SIZE = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z%]*)\s*")
# What is no command and no number, such as nan, would be passed over in silence.
_NUMBER = r"[+-]?(?:[0-9]++\.?[0-9]*+|\.[0-9]++)(?:[eE][+-]?[0-9]++)?"
_NUMBERS = re.compile(rf"(?:[\s,]|{_NUMBER})*+")
_PATH = re.compile(rf"(?:[\s,MmZzLlHhVvCcSsQqTtAa]|{_NUMBER})*+")
LONGEST_PATH = 50_000
MOST_POINTS = 20_000
_BROKEN = (
    *(ValueError, TypeError, KeyError, IndexError, AttributeError, ArithmeticError),
    AssertionError,
)


@dataclass(frozen=True, slots=True)
class _Shape:
    element: ET.Element
    kind: str
    where: str
    to_page: Array


def svg_pieces(
    path: Path, *, mm_per_unit: float | None = None, name: str | None = None
) -> tuple[Piece, ...]:
    """The lines and curves of an SVG file, mm.

    ``mm_per_unit`` is the size of one unit of the drawing, None to take it from the
    file's width, height and viewBox.  ``name`` keeps only the element or group of that
    id.  Raises OutlineError for a file that cannot be read or has no unit, and for
    anything drawn that is no line or curve.
    """
    root = _root(path)
    try:
        page = _page(root, mm_per_unit)
        shapes = list(_shapes(root, page, name, 0))
        few_enough(len(shapes))
        if name is not None and not shapes:
            raise OutlineError(f'expected lines in the element of id "{name}", there are none')
        pieces: list[Piece] = []
        count = 0
        for shape in shapes:
            for piece in _pieces(shape):
                pieces.append(piece)
                count += len(piece.points)
                if count > MOST_POINTS:
                    raise OutlineError("expected the outline of a part, this drawing holds more")
        return tuple(pieces)
    except _BROKEN as error:
        raise OutlineError("expected an SVG drawing whose numbers make sense") from error


def _root(path: Path) -> ET.Element:
    try:
        content = path.read_bytes()
        # An entity can stand for a text of any size; a drawing needs none.
        if b"<!ENTITY" in content.replace(b"\0", b""):
            raise OutlineError("expected an SVG without entities; save it as plain SVG")
        root = ET.fromstring(content)  # noqa: S314
    except (ET.ParseError, ValueError, LookupError) as error:
        raise OutlineError(f"not an SVG file that can be read: {error}") from error
    except RecursionError as error:
        raise OutlineError("not an SVG file that can be read: nested too deep") from error
    if root.tag not in (NAMESPACE + "svg", "svg"):
        raise OutlineError("expected an SVG file, its first element is no svg")
    return root


def _page(root: ET.Element, mm_per_unit: float | None) -> Array:
    """From the drawing's units to mm on the page, upwards from its lower edge; shape (3, 3)."""
    wide, high = _length(root.get("width")), _length(root.get("height"))
    box = _view_box(root.get("viewBox"))
    k = _scale(wide, high, box) if mm_per_unit is None else mm_per_unit
    left = lower = 0.0
    if box is not None:
        left, lower = box[0], box[1] + box[3]
    elif high is not None:
        lower = high[0] * MM_PER.get(high[1], k) / k
    return np.array([[k, 0.0, -k * left], [0.0, -k, k * lower], [0.0, 0.0, 1.0]])


def _view_box(text: str | None) -> list[float] | None:
    if text is None:
        return None
    numbers = [float(number) for number in text.replace(",", " ").split()]
    if len(numbers) != 4 or not min(numbers[2:]) > 0.0:
        raise OutlineError(f'viewBox: expected four numbers, the last two above 0, got "{text}"')
    return numbers


def _scale(
    wide: tuple[float, str] | None,
    high: tuple[float, str] | None,
    box: Sequence[float] | None,
) -> float:
    if wide is None or high is None or wide[1] not in MM_PER or high[1] not in MM_PER:
        raise OutlineError(
            "the drawing does not say its size in mm or inches (width and height of svg); "
            "say how large one of its units is"
        )
    if box is None:
        # Without a viewBox the units are CSS pixels, 96 to the inch.
        return 25.4 / 96.0
    across, down = wide[0] * MM_PER[wide[1]] / box[2], high[0] * MM_PER[high[1]] / box[3]
    if not across > 0.0 or abs(across - down) > UNEVEN * across:
        raise OutlineError("expected width and height in the same proportion as the viewBox")
    return across


def _length(text: str | None) -> tuple[float, str] | None:
    match = _SIZE.fullmatch(text or "")
    return None if match is None else (float(match[1]), match[2])


def _shapes(element: ET.Element, to_page: Array, name: str | None, depth: int) -> Iterator[_Shape]:
    """Everything drawn below an element, each with its way to the page."""
    if depth > DEEPEST:
        raise OutlineError(f"expected groups nested less than {DEEPEST} deep")
    for child in element:
        kind = child.tag.removeprefix(NAMESPACE)
        # Other namespaces hold an editor's own notes.
        if kind in NOT_DRAWN or "}" in kind or _hidden(child):
            continue
        within = None if name is not None and child.get("id") == name else name
        where = f'{kind} "{child.get("id")}"' if child.get("id") else kind
        placed = to_page @ _transform(child, where)
        if kind in GROUPS:
            yield from _shapes(child, placed, within, depth + 1)
        elif within is not None:
            continue
        elif kind in SHAPES:
            yield _Shape(child, kind, where, placed)
        else:
            raise OutlineError(f"{where}: cannot be taken in, {_advice(kind)}{_place(child)}")


def _hidden(element: ET.Element) -> bool:
    style = "".join((element.get("style") or "").split())
    return element.get("display") == "none" or "display:none" in style


def _advice(kind: str) -> str:
    if kind == "use":
        return "unlink the clone first"
    if kind == "text":
        return "delete it, or give the outline an id to choose it by"
    return f"expected only {', '.join(SHAPES[:-1])} and {SHAPES[-1]}"


def _place(element: ET.Element) -> str:
    x, y = element.get("x"), element.get("y")
    return f"; it is at ({x}, {y}) of the drawing" if x and y else ""


def _transform(element: ET.Element, where: str) -> Array:
    from svgpathtools.parser import parse_transform  # noqa: PLC0415

    if "transform" in (element.get("style") or ""):
        raise OutlineError(f"{where}: expected its transform as an attribute, not in its style")
    try:
        matrix: Array = parse_transform(element.get("transform"), strict=True)
    except _BROKEN as error:
        raise OutlineError(f"{where}: expected a transform of numbers: {error}") from error
    return matrix


def _pieces(shape: _Shape) -> Iterator[Piece]:
    from svgpathtools.parser import parse_path  # noqa: PLC0415
    from svgpathtools.svg_to_paths import (  # noqa: PLC0415
        ellipse2pathd,
        line2pathd,
        polygon2pathd,
        polyline2pathd,
        rect2pathd,
    )

    spelt: dict[str, Callable[[Any], str]] = {
        "path": lambda element: str(element.get("d", "")),
        "polygon": polygon2pathd,
        "polyline": polyline2pathd,
        "rect": rect2pathd,
        "circle": ellipse2pathd,
        "ellipse": ellipse2pathd,
        "line": line2pathd,
    }
    try:
        if not _NUMBERS.fullmatch(shape.element.get("points", "")):
            raise OutlineError(f"{shape.where}: expected points of numbers only")
        text = spelt[shape.kind](shape.element)
        if len(text) > LONGEST_PATH:
            raise OutlineError(f"{shape.where}: expected the outline of a part, drawn simpler")
        if not _PATH.fullmatch(text):
            raise OutlineError(f"{shape.where}: expected path commands and numbers only")
        with warnings.catch_warnings():
            # What it only warns of would change the outline.
            warnings.simplefilter("error")
            runs = parse_path(text).continuous_subpaths() if text.strip() else []
        for run in runs:
            points = _points(run, shape)
            if len(points) > 1:
                yield Piece(points, math.dist(points[0], points[-1]) <= SAME_POINT_MM, shape.where)
    except (*_BROKEN, Warning) as error:
        raise OutlineError(f"{shape.where}: expected a path that can be read") from error


def _points(run: Any, shape: _Shape) -> tuple[FrontPoint, ...]:
    """Points along a run of segments, whose chords stay within 0.1 mm of it."""
    values: list[complex] = []
    for segment in run:
        steps = _steps(segment, shape)
        values.append(segment.start)
        values += [segment.point(i / steps) for i in range(1, steps)]
    values.append(run[-1].end)
    corners = np.array([[v.real, v.imag, 1.0] for v in values])
    if not np.isfinite(corners).all():
        raise OutlineError(f"{shape.where}: expected finite coordinates")
    points = tuple((float(x), float(y)) for x, y, _ in corners @ shape.to_page.T)
    within_reason(points, shape.where)
    return points


def _steps(segment: Any, shape: _Shape) -> int:
    """How many chords; a chord over a parameter step h strays by h²/8 of the second derivative."""
    from svgpathtools.path import Arc  # noqa: PLC0415

    largest = float(np.linalg.norm(shape.to_page[:2, :2], 2))
    if isinstance(segment, Arc):
        radius = max(segment.radius.real, segment.radius.imag)
        bend = radius * math.radians(segment.delta) ** 2
    else:
        # Of lines and Bezier curves up to cubic it runs straight from end to end.
        bend = max(abs(segment.derivative(share, n=2)) for share in (0.0, 1.0))
    wanted = math.sqrt(bend * largest / (8.0 * FLATTENED_TO_MM))
    if not wanted <= MOST_STEPS:
        raise OutlineError(f"{shape.where}: expected curves of the size of a part on a car")
    return max(1, math.ceil(wanted))
