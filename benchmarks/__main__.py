"""`python -m benchmarks`: prints what deciding costs, as ratios measured in the same run."""

from __future__ import annotations

import argparse
import os
import platform
import sys

from benchmarks import commands, documents, engines, measure, samples
from benchmarks.records import records


def main(arguments: list[str] | None = None) -> int:
    """Asserts agreement, then measures and prints."""
    asked = _parser().parse_args(arguments)
    jobs = records(asked.records)
    print(
        f"{platform.python_implementation()} {platform.python_version()}, "
        f"{os.cpu_count()} processors, {asked.records} invented records, "
        f"median of {asked.rounds} interleaved rounds\n"
    )
    counted = measure.assert_agreement(jobs)
    total = counted.total()
    print(f"Agreement with the hand-written checks: {total} of {total} findings.")
    print("  " + ", ".join(f"{count} {outcome}" for outcome, count in counted.most_common()))
    print(f"\n{'deciding':<42}{'us a finding':>13}{'ratio':>9}  target, against")
    for row in measure.deciding(jobs, asked.rounds, total):
        target = f"<= {row.target} x {row.against}" if row.target else ""
        print(f"{row.what:<42}{row.us_per_finding:>13.2f}{row.ratio:>8.2f}x  {target}")
    _strangers(asked)
    if asked.document_rounds:
        _documents(asked.document_rounds)
    if not asked.no_commands:
        _commands(asked.command_rounds)
        _samples(asked.references)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--records", type=int, default=300)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--engine-records", type=int, default=60)
    parser.add_argument("--command-rounds", type=int, default=9)
    parser.add_argument("--document-rounds", type=int, default=5, help="0 leaves documents out")
    parser.add_argument("--references", type=int, default=1_000_000, help="of the list drawn from")
    parser.add_argument("--no-commands", action="store_true", help="leave whole commands out")
    return parser


def _strangers(asked: argparse.Namespace) -> None:
    print("\ngeneral-purpose engines, on the checks they have a form for")
    for engine in engines.engines():
        if isinstance(engine, str):
            print(f"  {engine} is not installed; to measure it: {engines.INSTALL}")
            continue
        few = records(asked.engine_records)
        found = measure.stranger(engine, few, min(asked.rounds, 5))
        share = 100 * found.agreeing / found.findings
        silent = found.silence.total()
        said = ", ".join(
            f"{100 * count / max(silent, 1):.1f} % {what}"
            for what, count in found.silence.most_common()
        )
        print(f"  {found.name}: {found.ratio:.1f}x by hand, outcomes; agrees on {share:.1f} %")
        print(f"    where our outcome is not shown or not due ({silent} findings) it gives: {said}")
        print(f"    no form for: {', '.join(found.left_out)}")


def _documents(rounds: int) -> None:
    target = f"<= {documents.MOST_RATIO:.1f} x by hand; <= {documents.MOST_S:.0f} s"
    print(f"\n{'documents of the complete sample':<42}{'s':>13}{'ratio':>9}  target")
    for made in documents.documents(rounds):
        print(f"{made.what:<42}{made.taken_s:>13.2f}{made.ratio:>8.2f}x  {target}")


def _commands(rounds: int) -> None:
    found, bare_ms = commands.commands(rounds)
    print(f"\n{'command, over a bare interpreter':<42}{'ms':>13}  target ({bare_ms:.0f} ms bare)")
    for command in found:
        print(f"{command.what:<42}{command.over_ms:>13.1f}  <= {command.target_ms:.0f} ms")


def _samples(references: int) -> None:
    target = f"<= {samples.MOST_S:.0f} s, {samples.MOST_MIB:.0f} MiB"
    print(f"\n{'a draw of ten, memory over a bare interpreter':<46}{'s':>9}{'MiB':>9}  {target}")
    for drawn in samples.samples(references):
        over = "unknown" if drawn.over_mib is None else f"{drawn.over_mib:.0f}"
        print(f"{drawn.what:<46}{drawn.taken_s:>9.2f}{over:>9}")


if __name__ == "__main__":
    sys.exit(main())
