"""Lengths as a person shows and types them: mm, or inches with fractions to 1/64.

Inside the program and in files every length is mm.
"""

from __future__ import annotations

import math
import re
from typing import Literal

Unit = Literal["mm", "in"]
Rounding = Literal["nearest", "up", "down"]
UNITS: tuple[Unit, ...] = ("mm", "in")
MM_PER_INCH = 25.4
FINEST_FRACTION = 64
LARGEST_MM = 1e5

_MM_PER: dict[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
_SPELLINGS = {
    '"': "in", "''": "in", "in": "in", "inch": "in", "inches": "in",
    "mm": "mm", "cm": "cm", "m": "m",
}  # fmt: skip
# Primes, quotes, the minus and the fraction slash as keyboards and copied texts have them.
_TYPED_ALIKE = str.maketrans("\u2033\u201d\u201c\u2032\u2019\u2212\u2044", '"""\'\'-/')
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_FRACTION = r"\d+ ?/ ?\d+"
_LENGTH = re.compile(
    rf"(?:(?P<feet>{_NUMBER}) ?(?:'(?!')|ft|foot|feet) ?)?"
    rf"(?:(?:(?P<whole>\d+)[ -])?(?P<fraction>{_FRACTION})|(?P<number>{_NUMBER}))?"
    rf" ?(?P<unit>''|\"|[a-z]+)?",
    re.ASCII,
)


# What was got without a unit is in mm.
_IN_MM = re.compile(r"\bexpected mm\b(?!.*\bgot\b)")
_SAID_MM = re.compile(r"(?<![\w.])([+−-]?)(\d+(?:\.\d+)?) mm(?![\w/])")
# Of two with one unit behind them, the first.
_FROM_MM = re.compile(r"(?<![\w.])([+−-]?)(\d+(?:\.\d+)?)(?= to [+−-]?\d+(?:\.\d+)? mm(?![\w/]))")


class LengthError(ValueError):
    """A text that is no length; says in one line what was typed and what would be right."""


def parse_length(text: str, unit: Unit = "mm") -> float:
    """The length typed, in mm.

    A number without a unit is in ``unit``.  Understood are ``38.5``, ``34.9 mm``,
    ``1.375 in``, ``1 3/8"``, ``1-3/8 in``, ``3' 2"`` and a sign before it all.
    Raises LengthError.

    >>> parse_length('1 3/8"')
    34.925
    """
    whole = " ".join(text.translate(_TYPED_ALIKE).lower().split())
    for sign, spelt in _VULGAR.items():
        whole = whole.replace(sign, f" {spelt}")
    whole = " ".join(whole.split())
    negative = whole.startswith("-")
    rest = whole[1:].strip() if whole[:1] in ("-", "+") and whole else whole
    if not rest:
        raise _expected(text)
    value = _total(rest, text, unit)
    if not math.isfinite(value) or value > LARGEST_MM:
        most = format_length(LARGEST_MM, unit, digits=0, rounding="down")
        raise LengthError(f'expected a length below {most}, got "{text.strip()}"')
    return -value if negative else value


def parse_travel(text: str, unit: Unit = "mm") -> float:
    """A travel, mm: with its sign, or as on paper ``60 droop``, ``bump 50``, ``ride height``.

    Raises LengthError.

    >>> parse_travel("60 droop"), parse_travel("bump 50"), parse_travel("-60")
    (-60.0, 50.0, -60.0)
    """
    plain = " ".join(text.lower().split()).removeprefix("at ")
    if plain == "ride height":
        return 0.0
    named = re.fullmatch(r"(?:(droop|bump) (.+)|(.+?) ?(droop|bump))", plain)
    if named is None:
        return parse_length(plain, unit)
    size = parse_length(named[2] or named[3], unit)
    if size < 0.0:
        raise LengthError(f'expected a sign or a word such as -60 or 60 droop, got "{text}"')
    return -size if "droop" in (named[1], named[4]) else size


def _total(rest: str, text: str, unit: Unit) -> float:
    match = _LENGTH.fullmatch(rest)
    if match is None or not (match["feet"] or match["number"] or match["fraction"]):
        raise _expected(text)
    named = match["unit"]
    if named is not None and named not in _SPELLINGS:
        raise LengthError(f'expected mm or inches, got "{named}" in "{text.strip()}"')
    feet, inches = match["feet"], match["number"] or match["fraction"]
    if feet and named and (_SPELLINGS[named] != "in" or not inches):
        raise _expected(text)
    of = _SPELLINGS[named] if named else ("in" if feet else unit)
    total = _decimal(feet) * 12.0 * MM_PER_INCH if feet else 0.0
    if match["number"]:
        return total + _decimal(match["number"]) * _MM_PER[of]
    if match["fraction"]:
        if of != "in":
            hint = "mm have no fractions" if named else 'write inches as 1 3/8"'
            raise LengthError(f'expected a decimal number, got "{text.strip()}"; {hint}')
        total += (int(match["whole"] or 0) + _fraction(match, text)) * MM_PER_INCH
    return total


def _decimal(number: str) -> float:
    if re.fullmatch(r"\d+,\d{3}", number):
        raise LengthError(f'expected a decimal point: "{number}" can be read in two ways')
    return float(number.replace(",", "."))


def _fraction(match: re.Match[str], text: str) -> float:
    above, below = (int(part) for part in match["fraction"].split("/"))
    if below == 0 or (match["whole"] and above >= below):
        raise LengthError(f'expected a fraction below 1 after the inches, got "{text.strip()}"')
    return above / below


def _expected(text: str) -> LengthError:
    got = f'"{text.strip()}"' if text.strip() else "nothing"
    return LengthError(f'expected a length such as 38.5 or 1 3/8", got {got}')


def format_length(
    mm: float,
    unit: Unit = "mm",
    *,
    digits: int | None = None,
    signed: bool = False,
    named: bool = True,
    rounding: Rounding = "nearest",
) -> str:
    """A length to be read: ``391.0 mm`` or ``15.394 in``.

    ``digits`` after the point are 1 for mm and 3 for inches where not given; mm that a lathe
    is set to, in steps of 0.05, are written out: ``190.05 mm``.
    ``signed`` writes a plus; a true minus is used, and none before zero.
    ``named`` False leaves the unit out.
    """
    places = (3 if unit == "in" else _mm_places(mm)) if digits is None else digits
    value = rounded(mm / MM_PER_INCH if unit == "in" else mm, places, rounding)
    text = f"{value:+.{places}f}" if signed else f"{value:.{places}f}"
    if float(text) == 0.0:
        text = f"{0:.{places}f}"
    text = text.replace("-", "−")
    return f"{text} {unit}" if named else text


def in_unit(text: str, unit: Unit) -> str:
    """What the mechanics say in mm, its lengths in the unit that is shown; names in quotes stay.

    >>> in_unit('expected 254 mm or more to "5 mm plate"', "in")
    'expected 10.000 in or more to "5 mm plate"'
    """
    if unit == "mm":
        return text

    def said(found: re.Match[str], *, named: bool = True) -> str:
        sign, size = found.groups()
        mm = float(size) if sign in ("", "+") else -float(size)
        return format_length(mm, unit, signed=bool(sign), named=named)

    def whole(part: str) -> str:
        part = _FROM_MM.sub(lambda found: said(found, named=False), part)
        return _IN_MM.sub("expected inches", _SAID_MM.sub(said, part))

    parts = text.split('"')
    parts[::2] = map(whole, parts[::2])
    return '"'.join(parts)


def _mm_places(mm: float) -> int:
    twentieths = mm * 20.0
    return 2 if abs(twentieths - round(twentieths)) < 1e-6 and round(twentieths) % 2 else 1


def format_fraction(
    mm: float, finest: int = FINEST_FRACTION, rounding: Rounding = "nearest"
) -> str:
    """A length as the nearest inch fraction, or the next one up or down: ``15 11/16"``.

    >>> format_fraction(398.4625)
    '15 11/16"'
    """
    parts = int(rounded(mm / MM_PER_INCH * finest, 0, rounding))
    sign = "−" if parts < 0 else ""
    parts = abs(parts)
    whole, over = divmod(parts, finest)
    if not over:
        return f'{sign}{whole}"'
    common = math.gcd(over, finest)
    fraction = f"{over // common}/{finest // common}"
    return f'{sign}{whole} {fraction}"' if whole else f'{sign}{fraction}"'


def format_both(mm: float, unit: Unit = "mm", rounding: Rounding = "nearest") -> str:
    """A length, in inches with the fraction beside it: ``15.394 in (15 25/64")``."""
    text = format_length(mm, unit, rounding=rounding)
    return f"{text} ({format_fraction(mm, rounding=rounding)})" if unit == "in" else text


def format_number(value: float, digits: int, rounding: Rounding = "nearest") -> str:
    """A number to be read, rounded to the side that is safe where it is shown.

    >>> format_number(0.949, 2, "down"), format_number(14.01, 1, "up")
    ('0.94', '14.1')
    """
    return f"{rounded(value, digits, rounding):.{digits}f}"


def format_angle(degrees: float) -> str:
    """An angle to a tenth of a degree, never smaller than it is: ``14.5°``."""
    return f"{format_number(degrees, 1, 'up')}°"


def rounded(value: float, places: int, rounding: Rounding) -> float:
    """The one rounding of everything that is shown: to the nearest, or to the safe side."""
    if rounding == "nearest":
        return round(value, places)
    scale = 10.0**places
    scaled = value * scale
    # What is written exactly already stays, whatever its last binary digit.
    nearest = round(scaled)
    if abs(scaled - nearest) < 1e-9 * max(1.0, abs(scaled)):
        return nearest / scale
    return (math.ceil(scaled) if rounding == "up" else math.floor(scaled)) / scale


def typed_length(mm: float, unit: Unit = "mm") -> str:
    """A length as it stands in a field: short, and read back as it was to 0.0005 mm.

    >>> typed_length(38.5), typed_length(34.925, "in")
    ('38.5', '1.375')
    """
    text = f"{mm / MM_PER_INCH:.5f}" if unit == "in" else f"{mm:.3f}"
    text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
