"""Best-first search for the gaps that decide, among all that a motion brings about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.gaps.bounds import GapTable
from kinematics.gaps.solids import TurnedBody
from kinematics.parts import Bracket
from kinematics.poses import Carriers
from kinematics.vectors import Array, Ints, Mask

# Gaps worked out for each bracket in the first round; four times as many in each further one.
FIRST_BATCH = 64


@dataclass(slots=True, eq=False)
class Search:
    """Work in hand: bounds shrink to what is still open, bests fall.

    ``below`` bounds every gap still open from below and is inf for those worked
    out.  ``best`` is each position's smallest gap so far, or −inf where positions are
    not asked about; likewise ``bracket_best``, each bracket's, at ``bracket_position``,
    by ``bracket_row``, on the bracket at ``bracket_point``.
    """

    table: GapTable
    known: Mask
    each_position: bool
    below: Array
    best: Array
    best_row: Ints
    bracket_best: Array
    bracket_row: Ints
    bracket_position: Ints
    bracket_point: Array

    @classmethod
    def of(
        cls,
        bodies: Sequence[TurnedBody],
        brackets: Sequence[Bracket],
        carriers: Carriers,
        *,
        each_position: bool = True,
        each_bracket: bool = True,
        at_most: float = np.inf,
    ) -> Search | None:
        """The work ahead; None where nothing can be met.

        ``each_position`` and ``each_bracket`` say whose smallest gaps are sought.  Only
        gaps less than ``at_most``, mm, are worked out; bests without one stay at it.
        """
        if not brackets or not any(body.sections for body in bodies):
            return None
        table, known = GapTable.of(bodies, brackets, carriers)
        count = table.positions
        if not count:
            return None
        return cls(
            table,
            known,
            each_position,
            table.bounds(),
            np.full(count, at_most if each_position else -np.inf),
            np.full(count, -1, dtype=np.intp),
            np.full(len(brackets), at_most if each_bracket else -np.inf),
            np.full(len(brackets), -1, dtype=np.intp),
            np.full(len(brackets), -1, dtype=np.intp),
            np.full((len(brackets), 3), np.nan),
        )

    def run(self) -> None:
        """Work out gaps, the most promising first, until no bound can beat a best."""
        count = self.table.positions
        columns = np.arange(count)
        batch = FIRST_BATCH
        while True:
            if self.each_position:
                self._try(np.argmin(self.below, axis=0), columns)
            self._try(*self._most_promising(batch))
            batch *= 4
            open_ = self.below < np.maximum(self.best, self.bracket_best[self.table.bracket, None])
            row, position = np.nonzero(open_)
            if len(row) <= (count if self.each_position else batch):
                self._try(row, position)
                return

    def _most_promising(self, batch: int) -> tuple[Ints, Ints]:
        """Rows and positions of each bracket's lowest bounds, a batch for each."""
        rows, positions = [], []
        for bracket, best in enumerate(self.bracket_best):
            own = np.flatnonzero(self.table.bracket == bracket)
            below = self.below[own].ravel()
            some = np.flatnonzero(below < best)
            if len(some) > batch:
                some = some[np.argpartition(below[some], batch)[:batch]]
            row, position = np.divmod(some, self.table.positions)
            rows.append(own[row])
            positions.append(position)
        return np.concatenate(rows), np.concatenate(positions)

    def _try(self, row: Ints, position: Ints) -> None:
        bracket = self.table.bracket[row]
        below = self.below[row, position]
        within = np.maximum(self.best[position], self.bracket_best[bracket])
        useful = below < within
        row, position, bracket = row[useful], position[useful], bracket[useful]
        if not len(row):
            return
        gap, point = self.table.gaps(row, position, below[useful], within[useful])
        self.below[row, position] = np.inf
        order = np.lexsort((row, -gap))
        # Later writes win: the smallest gap of each position comes last.
        smaller = order[gap[order] < self.best[position[order]]]
        self.best[position[smaller]] = gap[smaller]
        self.best_row[position[smaller]] = row[smaller]
        smaller = order[gap[order] < self.bracket_best[bracket[order]]]
        self.bracket_best[bracket[smaller]] = gap[smaller]
        self.bracket_row[bracket[smaller]] = row[smaller]
        self.bracket_position[bracket[smaller]] = position[smaller]
        self.bracket_point[bracket[smaller]] = point[smaller]
