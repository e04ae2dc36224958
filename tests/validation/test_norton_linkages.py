"""Plane linkages of a textbook: four-bars, a slider-crank, inverted slider-cranks.

Source: R. L. Norton, *Design of Machinery*, chapter on position analysis: examples
4-1 (four-bar), 4-2 (slider-crank), 4-3 (inverted slider-crank), problem tables of the
same chapter; chapter on velocity analysis: theorem of Aronhold and Kennedy.  Row data
and formulas from memory, figures recomputed; the pages were not seen.  Tolerances are
the last digit printed.

Symbols are the book's.  A crank a turns about O2 at the origin; the other pivot O4
stands at (d, 0).  Four-bar: coupler b, rocker c.  Slider-crank: coupler b, slider on
a line at the height c.  Inverted slider-crank: b along the sliding line from O4 to the
slider, c from there to the crank's pin at the angle gamma.

How they map: two wishbones and a knuckle are a four-bar.  A strut and its arm are an
inverted slider-crank for any gamma: ``strut_top`` is O4, and ``strut_lower``, which may
lie anywhere on the sliding axis, lies where the leg c meets it, so that the strut's
length is b.  The shaft on its housing axis is a slider-crank.  In each the wheel centre
is put on the crank's pin, so that its rise is a(sin theta2 - sin theta2 as drawn).
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given

from kinematics.linkage.motion import Motion, solve
from kinematics.parts import (
    Corner,
    Hub,
    InnerJoint,
    Linkage,
    OuterJoint,
    Point,
    Shaft,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.following import follow
from kinematics.vectors import Array
from tests import strategies

DRAWN_BEFORE_DEG = 5.0


def polar(length: float, angle_deg: float) -> complex:
    return cmath.rect(length, math.radians(angle_deg))


def angle_of(number: complex) -> float:
    return math.degrees(cmath.phase(number))


def point(number: complex) -> Point:
    return (number.real, number.imag, 0.0)


def same_angle(one: float, other: float, within: float) -> None:
    assert abs((one - other + 180) % 360 - 180) <= within, (one, other)


def to_the_pin(linkage: Linkage, pin: complex, towards: complex, rise: float) -> Motion:
    """The linkage with its wheel centre on the crank's pin, after that rise."""
    # The hub axis stands aslant to the steering axis, wherever that points.
    aslant = (towards - pin) * polar(1.0, -50.0)
    return solve(linkage, Hub(point(pin - aslant), point(pin)), rise)


def quadratic_angles(a: float, b: float, c: float) -> tuple[float, float]:
    """Both roots of a t^2 + b t + c for t the tangent of half the angle, degrees."""
    root = math.sqrt(b * b - 4 * a * c)
    first, second = (2 * math.atan2(-b + sign * root, 2 * a) for sign in (-1, 1))
    return math.degrees(first), math.degrees(second)


@dataclass(frozen=True)
class FourBar:
    d: float
    a: float
    b: float
    c: float
    theta2: float
    opened: tuple[float, float]
    crossed: tuple[float, float]
    within: float = 0.001

    def angles(self, theta2: float) -> list[tuple[float, float]]:
        """Theta 3 and theta 4 of both circuits, open first, as the book computes them."""
        cos, sin = math.cos(math.radians(theta2)), math.sin(math.radians(theta2))
        k1, k2, k3, k4, k5 = self.ratios
        thetas4 = quadratic_angles(cos - k1 - k2 * cos + k3, -2 * sin, k1 - (k2 + 1) * cos + k3)
        thetas3 = quadratic_angles(cos - k1 + k4 * cos + k5, -2 * sin, k1 + (k4 - 1) * cos + k5)
        return list(zip(thetas3, thetas4, strict=True))

    @property
    def ratios(self) -> tuple[float, float, float, float, float]:
        a, b, c, d = self.a, self.b, self.c, self.d
        return (
            d / a,
            d / c,
            (a * a - b * b + c * c + d * d) / (2 * a * c),
            d / b,
            (c * c - d * d - a * a - b * b) / (2 * a * b),
        )


