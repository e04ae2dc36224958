"""Where a section comes nearest to a bracket's edges.

Along a straight edge the distance from a section, which is convex, is a convex
function of one variable.  Beside the section's flank its least is closed form
(hyperbola against line); against an end face or a rim it is closed in by tangents
and secants until their bounds meet, which is done only for edges whose bound says
that they can decide.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.gaps.axis_frames import Nearest, Point3, pick
from kinematics.gaps.solids import Profile
from kinematics.vectors import Array, Ints, Mask, Rows

# The bounds on an edge's least distance meet within this, mm.
CLOSED_IN = 1e-6
MOST_STEPS = 60
# What advances less than this along the axis stands square to it, mm.
LEVEL = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class EdgeLines(Rows):
    """Edges: (t, p, q) = start + s·run for s in 0…1, and the section each is against.

    ``along`` and ``square``, ``middle``, ``fixed`` give t = t0 + s·along and
    rho² = fixed + 2·s·middle + s²·square.  The section runs from ``first``, where its radius is
    ``radius``, to ``last``; ``stretch`` is 1 + slope².  Of a section, the edges of one row
    share one column.
    """

    t0: Array
    along: Array
    fixed: Array
    middle: Array
    square: Array
    first: Array
    last: Array
    radius: Array
    slope: Array
    stretch: Array

    def at(self, s: Array) -> tuple[Array, Array]:
        """Distance from the section, mm, and its growth per unit of s."""
        t = self.t0 + s * self.along
        turn = self.middle + s * self.square
        rho = np.sqrt(np.maximum(self.fixed + s * (self.middle + turn), 0.0))
        dt, dr = self._from_section(t, rho)
        distance = np.sqrt(dt * dt + dr * dr)
        with np.errstate(invalid="ignore", divide="ignore"):
            growth = (dt * self.along + dr * (turn / rho)) / distance
        # On the axis dr is 0; inside the section the distance stays 0.
        return distance, np.where(
            distance > 0.0,
            np.where(dr > 0.0, growth, np.sign(dt) * self.along),
            0.0,
        )

    def _from_section(self, t: Array, rho: Array) -> tuple[Array, Array]:
        """Along and outwards from the section's nearest point to one at ``t``, ``rho`` aside."""
        beyond = np.minimum(np.maximum(t, self.first), self.last)
        into = t - self.first
        over = rho - self.radius
        on_flank = over > self.slope * (beyond - self.first)
        flank = (into + self.slope * over) / self.stretch
        flank = np.minimum(np.maximum(flank, 0.0), self.last - self.first)
        along = np.where(on_flank, into - flank, t - beyond)
        return along, np.where(on_flank, over - self.slope * flank, 0.0)

    def pick(self, row: Ints, column: Ints) -> EdgeLines:
        """Some of the edges, laid out in one row."""
        return EdgeLines(*[held[row, column if held.shape[1] > 1 else 0] for held in self.arrays])

    @staticmethod
    def joined(parts: list[EdgeLines]) -> EdgeLines:
        """Edges of one row each, one after the other."""
        return EdgeLines(*map(np.concatenate, zip(*(part.arrays for part in parts), strict=True)))


