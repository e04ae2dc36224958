"""A photo read from its file: JPEG or PNG, upright as its camera says."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from sketcher.answers.photo_plane import USUAL_FOCAL_MM
from sketcher.words.plain import Refused

MOST_PIXELS: Final = 50_000_000
KINDS = ("JPEG", "PNG")


class PhotoError(Refused):
    """A photo that cannot be shown; the text says in one line why."""


@dataclass(frozen=True, slots=True, eq=False)
class PhotoFile:
    """A photo's pixels, and the focal length on 36 × 24 mm film that gives its view, mm."""

    image: Image.Image
    focal_mm: float


def read_photo(path: Path) -> PhotoFile:
    """The photo in a file, turned upright.

    Raises PhotoError where there is none, or one that is no JPEG or PNG, broken, or of
    more than 50 million pixels.
    """
    try:
        with warnings.catch_warnings():
            # Our own limit is told in our own words.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(path, formats=KINDS) as file:
                width, height = file.size
                if width * height > MOST_PIXELS:
                    raise PhotoError(
                        f"{path.name}: expected up to {MOST_PIXELS // 1_000_000} million pixels, "
                        f"got {width}×{height}"
                    )
                exif = file.getexif()
                upright = ImageOps.exif_transpose(file).convert("RGB")
    except UnidentifiedImageError as error:
        raise PhotoError(f"{path.name}: expected a JPEG or PNG picture") from error
    except OSError as error:
        reason = error.strerror or "the picture is broken"
        raise PhotoError(f"{path.name}: cannot be read: {reason}") from error
    except (ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PhotoError(f"{path.name}: cannot be read: the picture is broken") from error
    return PhotoFile(upright, _focal_mm(exif))


def _focal_mm(exif: Image.Exif) -> float:
    """What the camera wrote down, or that of a usual phone."""
    told = exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm)
    return float(told) if isinstance(told, int | float) and 8 <= told <= 800 else USUAL_FOCAL_MM
