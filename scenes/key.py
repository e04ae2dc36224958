"""A key of the scene file: what a person has to know of it, and which field it feeds."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

# Tables of the file: each with the part that it feeds, and for each key a row of its word and
# what else a Key has, in the same order.
Tables = tuple[tuple[str, type, tuple[tuple[str, ...], ...]], ...]


@dataclass(frozen=True, slots=True)
class Key:
    """What a key means.

    ``unit`` is empty for words and plain numbers; ``about`` says of what ("from mid-stroke
    to bottoming").  ``called``: its name for people where that is not its word.  ``part`` is
    the class of the mechanics that it feeds, and ``field`` its field there.  ``form`` says
    how its value is written where the field's type does not tell.
    """

    path: str
    part: type
    help: str = ""
    unit: str = ""
    about: str = ""
    called: str = ""
    form: str = ""
    of: str = ""

    @property
    def word(self) -> str:
        """Its own word in the file."""
        return self.path.rpartition(".")[2].removesuffix("[]")

    @property
    def name(self) -> str:
        """Its name for people."""
        return self.called or self.word.replace("_", " ")

    @property
    def field(self) -> str:
        """The field of the part."""
        return self.of or {"from": "from_"}.get(self.word, self.word)

    @property
    def held(self) -> tuple[Any, tuple[Any, ...], object]:
        """What the field holds where it holds something, of what that is made, and its default."""
        default = next(one.default for one in fields(self.part) if one.name == self.field)
        return *held_by(type_hints(self.part)[self.field]), default

    @property
    def expected(self) -> str:
        """What is expected of the number: "mm from mid-stroke to bottoming"."""
        return " ".join(word for word in (self.unit, self.about) if word)


@cache
def type_hints(part: type) -> Mapping[str, Any]:
    """The types of a part's fields."""
    # Annotations are kept as text and compiled at each look.
    return typing.get_type_hints(part)


def held_by(hint: Any) -> tuple[Any, tuple[Any, ...]]:
    """What a field of this type holds where it holds something, and of what that is made."""
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        hint = next(one for one in typing.get_args(hint) if one is not types.NoneType)
    return typing.get_origin(hint) or hint, typing.get_args(hint)
