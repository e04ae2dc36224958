"""Papers, files and scales: a printer's sizes, a template's endings, the ratios of a rule."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

# What a home printer holds.
Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = get_args(Paper)
# ISO 216, mm, upright, the smallest first.
ISO_MM = {"A4": (210, 297), "A3": (297, 420), "A2": (420, 594), "A1": (594, 841), "A0": (841, 1189)}
# ANSI/ASME Y14.1 size A is the other.
PAPERS_MM: Mapping[Paper, tuple[float, float]] = {"a4": ISO_MM["A4"], "letter": (215.9, 279.4)}
# What a bracket's outline is written as at full size.
Ending = Literal[".pdf", ".svg", ".dxf"]
ENDINGS: tuple[Ending, ...] = get_args(Ending)
# Mm on paper for one mm: ISO 5455, full size and reductions, and the first enlargement.
SCALES = (1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100)
ENLARGED = 2.0