FOUR_BARS = [
    pytest.param(
        # The book prints its crossed angles to 0.01 degrees.
        FourBar(100, 40, 120, 80, 40, (20.298, 57.325), (-60.98, -98.00), 0.01),
        id="example 4-1",
    ),
    *(
        pytest.param(FourBar(*row), id=f"table row {row[:5]}")
        for row in (
            (6, 2, 7, 9, 30, (88.837, 117.286), (-115.211, -143.660)),
            (7, 9, 3, 8, 85, (-43.232, 120.247), (-67.304, 129.217)),
            (3, 10, 6, 8, 45, (-53.132, 16.491), (173.271, 103.648)),
            (8, 5, 7, 6, 25, (27.402, 62.762), (-90.104, -125.464)),
            (8, 5, 8, 6, 75, (7.497, 78.212), (-79.021, -149.736)),
        )
    ),
]


def test_link_ratios_of_the_four_bar_example() -> None:
    example = FourBar(100, 40, 120, 80, 40, (20.298, 57.325), (-60.98, -98.00))
    assert example.ratios[:3] == pytest.approx((2.5, 1.25, 0.5625))


@pytest.mark.parametrize("bars", FOUR_BARS)
def test_four_bar_the_books_own_arithmetic(bars: FourBar) -> None:
    for found, printed in zip(bars.angles(bars.theta2), (bars.opened, bars.crossed), strict=True):
        for angle, wanted in zip(found, printed, strict=True):
            same_angle(angle, wanted, bars.within)


@pytest.mark.parametrize("circuit", [0, 1], ids=["open", "crossed"])
@pytest.mark.parametrize("bars", FOUR_BARS)
def test_four_bar_as_two_wishbones(bars: FourBar, circuit: int) -> None:
    drawn2 = bars.theta2 - DRAWN_BEFORE_DEG
    _, drawn4 = bars.angles(drawn2)[circuit]
    pin, end = polar(bars.a, drawn2), bars.d + polar(bars.c, drawn4)
    assert abs(end - pin) == pytest.approx(bars.b)
    linkage = Wishbones(point(0j), point(pin), point(bars.d + 0j), point(end))
    rise = polar(bars.a, bars.theta2).imag - pin.imag
    motion = to_the_pin(linkage, pin, end, rise)
    theta3, theta4 = (bars.opened, bars.crossed)[circuit]
    coupler = motion.steering_top - motion.ball_joint
    assert motion.upper_arm_angle_deg is not None
    same_angle(float(motion.arm_angle_deg), bars.theta2, 1e-9)
    same_angle(float(motion.upper_arm_angle_deg), theta4, bars.within)
    same_angle(angle_of(complex(coupler[0], coupler[1])), theta3, bars.within)


@dataclass(frozen=True)
class InvertedSliderCrank:
    d: float
    a: float
    c: float
    gamma: float
    theta2: float
    theta4: float
    b: float
    within: tuple[float, float]

    def angles(self, theta2: float) -> tuple[float, float]:
        """Theta 4 of both circuits, as the book computes it."""
        a, c, d = self.a, self.c, self.d
        cos, sin = math.cos(math.radians(theta2)), math.sin(math.radians(theta2))
        cos_g, sin_g = math.cos(math.radians(self.gamma)), math.sin(math.radians(self.gamma))
        p = a * sin * sin_g + (a * cos - d) * cos_g
        q = -a * sin * cos_g + (a * cos - d) * sin_g
        r = -c * sin_g
        return quadratic_angles(r - q, 2 * p, q + r)

    def slide(self, theta2: float, theta4: float) -> float:
        """The signed length b along the line at theta 4 plus gamma."""
        rest = polar(self.a, theta2) - self.d - polar(self.c, theta4)
        return (rest / polar(1.0, theta4 + self.gamma)).real


INVERTED = [
    pytest.param(
        InvertedSliderCrank(6, 2, 4, 90, 30, 142.67, 1.79, (0.01, 0.01)), id="example 4-3"
    ),
    *(
        pytest.param(InvertedSliderCrank(*row, (0.001, 0.001)), id=f"table row {row[:5]}")
        for row in (
            (7, 9, 3, 75, 85, 65.136, 9.741),
            (3, 10, 6, 45, 45, 46.400, 2.727),
            (8, 5, 3, 60, 25, 128.418, 1.622),
        )
    ),
]


