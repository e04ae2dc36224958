"""DXF, through ezdxf: an outline for a plasma or laser table, and an outline from a drawing."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from kinematics.gaps.outlines import FLATTENED_TO_MM, Outline
from sketcher.interchange.loops import OutlineError, Piece, few_enough, within_reason

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
BROKEN = (
    *(ValueError, TypeError, KeyError, IndexError, AttributeError, ArithmeticError),
    *(AssertionError, RuntimeError, StopIteration),
)
TAKEN = ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")
# An arc comes as Bezier curves, off by a few millionths of its radius at this many a turn.
ARC_PARTS = 8
STRAYS_MM = 0.9 * FLATTENED_TO_MM


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
        why = " ".join(str(error).split())[:120]
        raise OutlineError(f"not a DXF file that can be read: {why}") from error
    except (OSError, *BROKEN) as error:
        raise OutlineError("not a DXF file that can be read") from error
    scale = _mm_per_unit(document) if mm_per_unit is None else mm_per_unit
    entities = list(_shown(document, layer))
    few_enough(len(entities))
    if layer is not None and not entities:
        names = sorted({item.dxf.layer for item in document.modelspace()})
        had = f"there are {', '.join(names)}" if names else "the drawing is empty"
        raise OutlineError(f'expected a layer with lines on it, "{layer}" has none; {had}')
    pieces: list[Piece] = []
    for entity in entities:
        where = f'{entity.dxftype()} on layer "{entity.dxf.layer}"'
        try:
            pieces.append(_piece(entity, where, scale))
        except (DXFError, *BROKEN) as error:
            raise OutlineError(f"{where}: expected coordinates that make sense") from error
    return tuple(pieces)


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


def _piece(entity: DXFGraphic, where: str, scale: float) -> Piece:
    """The line or curve of an entity, in the drawing's own axes, as points."""
    from ezdxf.path import make_path  # noqa: PLC0415

    if entity.dxftype() not in TAKEN:
        raise OutlineError(f"{where}: cannot be taken in, {_advice(entity)}{_place(entity)}")
    if entity.dxf.hasattr("radius") and not entity.dxf.get("radius") > 0.0:
        raise OutlineError(f"{where}: expected a radius above 0")
    path = make_path(entity, segments=ARC_PARTS)
    held = [vertex * scale for vertex in path.control_vertices()]
    within_reason(((v.x, v.y) for v in held), where)
    if len(held) < 2:
        raise OutlineError(f"{where}: expected two corners or more")
    depths = [vertex.z for vertex in held]
    if max(depths) - min(depths) > SAME_DEPTH:
        raise OutlineError(f"{where}: expected an outline flat in the drawing's xy plane")
    # Chords measure their distance from the curve at three places each.
    flat = [(v.x * scale, v.y * scale) for v in path.flattening(STRAYS_MM / scale)]
    closed = path.is_closed and len(flat) > 2
    return Piece(tuple(flat[:-1] if closed else flat), closed, where)


def _advice(entity: DXFEntity) -> str:
    if entity.dxftype() == "INSERT":
        return f'explode the block "{entity.dxf.get("name", "")}" first'
    only = f"{', '.join(TAKEN[:-1])} and {TAKEN[-1]}"
    return f"expected only {only}; convert it, or keep the outline on a layer of its own"


def _place(entity: DXFEntity) -> str:
    for name in ("insert", "location", "center", "start", "defpoint"):
        if entity.dxf.hasattr(name):
            x, y, *_ = entity.dxf.get(name)
            return f"; it is at ({x:.1f}, {y:.1f}) of the drawing"
    return ""