def lateral_turn(square: Array, middle: Array, fixed: Array, along: Array, slope: Array) -> Array:
    """Where rho(s) − slope·t(s) is least on a line; ±inf where it falls for ever.

    rho is a hyperbola of s: with u = s − s0 from the line's closest approach,
    square·u / sqrt(square·u² + closest²) = slope·along.
    """
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        approach = -middle / square
        closest = np.sqrt(np.maximum(fixed - middle * middle / square, 0.0))
        steep = slope * along / np.sqrt(square)
        turn = approach + closest * steep / np.sqrt(square * (1.0 - steep * steep))
        turn = np.where(np.abs(steep) < 1.0, turn, np.copysign(np.inf, steep))
    # A line along the axis keeps its distance: only the taper moves the answer.
    return np.where(
        square > 1e-20 * along * along,
        turn,
        np.where(slope * along == 0.0, 0.0, np.copysign(np.inf, slope * along)),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Edges of some brackets, and the best place known on each: its distance and growth there."""

    index: Ints
    start: Point3
    run: Point3
    lines: EdgeLines
    s: Array
    distance: Array
    growth: Array

    @classmethod
    def of(cls, profile: Profile, rows: Mask, start: Point3, run: Point3) -> Edges:
        """The edges of some rows' brackets, from ``start`` along ``run``, (t, p, q) each."""
        index = np.flatnonzero(rows)
        if len(index) < len(rows):
            start = (start[0][index], start[1][index], start[2][index])
            run = (run[0][index], run[1][index], run[2][index])
        (t0, p0, q0), (dt, dp, dq) = start, run
        own = profile[index[:, None]]
        first, last, slope = own.start, own.end, own.slope
        lines = EdgeLines(
            t0,
            dt,
            p0 * p0 + q0 * q0,
            p0 * dp + q0 * dq,
            dp * dp + dq * dq,
            first,
            last,
            own.start_radius,
            slope,
            1.0 + slope * slope,
        )
        turn = lateral_turn(lines.square, lines.middle, lines.fixed, dt, slope)
        level = np.abs(dt) < LEVEL
        advance = np.where(level, 1.0, dt)
        enters = np.where(level, 0.0, (first - t0) / advance)
        leaves = np.where(level, 1.0, (last - t0) / advance)
        # Beside the flank the turn itself is right; beyond it the flank's nearer end is close.
        on_edge = np.minimum(
            np.maximum(turn, np.minimum(enters, leaves)), np.maximum(enters, leaves)
        )
        s = np.minimum(np.maximum(on_edge, 0.0), 1.0)
        return cls(index, start, run, lines, s, *lines.at(s))

    def undecided(self, wanted: Array) -> tuple[Ints, Ints]:
        """Rows and columns of edges that by their tangent may come nearer than is wanted."""
        ahead = np.where(self.growth > 0.0, self.s, 1.0 - self.s)
        bound = self.distance - np.abs(self.growth) * ahead
        row, column = np.nonzero((bound < wanted[:, None] - CLOSED_IN) & (self.growth != 0.0))
        return row, column

    def offer(self, nearest: Nearest) -> None:
        """Hand the nearest of each row's edges on."""
        column = np.argmin(self.distance, axis=1)
        s = pick(self.s, column)
        offer = np.full(len(nearest.distance), np.inf)
        offer[self.index] = pick(self.distance, column)
        place = np.zeros((3, len(offer)))
        for kept, x0, dx in zip(place, self.start, self.run, strict=True):
            kept[self.index] = pick(x0, column) + s * pick(dx, column)
        nearest.take(offer, *place)


def nearest_on_edges(groups: list[Edges], within: Array, nearest: Nearest) -> None:
    """Offer each row's nearest place on its edges; exact where below ``within``, mm."""
    wanted = np.minimum(nearest.distance, within)
    for edges in groups:
        wanted[edges.index] = np.minimum(wanted[edges.index], edges.distance.min(axis=1))
    open_ = [edges.undecided(wanted[edges.index]) for edges in groups]
    picked = [edges.lines.pick(*at) for edges, at in zip(groups, open_, strict=True)]
    known = [
        (edges.s[at], edges.distance[at], edges.growth[at], wanted[edges.index[at[0]]])
        for edges, at in zip(groups, open_, strict=True)
    ]
    s, distance = close_in(EdgeLines.joined(picked), *map(np.concatenate, zip(*known, strict=True)))
    done = 0
    for edges, at in zip(groups, open_, strict=True):
        part = slice(done, done + len(at[0]))
        edges.s[at], edges.distance[at] = s[part], distance[part]
        done = part.stop
        edges.offer(nearest)


def close_in(
    lines: EdgeLines, s: Array, distance: Array, growth: Array, wanted: Array
) -> tuple[Array, Array]:
    """Least distance along each edge, from a point where it is known and still changing.

    The growth of a convex function rises with s.  Where it changes sign between
    ``low`` and ``high`` the least lies between them, above the crossing of the
    two tangents.
    """
    best_s, best = s.copy(), distance.copy()
    far_s = np.where(growth > 0.0, 0.0, 1.0)
    far, far_growth = lines.at(far_s)
    nearer = far < best
    best_s[nearer], best[nearer] = far_s[nearer], far[nearer]
    index = np.flatnonzero(far_growth * growth < 0.0)
    forward = far_s[index] > s[index]

    def ordered(here: Array, there: Array) -> tuple[Array, Array]:
        return np.where(forward, here, there), np.where(forward, there, here)

    lines = lines[index]
    low, high = ordered(s[index], far_s[index])
    low_d, high_d = ordered(distance[index], far[index])
    low_g, high_g = ordered(growth[index], far_growth[index])
    for step in range(MOST_STEPS):
        span = high - low
        crossing = (high_d - low_d - high_g * span) / (low_g - high_g)
        bound = low_d + low_g * crossing
        open_ = np.flatnonzero(bound < np.minimum(best[index], wanted[index]) - CLOSED_IN)
        if len(open_) < len(index):
            index, lines = index[open_], lines[open_]
            low, high, span, crossing = low[open_], high[open_], span[open_], crossing[open_]
            low_d, high_d = low_d[open_], high_d[open_]
            low_g, high_g = low_g[open_], high_g[open_]
        if not len(index):
            break
        # Tangents, the growth's own secant, then halving: each guards against the others' worst.
        offset = (crossing, -low_g * span / (high_g - low_g), 0.5 * span)[step % 3]
        middle = low + np.clip(offset, 0.02 * span, 0.98 * span)
        d, g = lines.at(middle)
        closer = d < best[index]
        best[index[closer]], best_s[index[closer]] = d[closer], middle[closer]
        falling = g < 0.0
        low, high = np.where(falling, middle, low), np.where(falling, high, middle)
        low_d, high_d = np.where(falling, d, low_d), np.where(falling, high_d, d)
        low_g, high_g = np.where(falling, g, low_g), np.where(falling, high_g, g)
    return best_s, best