@pytest.mark.parametrize("crank", INVERTED)
def test_inverted_slider_crank_the_books_own_arithmetic(crank: InvertedSliderCrank) -> None:
    same = [
        theta4
        for theta4 in crank.angles(crank.theta2)
        if abs((theta4 - crank.theta4 + 180) % 360 - 180) <= crank.within[0]
    ]
    assert len(same) == 1
    assert abs(crank.slide(crank.theta2, same[0])) == pytest.approx(crank.b, abs=crank.within[1])


def test_inverted_slider_crank_of_the_example_on_its_other_circuit() -> None:
    crank = InvertedSliderCrank(6, 2, 4, 90, 30, 142.67, 1.79, (0.01, 0.01))
    others = [theta4 for theta4 in crank.angles(30) if theta4 < 0]
    assert others == [pytest.approx(-169.04, abs=0.01)]


@pytest.mark.parametrize("other_circuit", [False, True])
@pytest.mark.parametrize("crank", INVERTED)
def test_inverted_slider_crank_as_a_strut(crank: InvertedSliderCrank, other_circuit: bool) -> None:
    def nearest(theta2: float, wanted: float) -> float:
        return min(crank.angles(theta2), key=lambda t: abs((t - wanted + 180) % 360 - 180))

    theta4 = nearest(crank.theta2, crank.theta4)
    if other_circuit:
        (theta4,) = (t for t in crank.angles(crank.theta2) if t != theta4)
    drawn2 = crank.theta2 - DRAWN_BEFORE_DEG
    drawn4 = nearest(drawn2, theta4)
    pin = polar(crank.a, drawn2)
    foot = pin - polar(crank.c, drawn4)
    # The foot lies on a line through O4 at the angle gamma to the leg c.
    assert abs(foot - crank.d) == pytest.approx(abs(crank.slide(drawn2, drawn4)))
    linkage = Strut(point(0j), point(pin), point(crank.d + 0j), point(foot))
    rise = polar(crank.a, crank.theta2).imag - pin.imag
    motion = to_the_pin(linkage, pin, crank.d + 0j, rise)
    assert motion.strut_lower is not None
    assert motion.strut_length_mm is not None
    leg = motion.ball_joint - motion.strut_lower
    same_angle(float(motion.arm_angle_deg), crank.theta2, 1e-9)
    same_angle(angle_of(complex(leg[0], leg[1])), theta4, 1e-9)
    assert float(motion.strut_length_mm) == pytest.approx(
        abs(crank.slide(crank.theta2, theta4)), abs=1e-9
    )
    if not other_circuit:
        same_angle(angle_of(complex(leg[0], leg[1])), crank.theta4, crank.within[0])
        assert float(motion.strut_length_mm) == pytest.approx(crank.b, abs=crank.within[1])


def shaft_on(pin: complex, length: float, height: float) -> float:
    """Plunge of a shaft from a crank's pin to a level housing axis at a height, mm."""
    # Equal and parallel arms: every point of the knuckle moves as the ball joint does.
    arm, drawn = abs(pin), polar(abs(pin), angle_of(pin) - DRAWN_BEFORE_DEG)
    linkage = Wishbones(point(0j), point(drawn), (0.0, arm, 0.0), point(drawn + arm * 1j))
    hub = Hub(point(drawn), point(drawn + 10.0))
    joint = InnerJoint((0.0, height, 0.0), 200.0, 200.0, 60.0)
    motion = solve(linkage, hub, pin.imag - drawn.imag)
    np.testing.assert_allclose(motion.outer_joint[:2], (pin.real, pin.imag), atol=1e-9)
    shaft = follow(
        Corner(linkage, hub, Travel(0.0, 0.0), Shaft(joint, OuterJoint(60.0), length)), motion
    )
    return float(shaft.plunge_mm)


