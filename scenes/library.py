"""The example scenes that are installed with the package, found by name."""

from __future__ import annotations

from pathlib import Path

from scenes.errors import unreadable
from scenes.model import Scene
from scenes.reading import parse_scene

_FOLDER = Path(__file__).parent / "examples"
_ENDING = ".toml"


def example_names() -> tuple[str, ...]:
    """The names of the examples, the first one first."""
    names = sorted(path.stem for path in _FOLDER.glob(f"*{_ENDING}"))
    # The plain case is the one to start from.
    return tuple(sorted(names, key=lambda name: (not name.startswith("van-front"), name)))


def example_text(name: str) -> str:
    """The text of an example.

    Raises SceneError where there is none of that name.
    """
    if name not in example_names():
        names = ", ".join(example_names())
        raise unreadable(f'no example "{name}"; expected one of {names}', "")
    return (_FOLDER / f"{name}{_ENDING}").read_text(encoding="utf-8")


def example(name: str) -> Scene:
    """An example scene.

    Raises SceneError where there is none of that name.
    """
    return parse_scene(example_text(name), name)
