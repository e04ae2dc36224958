"""Distance between a section and a bracket that do not overlap.

A section is convex, so its distance is a convex function of a point, smooth
outside it.  Over the bracket it is least

- inside a face, where the section's outermost point against that face lies
  straight above the face: closed form; or
- on an edge, a convex problem in one variable.  Beside the section's flank its
  answer is closed form (hyperbola against line); against an end face or a rim
  it is closed in by tangents and secants until their bounds meet, which is done
  only for edges whose bound says that they can decide.

Every candidate is a true distance between a point of each, so none can make the
answer too small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.pairs import Pairs, Point3, pick
from kinematics.solids import Ints, Profile, fore_of_sections
from kinematics.vectors import Array, Mask

# The bounds on an edge's least distance meet within this, mm.
CLOSED_IN = 1e-6
MOST_STEPS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """The least distance of each pair so far, and where on the bracket, (t, p, q)."""

    distance: Array
    t: Array
    p: Array
    q: Array

    @classmethod
    def none(cls, count: int) -> Nearest:
        """Nothing found yet."""
        return cls(
            np.full(count, np.inf), np.full(count, np.nan), np.full(count, np.nan),
            np.full(count, np.nan),
        )  # fmt: skip

    def take(self, distance: Array, t: Array, p: Array, q: Array) -> None:
        """Keep what is nearer."""
        nearer = distance < self.distance
        for kept, offered in (
            (self.distance, distance),
            (self.t, t),
            (self.p, p),
            (self.q, q),
        ):
            np.copyto(kept, offered, where=nearer)


def from_section(
    t: Array, rho: Array, profile: Profile, slope: Array, stretch: Array
) -> tuple[Array, Array, Array]:
    """Vector (along, outwards) from the section's nearest point, and its length.

    ``t`` and ``rho`` are a point's place along and its distance from the axis.
    ``stretch`` is 1 + slope².
    """
    beyond = np.clip(t, profile.start, profile.end)
    into = t - profile.start
    over = rho - profile.start_radius
    beside = over > slope * (beyond - profile.start)
    flank = np.clip((into + slope * over) / stretch, 0.0, profile.end - profile.start)
    along = np.where(beside, into - flank, t - beyond)
    outwards = np.where(beside, over - slope * flank, 0.0)
    return along, outwards, np.sqrt(along * along + outwards * outwards)


def separation(pairs: Pairs, within: Array) -> Nearest:
    """Least distance of each pair, mm; exact where it is below ``within``.

    Elsewhere the distance is between two points that exist, so too great if
    anything.  Pairs that overlap give 0 or a distance of no meaning.
    """
    nearest = Nearest.none(len(pairs))
    rear_view = pairs.corner
    front_view = pairs.front_corners()
    sides, normals, lengths = pairs.sides()
    first, last = fore_of_sections(pairs.profile, pairs.lean)
    # Where the section lies between the faces, so does the nearest point.
    past_rear = first < pairs.rear
    past_front = last > pairs.rear + pairs.depth
    _sides(pairs, sides, normals, lengths, nearest)
    _end_face(pairs, past_rear, -1.0, nearest)
    _end_face(pairs, past_front, 1.0, nearest)
    depth_run = (
        np.broadcast_to((pairs.depth * pairs.lean)[:, None], lengths.shape),
        np.zeros_like(lengths),
        np.broadcast_to((pairs.depth * pairs.rise)[:, None], lengths.shape),
    )
    everywhere = np.ones(len(pairs), dtype=np.bool_)
    for rows, start, run in (
        (everywhere, rear_view, depth_run),
        (past_rear, rear_view, sides),
        (past_front, front_view, sides),
    ):
        _edges(pairs.profile, rows, start, run, within, nearest)
    return nearest


def _support(pairs: Pairs, normal: Point3) -> tuple[Array, Point3]:
    """How far along ``normal`` the section begins, and its point there, per row and column."""
    profile = pairs.profile
    columns = (slice(None), None)
    flat = np.hypot(normal[1], normal[2])
    at_start = normal[0] * profile.start[columns] - flat * profile.start_radius[columns]
    at_end = normal[0] * profile.end[columns] - flat * profile.end_radius[columns]
    ahead = at_end < at_start
    t = np.where(ahead, profile.end[columns], profile.start[columns])
    radius = np.where(ahead, profile.end_radius[columns], profile.start_radius[columns])
    out = np.divide(radius, flat, out=np.zeros_like(flat), where=flat > 0.0)
    return np.minimum(at_start, at_end), (t, -out * normal[1], -out * normal[2])


def _sides(pairs: Pairs, sides: Point3, normals: Point3, lengths: Array, nearest: Nearest) -> None:
    begins, point = _support(pairs, normals)
    t0, p0, q0 = pairs.corner
    gap = begins - (normals[0] * t0 + normals[1] * p0 + normals[2] * q0)
    t, p, q = (x - gap * n for x, n in zip(point, normals, strict=True))
    t_in, p_in, q_in = t - t0, p - p0, q - q0
    share = t_in * sides[0] + p_in * sides[1] + q_in * sides[2]
    fore = t_in * pairs.lean[:, None] + q_in * pairs.rise[:, None]
    faced = (
        (gap >= 0.0)
        & (share >= 0.0)
        & (share <= lengths * lengths)
        & (lengths > 0.0)
        & (fore >= 0.0)
        & (fore <= pairs.depth[:, None])
    )
    gap = np.where(faced, gap, np.inf)
    column = np.argmin(gap, axis=1)
    nearest.take(pick(gap, column), pick(t, column), pick(p, column), pick(q, column))


def _end_face(pairs: Pairs, rows: Mask, sense: float, nearest: Nearest) -> None:
    index = np.flatnonzero(rows)
    if not len(index):
        return
    some = pairs[index]
    face = some.rear + (some.depth if sense > 0.0 else 0.0)
    normal = (
        sense * some.lean[:, None],
        np.zeros((len(some), 1)),
        sense * some.rise[:, None],
    )
    begins, point = _support(some, normal)
    gap = begins[:, 0] - sense * face
    t, p, q = (x[:, 0] - gap * n[:, 0] for x, n in zip(point, normal, strict=True))
    faced = (gap >= 0.0) & some.inside_outline(*some.front_view(t, p, q))
    kept = index[faced]
    offer = np.full(len(pairs), np.inf)
    offer[kept] = gap[faced]
    place = np.zeros((3, len(pairs)))
    place[:, kept] = np.stack([t[faced], p[faced], q[faced]])
    nearest.take(offer, *place)


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Edges: (t, p, q) = start + s·run for s in 0…1, and the section each is against.

    ``along`` and ``square``, ``middle``, ``fixed`` give t = t0 + s·along and
    rho² = fixed + 2·s·middle + s²·square.
    """

    t0: Array
    along: Array
    fixed: Array
    middle: Array
    square: Array
    profile: Profile
    slope: Array
    stretch: Array

    def at(self, s: Array) -> tuple[Array, Array]:
        """Distance from the section, mm, and its growth per unit of s."""
        t = self.t0 + s * self.along
        turn = self.middle + s * self.square
        rho = np.sqrt(np.maximum(self.fixed + s * (self.middle + turn), 0.0))
        dt, dr, distance = from_section(t, rho, self.profile, self.slope, self.stretch)
        with np.errstate(invalid="ignore", divide="ignore"):
            growth = (dt * self.along + dr * (turn / rho)) / distance
        # On the axis dr is 0; inside the section the distance stays 0.
        return distance, np.where(
            distance > 0.0,
            np.where(dr > 0.0, growth, np.sign(dt) * self.along),
            0.0,
        )

    def pick(self, row: Ints, column: Ints) -> _Lines:
        """Some of the edges, laid out in one row."""
        return _Lines(
            self.t0[row, column],
            self.along[row, column],
            self.fixed[row, column],
            self.middle[row, column],
            self.square[row, column],
            Profile(
                self.profile.start[row, 0],
                self.profile.end[row, 0],
                self.profile.start_radius[row, 0],
                self.profile.end_radius[row, 0],
            ),
            self.slope[row, 0],
            self.stretch[row, 0],
        )

    def keep(self, rows: Mask) -> _Lines:
        """Fewer of the edges of one row."""
        return _Lines(
            self.t0[rows],
            self.along[rows],
            self.fixed[rows],
            self.middle[rows],
            self.square[rows],
            self.profile[np.flatnonzero(rows)],
            self.slope[rows],
            self.stretch[rows],
        )


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


