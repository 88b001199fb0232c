"""Times of whole commands over a bare interpreter, of the cache, of a job's quantities."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks import adapter
from benchmarks.timing import medians_s

CHECKOUT = Path(__file__).resolve().parents[1]
SAMPLE = "terrace-eight-faults"
COMPLETE = "bungalow-two-faces"


@dataclass(frozen=True, slots=True)
class Command:
    """One measured command: its time over the bare interpreter, and the target. [ms]"""

    what: str
    over_ms: float
    target_ms: float


def commands(rounds: int) -> tuple[list[Command], float]:
    """The measured commands, and the bare interpreter's own time in ms."""
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / SAMPLE
        shutil.copytree(CHECKOUT / "sample_installs" / SAMPLE, job)
        lines = {
            "bare": ["-c", "pass"],
            "compliance --help": ["-m", "compliance", "--help"],
            "compliance check JOB, second run": ["-m", "compliance", "check", str(job)],
        }
        for line in lines.values():
            _run(line)
        taken = medians_s(
            {name: _runner(line) for name, line in lines.items()}, rounds, is_wall=True
        )
        load = adapter.load_from_cache(Path(folder) / "cache")
        load_s = medians_s({"load": load}, rounds, is_wall=True)["load"]
    work_out = adapter.quantities_of(CHECKOUT / "sample_installs" / COMPLETE)
    worked_s = medians_s({"worked": work_out}, rounds)["worked"]
    bare = taken.pop("bare")
    targets = dict(zip(taken, (150.0, 300.0), strict=True))
    found = [Command(n, (t - bare) * 1000, targets[n]) for n, t in taken.items()]
    found.append(Command("rulesets from the cache (in process)", load_s * 1000, 20.0))
    what = f"{work_out()} quantities of a job (in process)"
    found.append(Command(what, worked_s * 1000, 5.0))
    return found, bare * 1000


class CommandFailedError(Exception):
    """A measured command could not do its work, so its time means nothing."""


def _runner(line: Sequence[str]) -> Callable[[], None]:
    return lambda: _run(line)


def _run(line: Sequence[str]) -> None:
    # What is installed is kept compiled, whatever the environment of this run says of that.
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(  # noqa: S603 - fixed commands of our own
        [sys.executable, *line], cwd=CHECKOUT, capture_output=True, check=False, env=env
    )
    if done.returncode not in (0, 1):  # 1: gaps that hold something up, as the sample has
        raise CommandFailedError(done.stderr.decode(errors="replace"))
