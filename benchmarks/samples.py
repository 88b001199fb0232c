"""A draw from a long list: seconds and memory, beside a draw by hand with everything in memory."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from benchmarks.measure import DisagreementError

SIZE = 10
SEED = "benchmark"
MOST_S = 5.0
MOST_MIB = 100.0
"""Over a bare interpreter."""
BY_HAND = f"""
import csv, hashlib, heapq, json, sys
with open(sys.argv[1], encoding="utf-8", newline="") as file:
    references = [row[0] for row in csv.reader(file)][1:]
assert len(set(references)) == len(references) and all(references)
key = lambda reference: hashlib.sha256(("{SEED}|" + reference).encode()).digest()
lines = b"".join(line + b"\\n" for line in sorted(r.encode() for r in references))
print(json.dumps([hashlib.sha256(lines).hexdigest(), heapq.nsmallest({SIZE}, references, key=key)]))
"""
OURS = "from compliance.cli import main; main()"
_PEAK = """
import atexit, pathlib, sys
atexit.register(lambda: print(pathlib.Path("/proc/self/status").read_text(), file=sys.stderr))
"""


@dataclass(frozen=True, slots=True)
class Drawn:
    """One way to draw: its time, and its most memory over that of a bare interpreter."""

    what: str
    taken_s: float
    over_mib: float | None
    """None where the system does not tell it."""


def samples(references: int) -> list[Drawn]:
    """Ours and by hand, after both gave the same list hash and the same jobs.

    Args:
        references: How long the list is. [count]

    Raises:
        DisagreementError: If they differ.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        with path.open("w", encoding="utf-8") as file:
            file.write("reference\n")
            file.writelines(f"JOB-{n * 7919 % references:07}\n" for n in range(references))
        ours = ["sample", str(path), "--size", str(SIZE), "--seed", SEED, "--format", "json"]
        bare = _run("pass", [])
        said, by_hand = _run(OURS, ours), _run(BY_HAND, [str(path)])
    draw = json.loads(said.out)
    if [draw["frame_sha256"], [j["reference"] for j in draw["jobs"]]] != json.loads(by_hand.out):
        raise DisagreementError("the draw by hand is another one")
    return [
        Drawn(what, run.taken_s, run.over(bare))
        for what, run in ((f"compliance sample, {references:,} references", said),
                          ("by hand, all in memory", by_hand))
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Run:
    out: str
    taken_s: float
    peak_kib: int | None

    def over(self, bare: _Run) -> float | None:
        if self.peak_kib is None or bare.peak_kib is None:
            return None
        return (self.peak_kib - bare.peak_kib) / 1024


def _run(code: str, arguments: list[str]) -> _Run:
    is_told = Path("/proc/self/status").exists()
    started = perf_counter()
    done = subprocess.run(  # noqa: S603 - our own interpreter and our own words
        [sys.executable, "-c", (_PEAK if is_told else "") + code, *arguments],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    taken_s = perf_counter() - started
    peak = re.search(r"VmHWM:\s*([0-9]+) kB", done.stderr)
    return _Run(done.stdout, taken_s, int(peak[1]) if peak else None)