def _edges(
    profile: Profile, rows: Mask, start: Point3, run: Point3, within: Array, nearest: Nearest
) -> None:
    index = np.flatnonzero(rows)
    if not len(index):
        return
    everything = len(index) == len(rows)
    t0, p0, q0 = start if everything else tuple(x[index] for x in start)
    dt, dp, dq = run if everything else tuple(x[index] for x in run)
    own = profile[index]
    columned = Profile(
        own.start[:, None], own.end[:, None], own.start_radius[:, None], own.end_radius[:, None]
    )
    slope = own.slope[:, None]
    lines = _Lines(
        t0, dt, p0 * p0 + q0 * q0, p0 * dp + q0 * dq, dp * dp + dq * dq,
        columned, slope, 1.0 + slope * slope,
    )  # fmt: skip
    turn = lateral_turn(lines.square, lines.middle, lines.fixed, dt, slope)
    with np.errstate(invalid="ignore", divide="ignore"):
        enters, leaves = (columned.start - t0) / dt, (columned.end - t0) / dt
    level = dt == 0.0
    first = np.where(level, 0.0, np.minimum(enters, leaves))
    final = np.where(level, 1.0, np.maximum(enters, leaves))
    # Beside the flank the turn itself is right; beyond it the flank's nearer end is close.
    beside = np.clip(np.clip(turn, first, final), 0.0, 1.0)
    distance, growth = lines.at(beside)
    best = np.minimum(nearest.distance[index], np.min(distance, axis=1))
    wanted = np.minimum(best, within[index])
    far_end = np.where(growth > 0.0, 0.0, 1.0)
    # By its tangent an edge cannot come nearer than this before it ends.
    bound = distance - np.abs(growth) * np.abs(far_end - beside)
    row, column = np.nonzero((bound < wanted[:, None] - CLOSED_IN) & (growth != 0.0))
    if len(row):
        s, closer = _close_in(
            lines.pick(row, column),
            beside[row, column],
            distance[row, column],
            growth[row, column],
            wanted[row],
        )
        beside[row, column] = s
        distance[row, column] = closer
    column = np.argmin(distance, axis=1)
    s = pick(beside, column)
    offer = np.full(len(rows), np.inf)
    offer[index] = pick(distance, column)
    place = np.zeros((3, len(rows)))
    for kept, x0, dx in zip(place, (t0, p0, q0), (dt, dp, dq), strict=True):
        kept[index] = pick(x0, column) + s * pick(dx, column)
    nearest.take(offer, *place)


def _close_in(
    lines: _Lines, s: Array, distance: Array, growth: Array, wanted: Array
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

    lines = lines.keep(far_growth * growth < 0.0)
    low, high = ordered(s[index], far_s[index])
    low_d, high_d = ordered(distance[index], far[index])
    low_g, high_g = ordered(growth[index], far_growth[index])
    for step in range(MOST_STEPS):
        span = high - low
        crossing = (high_d - low_d - high_g * span) / (low_g - high_g)
        bound = low_d + low_g * crossing
        open_ = bound < np.minimum(best[index], wanted[index]) - CLOSED_IN
        if not np.all(open_):
            index, lines = index[open_], lines.keep(open_)
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
