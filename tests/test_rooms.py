"""Arrows go one way: between the rooms of every package, and from module to module inside them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

# From the top down.  A room may use those further down; a module uses the narrowest room it is in.
ROOMS = (
    "sketcher.__main__",
    "sketcher.window.screen",
    "sketcher.window.steps",
    "sketcher.window.model",
    "sketcher.window",
    "sketcher.commands",
    "sketcher.paper",
    "sketcher.interchange",
    "sketcher.drawing",
    "sketcher.answers",
    "sketcher.words",
    "sketcher",
    "scenes",
    "kinematics.making",
    "kinematics.sure",
    "kinematics.shaft",
    "kinematics.gaps",
    "kinematics.linkage",
    "kinematics",
)

# Those that are still there; an empty set is what this is for.
BREACHES: set[tuple[str, str]] = set()


def module_names(root: Path) -> dict[str, Path]:
    found = {}
    for package in ("kinematics", "scenes", "sketcher"):
        for path in (root / package).rglob("*.py"):
            parts = path.relative_to(root).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(path: Path, names: set[str]) -> Iterator[str]:
    """Modules of ours that a file imports anywhere, but for those that only its types need."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in names)
        elif isinstance(node, ast.ImportFrom) and node.module in names:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if inner in names else node.module


@pytest.fixture(scope="module")
def arrows(root: Path) -> dict[str, set[str]]:
    names = module_names(root)
    return {name: set(imported(path, set(names))) - {name} for name, path in sorted(names.items())}


def room(module: str) -> str:
    inside = (place for place in ROOMS if module == place or module.startswith(place + "."))
    return max(inside, key=len)


def test_every_room_has_something_in_it(arrows: dict[str, set[str]]) -> None:
    assert {room(name) for name in arrows} == set(ROOMS)


def test_rooms_use_only_what_lies_below_them(arrows: dict[str, set[str]]) -> None:
    found = {
        (user, used)
        for user, all_used in arrows.items()
        for used in all_used
        if ROOMS.index(room(used)) < ROOMS.index(room(user))
    }
    assert found == BREACHES


def test_no_module_is_imported_by_what_it_imports(arrows: dict[str, set[str]]) -> None:
    try:
        TopologicalSorter(arrows).prepare()
    except CycleError as error:
        pytest.fail(" -> ".join(error.args[1]))


# How a scene writes where something is; the mechanics know parts and fields.
PATH = re.compile(
    r"\b(shafts|linkage|position|hub|travel|steering|gearbox|tape|trial|reading|mark|bracket|drive|"
    r"lathe|strut_tube|arm)(\[|\.[a-z*])"
)


def test_the_mechanics_know_no_path_of_a_scene(root: Path) -> None:
    modules = {name.removeprefix("kinematics.") for name in module_names(root)}
    found = []
    for path in sorted((root / "kinematics").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        said = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        found += [
            f"{path.relative_to(root)}:{node.lineno}: {node.value}"
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in said
            and node.value not in modules
            and PATH.search(node.value)
        ]
    assert found == []
