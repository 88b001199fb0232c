"""`compliance sample`: which jobs an auditor looks at, drawn so that anybody can repeat it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from compliance.errors import CallError

if TYPE_CHECKING:
    from compliance.portfolio.draw import Draw
    from compliance.portfolio.frame import Frame


class WithConclusion(click.Command):
    """The command `sample`, and `sample conclude` where that is the first word."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:  # fmt: skip
        if args[:1] == ["conclude"]:
            from compliance.cli.conclude import command as conclude

            return conclude.make_context(f"{info_name} conclude", args[1:], parent, **extra)
        return super().make_context(info_name, args, parent, **extra)


@click.command(name="sample", cls=WithConclusion)
@click.argument("source", type=click.Path(path_type=Path, exists=True))
@click.option("--size", type=click.IntRange(1), help="How many jobs to look at.")
@click.option("--find", "rate", metavar="RATE", help="Instead of a size: a rate of "
              "bad jobs, such as 0.05 or 5%, that must not stay hidden.")  # fmt: skip
@click.option("--confidence", default="0.95", show_default=True, help="How surely, with --find.")
@click.option("--seed", help="Any text, fixed before the draw; made up and printed if left out.")
@click.option(
    "--by", default="", metavar="FIELD", help="The column or record field that tells strata apart."
)
@click.option("--weight", "weights", multiple=True, metavar="STRATUM=NUMBER",
              help="Look at a stratum more often than its size asks for.")  # fmt: skip
@click.option("--replace", "replaced", multiple=True, metavar="JOB=REASON",
              help="A drawn job that cannot be looked at; the next one stands in.")  # fmt: skip
@click.option("--goes-on", type=click.Path(path_type=Path, exists=True), metavar="FILE",
              help="An earlier draw in JSON that is to be made longer.")  # fmt: skip
@click.option("--curve", type=click.Path(path_type=Path), metavar="FILE",
              help="Draw what the sample can miss, as .svg or .pdf.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(["text", "json", "csv"]), default="text")
def command(
    source: Path, size: int | None, rate: str | None, confidence: str, seed: str | None, by: str,
    weights: tuple[str, ...], replaced: tuple[str, ...], goes_on: Path | None,
    curve: Path | None, form: str,
) -> None:  # fmt: skip
    """Draw jobs from SOURCE, a folder of job folders or a CSV file with a column `reference`.

    The order is that of SHA-256 of seed|reference, so that anybody can repeat the draw with
    any program, and a longer draw begins with a shorter one.

    `compliance sample conclude DRAW RESULTS` says afterwards what was shown. A folder of that
    name is written ./conclude.
    """
    import secrets

    from compliance.portfolio.curve import draw_curve
    from compliance.portfolio.draw import draw
    from compliance.portfolio.frame import read_frame
    from compliance.portfolio.record import draw_data, earlier
    from compliance.portfolio.sizes import shared_out

    with read_frame(source, by) as frame:
        asked = _size(frame, size, rate, confidence)
        others: dict[str, str] = {}
        if goes_on is not None:
            was, kept = earlier(goes_on, frame)
            if seed is not None and seed != was:
                raise CallError(f'the draw to go on from has the seed "{was}"; leave --seed out')
            seed, others = was, dict(kept)
        others.update(_pairs(replaced, "--replace", "a reason"))
        sizes = shared_out(asked, frame.population, _weights(weights, frame.population))
        drawn = draw(frame, seed or secrets.token_hex(8), sizes, others)
    population = sum(drawn.population.values())
    if curve is not None:
        draw_curve(curve, population, asked)
    if form == "json":
        click.echo(json.dumps(draw_data(drawn, by), ensure_ascii=False, indent=2))
    elif form == "csv":
        click.echo(_as_csv(drawn), nl=False)
    else:
        click.echo("\n".join(_printed(drawn, population, asked)))


def _size(frame: Frame, size: int | None, rate: str | None, confidence: str) -> int:
    from compliance.portfolio.sizes import discovery_size

    if (size is None) is (rate is None):
        raise CallError(
            "say either how many jobs (--size) or which rate must not stay hidden (--find)"
        )
    if rate is not None:
        return discovery_size(len(frame), share(rate), share(confidence))
    return size or 0


def share(text: str) -> float:
    """A share written as 0.05 or 5%.

    Raises:
        CallError: If it is neither.
    """
    number = text.strip().removesuffix("%").strip()
    try:
        return float(number) / (100 if text.strip().endswith("%") else 1)
    except ValueError:
        raise CallError(f'"{text}" is no share; write it as 0.05 or 5%') from None


def _pairs(given: tuple[str, ...], option: str, what: str) -> dict[str, str]:
    pairs: dict[str, str] = {}
    for text in given:
        name, _, value = text.partition("=")
        if not name.strip() or not value.strip():
            raise CallError(f'{option} "{text}": write a name, the sign = and {what}')
        pairs[name.strip()] = value.strip()
    return pairs


def _weights(given: tuple[str, ...], population: Mapping[str, int]) -> dict[str, float]:
    from compliance.record.problems import did_you_mean

    weights: dict[str, float] = {}
    for name, text in _pairs(given, "--weight", "a number").items():
        if name not in population:
            raise CallError(f'there is no stratum "{name}". {did_you_mean(name, population)}')
        try:
            weights[name] = float(text)
        except ValueError:
            raise CallError(f'--weight {name}: "{text}" is no number; write it as 2') from None
        if not 0 < weights[name] < 1e6:
            raise CallError(f"--weight {name}: {text} must be above 0 and below a million")
    return weights


def _printed(drawn: Draw, population: int, asked: int) -> list[str]:
    from compliance.portfolio.curve import in_words
    from compliance.portfolio.record import METHOD

    lines = [
        f"{asked} of {population} jobs, {METHOD}",
        f"seed {drawn.seed}",
        f"list {drawn.frame_sha256}",
        "",
    ]
    weights = drawn.weights()
    for stratum, count in drawn.population.items():
        if len(drawn.population) > 1:
            each = f", each stands for {weights[stratum]:.2f}" if stratum in weights else ""
            lines.append(f"{stratum}: {drawn.sizes[stratum]} of {count}{each}")
        for job in (job for job in drawn.jobs if job.stratum == stratum):
            note = f"  not looked at: {job.instead}" if job.instead else ""
            note += f"  stands in for {job.stands_in_for}" if job.stands_in_for else ""
            lines.append(f"  {job.place:>4}  {job.reference}{note}")
    if len(drawn.population) == 1:
        lines += [
            "",
            "What this number can miss:",
            *(f"  {w}" for w in in_words(population, asked)),
        ]
    lines += ["", "A job that was drawn and not looked at counts as bad unless agreed otherwise."]
    return lines


def _as_csv(drawn: Draw) -> str:
    from compliance.portfolio.sheets import csv_text

    head = ("reference", "stratum", "place", "not looked at", "stands in for")
    rows = [(j.reference, j.stratum, j.place, j.instead, j.stands_in_for) for j in drawn.jobs]
    return csv_text(head, rows)
