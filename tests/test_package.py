"""The installed package works away from the checkout, and imports go one way only."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

import sketcher
from tests.waiting import PATIENCE_SECONDS

PACKAGES = ("kinematics", "scenes", "sketcher")
MODULE_OF = {"pillow": "PIL", "pygame-ce": "pygame"}
MAY_IMPORT = {
    "kinematics": {"numpy", "scipy", "shapely"},
    "scenes": {"kinematics", "numpy", "shapely", "tomlkit", "ezdxf"},
}
TOUCHES_THE_WORLD = {"io", "logging", "os", "pathlib", "shutil", "subprocess", "sys", "tempfile"}


def imports(source: Path) -> Iterator[str]:
    """Top-level names of every absolute import in a file, those inside functions too."""
    for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{source}: relative import"
            yield (node.module or "").partition(".")[0]


def imported_by(root: Path, package: str) -> set[str]:
    found = {name for path in (root / package).rglob("*.py") for name in imports(path)}
    return found - {package}


def test_kinematics_imports_neither_scenes_nor_sketcher(root: Path) -> None:
    assert not imported_by(root, "kinematics") & {"scenes", "sketcher"}


def test_scenes_does_not_import_sketcher(root: Path) -> None:
    assert "sketcher" not in imported_by(root, "scenes")


@pytest.mark.parametrize("package", sorted(MAY_IMPORT))
def test_third_party_imports_of_the_lower_packages(package: str, root: Path) -> None:
    assert imported_by(root, package) - sys.stdlib_module_names <= MAY_IMPORT[package]


def test_kinematics_touches_no_file_and_no_stream(root: Path) -> None:
    assert not imported_by(root, "kinematics") & TOUCHES_THE_WORLD


def test_every_dependency_is_declared_and_used(root: Path) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = [re.split(r"[<>=!~ ;\[]", line)[0] for line in project["dependencies"]]
    declared = {MODULE_OF.get(name, name.replace("-", "_")) for name in names}
    used = {name for package in PACKAGES for name in imported_by(root, package)}
    assert declared == used - sys.stdlib_module_names - set(PACKAGES)


IMPORT_ALL = """
import importlib, json, pkgutil, sys
import {package}
for module in pkgutil.walk_packages({package}.__path__, "{package}."):
    importlib.import_module(module.name)
print(json.dumps(sorted(name for name in sys.modules if "." not in name)))
"""


def loaded_with(package: str, root: Path) -> set[str]:
    result = subprocess.run(
        [sys.executable, "-c", IMPORT_ALL.format(package=package)],
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
    )
    assert result.stdout.count("\n") == 1, "importing prints nothing of its own"
    return set(json.loads(result.stdout))


def test_importing_all_of_kinematics_loads_no_window_and_no_files(root: Path) -> None:
    loaded = loaded_with("kinematics", root)
    assert "kinematics" in loaded
    assert not loaded & {"pygame", "pygame_gui", "tomlkit", "scenes", "sketcher", "reportlab"}
    # Half of the command's start-up time: whoever fits imports it where it is used.
    assert "scipy" not in loaded


def test_importing_all_of_scenes_loads_no_window(root: Path) -> None:
    assert not loaded_with("scenes", root) & {"pygame", "pygame_gui", "sketcher", "reportlab"}


# ---- the wheel, in an empty environment --------------------------------------------------


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the source archive as an index would have it."""
    out = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(root)],
        check=True,
        capture_output=True,
    )
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def scripts(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the commands are in a new environment that holds the wheel and nothing else of ours.

    The libraries come from the running interpreter through a path file.  Path files of that
    folder itself, an editable install of the checkout among them, are not followed from there.
    """
    home = tmp_path_factory.mktemp("empty")
    venv.create(home, with_pip=False)
    variables = {"base": str(home), "platbase": str(home)}
    commands = Path(sysconfig.get_path("scripts", "venv", vars=variables))
    library = Path(sysconfig.get_path("purelib", "venv", vars=variables))
    python = commands / Path(sys.executable).name
    if not python.exists():
        python = commands / "python"
    install = ["-m", "pip", "--python", str(python), "install", "--no-deps", "--no-index"]
    subprocess.run([sys.executable, *install, str(wheel)], check=True, capture_output=True)
    theirs = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (library / "libraries.pth").write_text("\n".join(sorted(theirs)), encoding="utf-8")
    return commands


def run(
    scripts: Path, where: Path, *arguments: str, script: str = "python"
) -> subprocess.CompletedProcess[str]:
    """Run a command of the new environment from a folder that is not the checkout."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    return subprocess.run(
        [str(scripts / script), *arguments],
        cwd=where,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )


def test_wheel_holds_code_examples_and_licence_and_nothing_else(wheel: Path, root: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    folders = {name.partition("/")[0] for name in names}
    assert {name for name in folders if not name.endswith(".dist-info")} == set(PACKAGES)
    assert any(name.endswith("licenses/LICENSE") for name in names)
    in_checkout = {
        path.relative_to(root).as_posix()
        for package in PACKAGES
        for path in (root / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert in_checkout <= names
    assert any(re.fullmatch(r"scenes/examples/[^/]+\.toml", name) for name in names)


def test_modules_come_from_the_wheel(scripts: Path, tmp_path: Path) -> None:
    code = "import kinematics, scenes, sketcher as s; print(kinematics.__file__, s.__file__)"
    result = run(scripts, tmp_path, "-c", code)
    assert result.returncode == 0, result.stderr
    assert all(str(scripts.parent) in place for place in result.stdout.split())


@pytest.mark.parametrize("script", ["python", "sketcher"])
def test_installed_commands_help_and_tell_their_version(
    script: str, scripts: Path, tmp_path: Path
) -> None:
    module = ("-m", "sketcher") if script == "python" else ()
    shown = run(scripts, tmp_path, *module, "--help", script=script)
    assert shown.returncode == 0, shown.stderr
    assert all(word in shown.stdout for word in ("table", "report"))
    version = run(scripts, tmp_path, *module, "--version", script=script)
    assert version.returncode == 0, version.stderr
    assert sketcher.__version__ in version.stdout


def test_every_example_is_found_by_name_and_answered(
    scripts: Path, tmp_path: Path, root: Path
) -> None:
    names = sorted(path.stem for path in (root / "scenes" / "examples").glob("*.toml"))
    assert len(names) >= 4
    for name in names:
        result = run(
            scripts, tmp_path, "-m", "sketcher", "table", "--example", name, "--step", "50"
        )
        assert result.returncode == 0, result.stderr
        assert result.stdout.startswith("travel_mm"), name
    result = run(scripts, tmp_path, "-m", "sketcher", "report", "--example", names[0], "--json")
    assert result.returncode in {0, 1}, result.stderr
    assert json.loads(result.stdout)["sides"]


def test_no_command_writes_json_that_holds_a_number_that_is_none() -> None:
    written = 0
    for path in (Path(sketcher.__file__).parent / "commands").rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) in ("json.dumps", "json.dump"):
                written += 1
                words = {word.arg: ast.unparse(word.value) for word in call.keywords}
                assert words.get("allow_nan") == "False", path.name
    assert written == 1  # every command answers through the one that is in `common`
