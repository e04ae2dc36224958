"""What a page of the shop sheet is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

BlockKind = Literal["plain", "tight", "small", "missing", "caution", "stop", "good"]


@dataclass(frozen=True, slots=True)
class Heading:
    """The name of a part of the page."""

    text: str


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph.  ``stop`` and ``good`` are what is read from across the bench."""

    text: str
    kind: BlockKind = "plain"


@dataclass(frozen=True, slots=True)
class Figure:
    """One number to work to, what stands beside it in the other unit, and what it means."""

    name: str
    value: str
    converted: str
    note: str = ""
    large: bool = False


@dataclass(frozen=True, slots=True)
class Figures:
    """Numbers to work to, one under the other."""

    rows: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to do, with a box to tick and room for what is measured.

    ``blank`` says what is to be written on the line, its unit; empty for no line.
    ``before`` is a caution to be read before the box is come to.
    """

    text: str
    note: str = ""
    blank: str = ""
    before: str = ""


@dataclass(frozen=True, slots=True)
class Ticks:
    """Things to do in this order; numbered where the order matters."""

    items: tuple[Tick, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table.  ``widths`` are the columns' shares; columns in ``to_write`` are for the pen."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    strong: frozenset[int] = frozenset()
    to_write: frozenset[int] = frozenset()
    words: frozenset[int] = frozenset()


Block = Heading | Words | Figures | Ticks | SheetTable
Blocks = tuple[Block, ...]
