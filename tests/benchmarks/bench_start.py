"""What a command costs beside Python loading its libraries: processor seconds, and how many times.

`python -m tests.benchmarks.bench_start [ROUNDS]`: the least of some rounds, in which every command
line has its turn, so that a busy machine is busy for all of them.
"""

from __future__ import annotations

import resource
import subprocess
import sys

from scenes.library import example_names

ROUNDS = 7
BARE = "numpy and shapely alone"


def command_lines() -> dict[str, list[str]]:
    """What is measured, the bare libraries first."""
    return {
        BARE: ["-c", "import numpy, shapely"],
        "--help": ["-m", "sketcher", "--help"],
        **{
            f"report {name}": ["-m", "sketcher", "report", "--example", name]
            for name in example_names()
        },
    }


def processor_seconds(words: list[str]) -> float:
    """What one run takes of the processor, by itself and in the system."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Print the least of each, and how many times the bare libraries that is."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    least: dict[str, float] = {}
    for _ in range(rounds):
        for name, words in command_lines().items():
            least[name] = min(processor_seconds(words), least.get(name, float("inf")))
    for name, seconds in least.items():
        print(f"{name:32} {seconds:6.3f} s {seconds / least[BARE]:6.2f}")


if __name__ == "__main__":
    main()
