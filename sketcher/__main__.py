"""The command line: a scene opens the window, a command answers and ends."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import NoReturn, TextIO

from kinematics.errors import KinematicsError
from scenes.errors import SceneError
from sketcher import __version__
from sketcher.commands.console import UNUSABLE, CommandError, complain, spell_out
from sketcher.words.plain import Refused, printable

# Each is a module of `sketcher.commands`; only the one that is asked for is loaded.
COMMANDS = {
    "report": "the answer on one screen",
    "table": "the swept-length table as CSV",
    "points": "the points by what was read off the car, and what to read next",
    "certainty": "how sure the length is, and what to measure again",
    "trial": "a trial fit in the car against what the points predict",
    "placement": "where to weld the gearbox mounts that are only tacked",
    "donors": "all pairs of the donors that are listed, the best first",
    "cuts": "where to cut both donors, what to turn and bore, in which order",
    "strength": "whether the finished shaft carries its torque",
    "runout": "after welding: runout, balance and length, good enough or not",
    "picture": "the sketch as PNG, or as SVG to scale",
    "sheet": "the shop sheet for the bench, as a PDF",
    "trim": "a bracket trimmed until its wanted gap is left",
    "template": "a bracket's outline at full size, for paper or a cutting table",
    "outline": "a bracket's outline taken from a DXF or SVG drawing",
}
# What a command wants besides the scene.
_FURTHER = {"outline": " FILE"}


def _listed() -> str:
    uses = {name: f"sketcher {name} SCENE{_FURTHER.get(name, '')}" for name in COMMANDS}
    lines = (f"  {uses[name]:<28} {says}" for name, says in COMMANDS.items())
    return "\n".join(lines)


DESCRIPTION = f"""\
How long a home-made drive shaft has to be, and where it bottoms, pulls apart,
bends too far or touches.

  {"sketcher [SCENE]":<28} open the window on a scene (without one: on the first example)
{_listed()}

A scene is a TOML file: one axle, measured from the floor and the car's centreline.
`sketcher COMMAND --help` tells more of each command.
"""
CAUTIONS = """\
The tool computes from the points that were measured; it has not seen the car. A coil spring
under load can kill: use a spring compressor, and axle stands under the car. A welded shaft
is a rotating part: have it welded and checked by somebody qualified, and keep to local codes.
"""


class Parser(argparse.ArgumentParser):
    """A parser whose complaints hold no word that would move a terminal's cursor."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong, and end with 2."""
        super().error(printable(message))


def command_parser(asked: str | None = None) -> argparse.ArgumentParser:
    """The parser of the commands; only the one asked for has its arguments."""
    parser = Parser(
        prog="sketcher",
        usage="sketcher [-h] [--version] [SCENE | COMMAND ...]",
        description=DESCRIPTION,
        epilog=CAUTIONS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(
        prog="sketcher", metavar="COMMAND", required=True, help=argparse.SUPPRESS
    )
    if asked is not None:
        # Help on the commands must not wait for the mechanics.
        from sketcher.commands.common import add_scene  # noqa: PLC0415

        command = import_module(f"sketcher.commands.{asked}")
        own = commands.add_parser(asked, description=command.DESCRIPTION, epilog=command.EPILOG)
        own.set_defaults(run=command.run)
        add_scene(own)
        for option in command.OPTIONS:
            option.add_to(own)
    return parser


def window_parser() -> argparse.ArgumentParser:
    """The parser where no command is named: open the window."""
    # Help on the commands must not wait for the mechanics.
    from sketcher.commands.common import add_scene  # noqa: PLC0415

    parser = Parser(prog="sketcher", description="Open the window on a scene.")
    add_scene(parser)
    return parser


def main(words: Sequence[str] | None = None) -> int:
    """Run the command line and give back its exit code."""
    words = sys.argv[1:] if words is None else words
    # Matrices here are small: threads of the linear algebra cost more than they save.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # The drawing library greets on standard output, where answers go.
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    closed = sys.stdout is None
    # A process may be started without them; words then go nowhere.
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
    spell_out(sys.stdout, sys.stderr)
    if not words or words[0] not in (*COMMANDS, "-h", "--help", "--version"):
        return _explained(_open_window, words)
    if closed:
        complain("standard output is closed, the answer would go nowhere")
        return UNUSABLE
    try:
        try:
            return _explained(_run_command, words)
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        # The reader has seen enough; closing quietly is what `head` expects.
        _let_go(sys.stdout)
    except OSError as error:
        complain(f"the answer cannot be written: {error.strerror or type(error).__name__}")
        _let_go(sys.stdout)
    return UNUSABLE


def _explained(action: Callable[[Sequence[str]], int], words: Sequence[str]) -> int:
    """The exit code; what goes wrong is told in plain lines."""
    try:
        return action(words)
    except SceneError as error:
        lead = f"{error.source}: " if error.source else ""
        complain(*(f"{lead}{problem}" for problem in error.problems))
    except (Refused, KinematicsError) as error:
        complain(str(error))
    return UNUSABLE


def _run_command(words: Sequence[str]) -> int:
    arguments = command_parser(words[0] if words[0] in COMMANDS else None).parse_args(words)
    return int(arguments.run(arguments))


def _let_go(stream: TextIO) -> None:
    """Let what is still to be written to a stream that takes no more go nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def _open_window(words: Sequence[str]) -> int:
    if len(words) > 1 and not words[0].startswith("-") and not Path(words[0]).exists():
        expected = ", ".join(COMMANDS)
        raise CommandError(f'expected a command ({expected}) or a scene, got "{words[0]}"')
    arguments = window_parser().parse_args(words)
    # Commands must not wait for the window's libraries.
    from sketcher.window.screen.display import open_display  # noqa: PLC0415

    open_display()
    from sketcher.window.screen.app import run  # noqa: PLC0415

    return run(arguments.scene, arguments.example)


def console() -> NoReturn:
    """Run the command line as a process of its own."""
    # A command is over before its garbage is worth looking for; the window has its own measure.
    gc.set_threshold(1_000_000)
    # After a large piece was given back, glibc keeps others for the next array of their size.
    bytes(31 << 20)
    code = main()
    # What is there goes with the process, and need not be searched once more.
    gc.freeze()
    sys.exit(code)


if __name__ == "__main__":
    console()
