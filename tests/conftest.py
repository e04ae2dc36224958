"""What every test runs under: no screen unless asked for, no user's folders, no quiet skips."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import hypothesis
import pytest

from kinematics.linkage.motion import Motion
from kinematics.shaft.whole_motion import examine
from kinematics.sure.certainty import Certainty, certainty
from kinematics.sure.correlated import Correlated
from sketcher.answers.fitted import trial_in_scene
from sketcher.answers.sure import by_tape_alone

# Before anything imports pygame: tests draw into memory and make no sound.
os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
# The screen's library would keep a test run from being ended.
os.environ.setdefault("SDL_NO_SIGNAL_HANDLERS", "1")

ON_CI = os.environ.get("CI", "").lower() in {"1", "true"}

# The only reasons for which a test may stay out of a run with CI=true: another platform's.
PLATFORM_SKIPS = ("only on Windows", "only on macOS")

# Test modules that drive the whole of commands and paper over and over.
NOT_COUNTED = {
    *("test_command_certainty", "test_command_line", "test_command_picture"),
    *("test_command_points", "test_shop_sheet", "test_verdict"),
}

# A loaded machine is slow, not wrong, so no deadline; on CI the same draws each time.
hypothesis.settings.register_profile(
    "project", deadline=None, print_blob=True, derandomize=ON_CI, max_examples=40
)
# By hand, before a release: --hypothesis-profile=thorough.
hypothesis.settings.register_profile("thorough", deadline=None, print_blob=True, max_examples=1000)
hypothesis.settings.load_profile("project")


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep autosaves and settings of a test run out of the user's own folders."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("STATE", "CONFIG", "DATA", "CACHE"):
            patch.setenv(f"XDG_{name}_HOME", str(tmp_path_factory.mktemp(name.lower())))
        yield


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Count no lines where the whole program is driven, or our own output is compared.

    Counting makes such a test half as slow again, and tells nothing that the tests of the
    mechanics and of the scene file do not.  Where it is asked which test passes through what,
    every test counts.
    """
    if config.getoption("cov_context", None):
        return
    for item in items:
        module = getattr(item, "module", None)
        whole = hasattr(module, "Hands") or hasattr(module, "now_and_before")
        if whole or item.path.stem in NOT_COUNTED:
            item.add_marker(pytest.mark.no_cover)


def _reason(longrepr: object) -> str:
    if isinstance(longrepr, tuple):
        return str(longrepr[2]).removeprefix("Skipped: ")
    return str(longrepr)


def _refuse_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    """Turn a skip that hides a check into the failure that it is."""
    if not ON_CI or report.outcome != "skipped" or hasattr(report, "wasxfail"):
        return
    reason = _reason(report.longrepr)
    if reason not in PLATFORM_SKIPS:
        report.outcome = "failed"
        report.longrepr = f"skipped with CI=true, where everything has to run: {reason}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,  # noqa: ARG001  (the hook passes arguments by name)
    call: pytest.CallInfo[None],  # noqa: ARG001
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Fail a test that skipped itself where it has to run."""
    report = yield
    _refuse_skip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,  # noqa: ARG001
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Fail a module that skipped itself where it has to run."""
    report = yield
    _refuse_skip(report)
    return report


P = ParamSpec("P")
R = TypeVar("R")


def _key(value: Any) -> Any:
    """What an argument is known by: results that hold arrays by what is in them."""
    if isinstance(value, Correlated):
        return value.coordinates, value.covariance_mm2.tobytes()
    if isinstance(value, Motion):
        return value.travel_mm.tobytes(), value.steer_deg.tobytes()
    return value


def _once(answer: Callable[P, R]) -> Callable[P, R]:
    known: dict[Any, R] = {}

    @functools.wraps(answer)
    def told(*given: P.args, **named: P.kwargs) -> R:
        key = (tuple(map(_key, given)), tuple((name, _key(named[name])) for name in sorted(named)))
        if key not in known:
            known[key] = answer(*given, **named)
        return known[key]

    return told


certainty_once = _once(certainty)


@pytest.fixture(scope="session", autouse=True)
def _answered_once() -> Iterator[None]:
    """Work out once what many tests ask: what it hangs on is immutable, and so is the answer."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sketcher.answers.sure.certainty", certainty_once)
        examined = _once(examine)
        for user in ("answers.corner_answers", "commands.answering"):
            patch.setattr(f"sketcher.{user}.examine", examined)
        fitted = _once(trial_in_scene)
        for user in ("answers.fitted", "commands.trial", "window.steps.trial_step"):
            patch.setattr(f"sketcher.{user}.trial_in_scene", fitted)
        yield


@pytest.fixture
def few_draws(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Weigh every length by a few draws: quick where the chance is far from what is wanted."""

    def quick(*given: Any, **named: Any) -> Certainty:
        return certainty_once(*given, **named | {"draws": 300})

    monkeypatch.setattr("sketcher.answers.sure.certainty", quick)
    by_tape_alone.cache_clear()
    yield
    by_tape_alone.cache_clear()


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout's folder."""
    return Path(__file__).resolve().parent.parent
