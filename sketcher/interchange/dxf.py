"""DXF, through ezdxf: an outline for a plasma or laser table, and an outline from a drawing."""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.gaps.outlines import Outline
from kinematics.parts import LARGEST_LENGTH, FrontPoint
from sketcher.interchange.loops import OutlineError, Piece, arc_points, few_enough

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.dxfgfx import DXFGraphic

LAYER = "OUTLINE"
# The oldest version that has closed LWPOLYLINE and units; every cutting table reads it.
VERSION = "R2000"
DIGITS = 6
SAME_DEPTH = 1e-6
# What ezdxf raises on files that are broken in ways it does not look for.
BROKEN = (ValueError, TypeError, KeyError, IndexError, AttributeError, ArithmeticError)
TAKEN = "LINE, ARC, CIRCLE, LWPOLYLINE and POLYLINE"


def dxf_bytes(outline: Outline) -> bytes:
    """One closed LWPOLYLINE in mm on one layer, coordinates as in the scene."""
    from ezdxf.enums import InsertUnits  # noqa: PLC0415
    from ezdxf.filemanagement import new  # noqa: PLC0415

    document = new(VERSION, units=InsertUnits.Millimeters)
    document.header["$MEASUREMENT"] = 1
    document.layers.add(LAYER)
    corners = [(round(x, DIGITS), round(y, DIGITS)) for x, y in outline]
    document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": LAYER})
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding)


def dxf_pieces(
    path: Path, *, mm_per_unit: float | None = None, layer: str | None = None
) -> tuple[Piece, ...]:
    """The lines and curves of a DXF file's model space, mm.

    ``mm_per_unit`` None takes the unit from the file.  ``layer`` keeps one layer only.
    Raises OutlineError for a file that cannot be read or has no unit, and for anything
    drawn that is no line or arc in the plane.
    """
    from ezdxf.filemanagement import readfile  # noqa: PLC0415
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    # Its notes on a damaged file are not for the person at the bench.
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    try:
        document = readfile(path)
    except DXFError as error:
        raise OutlineError(f"not a DXF file that can be read: {_one_line(error)}") from error
    except (OSError, RecursionError, *BROKEN) as error:
        raise OutlineError("not a DXF file that can be read") from error
    scale = _mm_per_unit(document) if mm_per_unit is None else mm_per_unit
    entities = list(_shown(document, layer))
    few_enough(len(entities))
    if layer is not None and not entities:
        names = sorted({item.dxf.layer for item in document.modelspace()})
        raise OutlineError(f'expected a layer with lines on it, "{layer}" has none; {_had(names)}')
    pieces: list[Piece] = []
    for entity in entities:
        where = f'{entity.dxftype()} on layer "{entity.dxf.layer}"'
        try:
            pieces += _pieces(entity, where, scale)
        except (DXFError, *BROKEN) as error:
            raise OutlineError(f"{where}: expected coordinates that make sense") from error
    return tuple(pieces)


def _had(names: Sequence[str]) -> str:
    return f"there are {', '.join(names)}" if names else "the drawing is empty"


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())[:120]


def _mm_per_unit(document: Drawing) -> float:
    from ezdxf.enums import InsertUnits  # noqa: PLC0415
    from ezdxf.units import conversion_factor  # noqa: PLC0415

    try:
        code = int(document.header.get("$INSUNITS", 0))
        if code:
            return float(conversion_factor(InsertUnits(code), InsertUnits.Millimeters))
    except BROKEN as error:
        raise OutlineError(
            "expected $INSUNITS to name a unit of length; say which unit the drawing is in"
        ) from error
    raise OutlineError(
        "the drawing does not say its unit ($INSUNITS is 0 or missing); "
        "say whether it is in mm or in inches"
    )


def _shown(document: Drawing, layer: str | None) -> Iterator[DXFGraphic]:
    """What is drawn in model space, on the layer asked for."""
    for entity in document.modelspace():
        if layer is not None and entity.dxf.layer != layer:
            continue
        if entity.dxf.layer in document.layers:
            held = document.layers.get(entity.dxf.layer)
            if held.is_off() or held.is_frozen():
                continue
        yield entity


