"""A conclusion in words: for the terminal, and as a document in PDF and DOCX."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from compliance.documents.content import load_template
from compliance.documents.tree import Column, Table
from compliance.portfolio.conclude import Conclusion, Rate
from compliance.portfolio.record import METHOD
from compliance.rules.outcome import NO_PERMISSION

NAME = "audit-report"


def answers(found: Conclusion) -> Iterator[str]:
    """What the sample showed, in sentences."""
    seen, drawn = sum(s.seen for s in found.strata), sum(s.drawn for s in found.strata)
    yield (
        f"{_jobs(drawn)} of {found.population} drawn, {seen} seen, {drawn - seen} not seen. "
        f"Of those seen, {len(found.bad)} bad."
    )
    if found.as_seen is None:
        yield "No job was seen, so nothing was shown of any."
    else:
        yield from _counted("If what was not seen is like the rest", found, found.as_seen)
    if found.not_seen:
        yield from _counted("If every job that was not seen is bad", found, found.at_worst)
        yield "The second way of counting is the one to go by, unless agreed otherwise beforehand."


def _counted(how: str, found: Conclusion, rate: Rate) -> Iterator[str]:
    sure = percent(found.confidence)
    share = "" if rate.estimate is None else f"about {percent(rate.estimate)} of all jobs are bad, "
    yield (
        f"{how}: {share}at least {rate.least} and at most {rate.most} of {found.population} "
        f"({percent(rate.least / found.population)} to {percent(rate.most / found.population)}) "
        f"with {sure} confidence."
    )
    yield (
        f"Asked for the upper bound alone: no more than {rate.most_one_sided} of "
        f"{found.population} ({percent(rate.most_one_sided / found.population)}) with {sure} "
        "confidence."
    )
    if rate.process is not None and rate.seen < found.population:
        low, high = rate.process
        yield (
            "For the way of working that made these jobs, if it goes on as it was: between "
            f"{percent(low)} and {percent(high)} bad with {sure} confidence."
        )
    if rate.standard_error is not None and len(found.strata) > 1:
        yield f"Standard error of the estimate: {percent(rate.standard_error)}."


def limits(found: Conclusion) -> Iterator[str]:
    """The limits of what the sample proves, in sentences."""
    yield (
        f"It speaks of the {found.population} jobs of the list with this hash and of no other. "
        "Whether the list held every job, only its owner can say."
    )
    yield (
        "It is as good as the eyes of whoever looked: a fault that nobody noticed was counted as "
        "none. What makes a job bad must have been fixed before the first one was seen."
    )
    yield (
        "The bounds are exact for a draw by chance. That the seed was fixed before the draw, "
        "nothing in the files shows."
    )
    yield (
        f"{percent(found.confidence)} confidence means: of many such audits, at most "
        f"{percent(1 - found.confidence)} give bounds that miss the truth. It says nothing of any "
        "single job, and certifies none."
    )
    if found.not_seen:
        yield (
            f"{_jobs(len(found.not_seen))} of the draw not seen. Those that cannot be seen are "
            "often not like the rest."
        )
    if not found.bad:
        yield "No bad job among those seen does not mean that there is none."
    if len(found.strata) > 1:
        yield (
            "The bounds of the strata are added, each at a higher confidence; together they are "
            "wider than they would have to be, never narrower."
        )


def report_lines(found: Conclusion, by: str) -> Iterator[str]:
    """The report as lines of plain text."""
    yield f"What a sample of {_jobs(sum(s.drawn for s in found.strata))} showed"
    yield ""
    yield from answers(found)
    if len(found.strata) > 1:
        yield ""
        yield f"By {by}:"
        for s in found.strata:
            yield (
                f"  {s.name}: {s.bad} bad of {s.seen} seen, {s.not_seen} not seen, {s.population} "
                "in all"
            )
    for title, some in (("Bad", found.bad), ("Drawn and not seen", found.not_seen)):
        if some:
            yield ""
            yield f"{title} ({len(some)})"
            yield from (f"  {f.reference}{f': {f.remark}' if f.remark else ''}" for f in some)
    yield ""
    yield f"Drawn {METHOD}"
    yield f"seed {found.draw.seed}"
    yield f"list {found.draw.frame_sha256}"
    yield ""
    yield "What this does not prove"
    yield from (f"  {limit}" for limit in limits(found))
    yield ""
    yield NO_PERMISSION


def report_files(found: Conclusion, by: str, templates: Path, on: date) -> dict[str, bytes]:
    """The report as PDF and DOCX, by the names of their files.

    Raises:
        DocumentError: If a text of the results can't be printed whole and literal.
    """
    from compliance.documents.docx import docx_bytes
    from compliance.documents.pdf import pdf_bytes

    template = load_template(templates / f"{NAME}.md.j2")
    document = template.render(_values(found, by, on), _tables(found))
    footer = f"list {found.draw.frame_sha256[:12]}, seed {found.draw.seed[:40]}, {on}"
    return {
        f"{NAME}.pdf": pdf_bytes(document, footer=footer, draft=False),
        f"{NAME}.docx": docx_bytes(document, footer=footer, draft=False),
    }


def _values(found: Conclusion, by: str, on: date) -> dict[str, Any]:
    said = list(answers(found))
    return {
        "on": on.isoformat(),
        "population": found.population,
        "drawn": sum(s.drawn for s in found.strata),
        "by": by,
        "method": METHOD,
        "seed": found.draw.seed,
        "list_hash": found.draw.frame_sha256,
        "confidence": percent(found.confidence),
        "counted": said[0],
        "answers": said[1:],
        "limits": list(limits(found)),
        "no_permission": NO_PERMISSION,
    }


def _bounds(found: Conclusion) -> Iterator[tuple[str, ...]]:
    """What both ways of counting give, one row each; the one to go by comes last."""
    for how, rate in (("not seen is like the rest", found.as_seen),
                      ("not seen is bad", found.at_worst)):  # fmt: skip
        if rate is not None and (found.not_seen or rate is found.as_seen):
            yield (
                how,
                "not known" if rate.estimate is None else percent(rate.estimate),
                f"{rate.least} to {rate.most} jobs ({_shares(found, rate.least, rate.most)})",
                f"{rate.most_one_sided} jobs ({percent(rate.most_one_sided / found.population)})",
                "strata differ"
                if rate.process is None
                else " to ".join(map(percent, rate.process)),
            )


def _shares(found: Conclusion, least: int, most: int) -> str:
    return f"{percent(least / found.population)} to {percent(most / found.population)}"


def _tables(found: Conclusion) -> Mapping[str, Table]:
    counts = tuple(
        (s.name, str(s.population), str(s.drawn), str(s.seen), str(s.bad), str(s.not_seen))
        for s in found.strata
    )
    heads = ("All", "Drawn", "Seen", "Bad", "Not seen")
    number = tuple(Column(head, 0.7, "right") for head in heads)
    job = (Column("Job", 1), Column("What was brought back", 2.5))
    bad = _listed(found.bad, "No job that was seen was bad.")
    not_seen = _listed(found.not_seen, "Every drawn job was seen.")
    bounds = (Column("Counted as if what was", 1.4), Column("Bad, about", 0.8),
              Column("Bounds", 1.6), Column("No more than", 1.3),
              Column("The way of working", 1.2))  # fmt: skip
    return {
        "bounds": Table(
            f"Bad jobs among all {found.population}, at {percent(found.confidence)} confidence",
            bounds,
            tuple(_bounds(found)),
        ),
        "strata": Table("Counts", (Column("Stratum", 2), *number), counts),
        "bad-jobs": Table("Jobs found bad", job, bad),
        "not-seen": Table("Jobs that were drawn and not seen", job, not_seen),
    }


def _listed(some: tuple[Any, ...], nothing: str) -> tuple[tuple[str, ...], ...]:
    return tuple((f.reference, f.remark or "no remark") for f in some) or (("none", nothing),)


def percent(share: float) -> str:
    """A share in per cent, with as many digits as it takes to tell it from its neighbours."""
    return f"{100 * share:.1f} %".replace(".0 %", " %")


def _jobs(count: int) -> str:
    return "1 job" if count == 1 else f"{count} jobs"