def test_slider_crank_the_books_own_arithmetic() -> None:
    for theta3, d in ((152.91, 126.84), (27.09, -86.84)):
        misfit = polar(40, 60) - polar(120, theta3) - d - -20j
        # Half of the last digits printed: 0.005 in d, and 0.005 degrees at the radius 120.
        assert abs(misfit) < 0.005 + math.radians(0.005) * 120


def test_slider_crank_as_a_shaft_on_its_housing_axis() -> None:
    # The inner joint is inboard of the outer one: the circuit that the book calls crossed.
    assert shaft_on(polar(40, 60), 120, -20) == pytest.approx(-86.84, abs=0.005)
    # The open one, seen from behind.  Arms that point inboard rise all the same.
    assert shaft_on(-polar(40, 60).conjugate(), 120, -20) == pytest.approx(-126.84, abs=0.005)


@pytest.mark.parametrize(
    ("angle_deg", "shortening_mm"),
    [(5, 1.52212), (10, 6.07690), (15, 13.62967), (20, 24.12295)],
)
def test_projected_shortening_of_a_shaft(angle_deg: float, shortening_mm: float) -> None:
    # Elementary trigonometry, L (1 - cos theta) for L = 400.
    assert 400 * (1 - math.cos(math.radians(angle_deg))) == pytest.approx(shortening_mm, abs=5e-6)
    pin = complex(400, 400 * math.sin(math.radians(angle_deg)))
    assert shaft_on(pin, 400, 0.0) == pytest.approx(shortening_mm, abs=5e-6)


def crossing(one: Array, one_way: Array, other: Array, other_way: Array) -> Array:
    """Where two lines of the front view meet."""
    lengths = np.linalg.solve(np.stack((one_way, -other_way), axis=-1), other - one)
    return np.asarray(one + one_way * lengths[0])


@given(corner=strategies.corners(depth=False), travel=strategies.hundredths(-60, 60))
def test_instant_centre_by_aronhold_and_kennedy(corner: Corner, travel: float) -> None:
    """Body, arm and knuckle: their three instant centres lie on one line, for each arm."""
    motion = solve(corner.linkage, corner.hub, travel)
    if not bool(motion.in_reach):
        return
    ball = motion.ball_joint[:2]
    if isinstance(corner.linkage, Strut):
        assert motion.strut_lower is not None
        pivot, top = np.array(corner.linkage.arm_pivot[:2]), np.array(corner.linkage.strut_top[:2])
        # The strut turns in and slides through its top: a slider, whose centre with the body
        # lies square to its sliding axis.
        slide = top - motion.strut_lower[:2]
        upper_way = np.array([-slide[1], slide[0]])
    else:
        assert isinstance(corner.linkage, Wishbones)
        pivot = np.array(corner.linkage.lower_pivot[:2])
        top = motion.steering_top[:2]
        upper_way = top - np.array(corner.linkage.upper_pivot[:2])
    lower_way = ball - pivot
    sine = abs(float(np.cross(np.append(lower_way, 0), np.append(upper_way, 0))[2]))
    if sine < 0.01 * float(np.linalg.norm(lower_way) * np.linalg.norm(upper_way)):
        return  # Nearly parallel: the centre is too far away to compare in millimetres.
    meeting = crossing(pivot, lower_way, top, upper_way)
    np.testing.assert_allclose(motion.instant_centre[:2], meeting, rtol=1e-9, atol=1e-6)
    # Roll centre: on the centreline, in line with the tyre's contact and the instant centre.
    wheel, hub = motion.wheel_centre, motion.hub_axis
    drawn = np.subtract(corner.hub.wheel_centre, corner.hub.outer_joint)
    radius = corner.hub.wheel_centre[1] / abs(drawn[0]) * float(np.linalg.norm(drawn))
    contact = wheel[:2] + radius * np.array([hub[1], -hub[0]])
    on_centreline = crossing(contact, meeting - contact, np.zeros(2), np.array([0.0, 1.0]))
    np.testing.assert_allclose(motion.roll_centre_up_mm, on_centreline[1], rtol=1e-8, atol=1e-5)