def _pieces(entity: DXFGraphic, where: str, scale: float) -> Iterable[Piece]:
    from ezdxf.entities.arc import Arc  # noqa: PLC0415
    from ezdxf.entities.circle import Circle  # noqa: PLC0415
    from ezdxf.entities.line import Line  # noqa: PLC0415
    from ezdxf.entities.lwpolyline import LWPolyline  # noqa: PLC0415
    from ezdxf.entities.polyline import Polyline  # noqa: PLC0415

    match entity:
        case Arc():
            start, end = entity.dxf.start_angle, entity.dxf.end_angle
            sweep = math.radians((end - start) % 360.0 or 360.0)
            points = _circle(entity, math.radians(start), sweep, where, scale)
            yield Piece(points, closed=False, where=where)
        case Circle():
            points = _circle(entity, 0.0, math.tau, where, scale)
            yield Piece(points[:-1], closed=True, where=where)
        case Line():
            yield Piece(_flat((entity.dxf.start, entity.dxf.end), where, scale), False, where)
        case LWPolyline():
            corners = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
            runs = _bulged(entity, corners, entity.closed, where, scale)
            yield Piece(runs, bool(entity.closed), where)
        case Polyline() if entity.is_2d_polyline:
            corners = [
                (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
                for v in entity.vertices
            ]
            runs = _bulged(entity, corners, entity.is_closed, where, scale)
            yield Piece(runs, bool(entity.is_closed), where)
        case Polyline() if entity.is_3d_polyline:
            points = _flat([v.dxf.location for v in entity.vertices], where, scale)
            yield Piece(points, bool(entity.is_closed), where)
        case _:
            raise OutlineError(f"{where}: cannot be taken in, {_advice(entity)}{_place(entity)}")


def _advice(entity: DXFEntity) -> str:
    if entity.dxftype() == "INSERT":
        return f'explode the block "{entity.dxf.get("name", "")}" first'
    return f"expected only {TAKEN}; convert it, or keep the outline on a layer of its own"


def _place(entity: DXFEntity) -> str:
    for name in ("insert", "location", "center", "start", "defpoint"):
        if entity.dxf.hasattr(name):
            x, y, *_ = entity.dxf.get(name)
            return f"; it is at ({x:.1f}, {y:.1f}) of the drawing"
    return ""


def _circle(
    entity: DXFGraphic, start: float, sweep: float, where: str, scale: float
) -> tuple[FrontPoint, ...]:
    centre, radius = entity.dxf.center, entity.dxf.radius * scale
    if not 0.0 < radius <= LARGEST_LENGTH:
        raise OutlineError(f"{where}: expected a radius above 0, below {LARGEST_LENGTH:g} mm")
    points = arc_points((centre.x * scale, centre.y * scale), radius, start, sweep)
    return _world(entity, points, centre.z * scale, where)


def _bulged(
    entity: DXFGraphic,
    corners: Sequence[tuple[float, float, float]],
    closed: bool,
    where: str,
    scale: float,
) -> tuple[FrontPoint, ...]:
    """The points of a polyline whose edges may be arcs."""
    if len(corners) < 2:
        raise OutlineError(f"{where}: expected two corners or more")
    points: list[FrontPoint] = []
    after = [*corners[1:], corners[0]]
    for i, ((x0, y0, bulge), (x1, y1, _)) in enumerate(zip(corners, after, strict=True)):
        start, end = (x0 * scale, y0 * scale), (x1 * scale, y1 * scale)
        points.append(start)
        last = i == len(corners) - 1
        if bulge and not (last and not closed) and math.dist(start, end) > 0.0:
            points += _bulge(start, end, bulge, where)[1:-1]
    return _world(entity, points, _elevation(entity) * scale, where)


def _bulge(start: FrontPoint, end: FrontPoint, bulge: float, where: str) -> tuple[FrontPoint, ...]:
    """The arc of an edge; ``bulge`` is the tangent of a quarter of its angle."""
    sweep = 4.0 * math.atan(bulge)
    chord = math.dist(start, end)
    radius = 0.25 * chord * abs(bulge + 1.0 / bulge)
    if not radius <= LARGEST_LENGTH:
        # So flat, or so large, that it is a straight line or no part of a car.
        if abs(bulge) * 0.5 * chord < SAME_DEPTH:
            return (start, end)
        raise OutlineError(f"{where}: expected arcs of a radius below {LARGEST_LENGTH:g} mm")
    # From the chord's middle to the centre, along the normal that points left.
    away = 0.25 * (1.0 / bulge - bulge)
    centre = (
        0.5 * (start[0] + end[0]) - away * (end[1] - start[1]),
        0.5 * (start[1] + end[1]) + away * (end[0] - start[0]),
    )
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return (start, *arc_points(centre, radius, first, sweep)[1:-1], end)


def _elevation(entity: DXFGraphic) -> float:
    height = entity.dxf.get("elevation", 0.0)
    return float(height) if isinstance(height, (int, float)) else float(height[2])


def _world(
    entity: DXFGraphic, points: Sequence[FrontPoint], height: float, where: str
) -> tuple[FrontPoint, ...]:
    """Points of an entity's own plane in the drawing's; mirrored copies lie in one turned over."""
    placed = entity.ocs().points_to_wcs([(x, y, height) for x, y in points])
    return _flat(placed, where, 1.0)


def _flat(points: Iterable[Sequence[float]], where: str, scale: float) -> tuple[FrontPoint, ...]:
    solid = [(p[0] * scale, p[1] * scale, p[2] * scale) for p in points]
    if len(solid) < 2:
        raise OutlineError(f"{where}: expected two corners or more")
    depths = [p[2] for p in solid]
    if max(depths) - min(depths) > SAME_DEPTH:
        raise OutlineError(f"{where}: expected an outline flat in the drawing's xy plane")
    return tuple((x, y) for x, y, _ in solid)
