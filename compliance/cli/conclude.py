"""`compliance sample conclude`: what the jobs that were looked at show of all of them."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.cli.options import form
from compliance.cli.wrapping import wrapped

if TYPE_CHECKING:
    from compliance.portfolio.conclude import Conclusion, Rate
    from compliance.portfolio.draw import Draw

_FILE = click.Path(path_type=Path, exists=True, dir_okay=False)


@click.command(name="conclude")
@click.argument("draw", type=_FILE)
@click.argument("results", type=_FILE)
@click.option("--confidence", default="0.95", show_default=True, help="How surely, as 0.95 or 95%.")
@click.option(
    "--list", "source", type=click.Path(path_type=Path, exists=True), metavar="SOURCE",
    help="The list or folder drawn from: is it the same, and are these its jobs?",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False, exists=True), metavar="DIR",
    help="Also write the report as PDF and DOCX; older ones there are replaced.",
)  # fmt: skip
@form
def command(
    draw: Path, results: Path, confidence: str, source: Path | None, out: Path | None, form: str
) -> None:
    """Say what the RESULTS of a DRAW show of all jobs, with exact bounds.

    DRAW is what `compliance sample --format json` printed. RESULTS is a CSV file with the
    columns `reference`, `result` (sound, bad or not seen) and, if you like, `remark`. A drawn
    job without a row was not seen.
    """
    from compliance.cli.sample import share
    from compliance.portfolio.audit_report import report_lines
    from compliance.portfolio.conclude import conclude
    from compliance.portfolio.results import read_draw, read_results

    drawn, by = read_draw(draw)
    if source is not None:
        _is_of(drawn, by, source, draw)
    found = conclude(drawn, read_results(results, drawn), share(confidence))
    if out is not None:
        _write(found, by, out)
    if form == "json":
        click.echo(json.dumps(_data(found, by), ensure_ascii=False, indent=2, allow_nan=False))
        return
    for line in report_lines(found, by):
        indent = line[: len(line) - len(line.lstrip())]
        click.echo("\n".join(wrapped(line.strip(), indent=indent)))


def _is_of(drawn: Draw, by: str, source: Path, path: Path) -> None:
    """Refuses a draw that its seed does not give from the list."""
    from compliance.errors import Place
    from compliance.portfolio.draw import draw
    from compliance.portfolio.frame import read_frame
    from compliance.portfolio.problems import FrameChangedError, NotThisDrawError

    replaced = {job.reference: job.instead for job in drawn.jobs if job.instead}
    with read_frame(source, by) as frame:
        if frame.sha256 != drawn.frame_sha256:
            raise FrameChangedError(drawn.frame_sha256, frame.sha256, Place(str(source)))
        if draw(frame, drawn.seed, drawn.sizes, replaced) != drawn:
            raise NotThisDrawError(Place(str(path)))


def _write(found: Conclusion, by: str, out: Path) -> None:
    from compliance.files.disk import Disk
    from compliance.files.resources import templates_folder
    from compliance.files.write import put_file
    from compliance.portfolio.audit_report import report_files

    for name, data in report_files(found, by, templates_folder(), date.today()).items():
        put_file(out / name, data, Disk())
        click.echo(str(out / name), err=True)


def _data(found: Conclusion, by: str) -> dict[str, Any]:
    from compliance.portfolio.audit_report import limits
    from compliance.portfolio.record import METHOD
    from compliance.rules.outcome import NO_PERMISSION

    return {
        "format": 1,
        "notice": NO_PERMISSION,
        "method": METHOD,
        "seed": found.draw.seed,
        "frame_sha256": found.draw.frame_sha256,
        "stratified_by": by,
        "confidence": found.confidence,
        "jobs": found.population,
        "strata": [{**asdict(s), "not_seen": s.not_seen} for s in found.strata],
        "as_seen": found.as_seen and _rate(found.as_seen),
        "not_seen_counted_bad": _rate(found.at_worst),
        "bad": [{"reference": f.reference, "remark": f.remark} for f in found.bad],
        "not_seen": [{"reference": f.reference, "reason": f.remark} for f in found.not_seen],
        "limits": list(limits(found)),
    }


def _rate(rate: Rate) -> dict[str, Any]:
    data = asdict(rate)
    data["process"] = list(rate.process) if rate.process else None
    return data
