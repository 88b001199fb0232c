"""What `compliance chase` found as text: by holder, then by deadline, then by job."""

from __future__ import annotations

from collections.abc import Iterator

from compliance.cli.chased import Chased, is_late
from compliance.cli.wrapping import wrapped
from compliance.rules.outcome import NO_PERMISSION


def as_text(chased: Chased) -> str:
    """All of it, wrapped to the width of a screen."""
    from compliance.portfolio.chase import alike, by_holder, stands

    lines = wrapped(f"What is not shown in {chased.folder.name} on {chased.on}")
    lines += _in_short(chased)
    if chased.dangers:
        which = ", ".join(chased.dangers)
        lines += ["", *wrapped(f"DANGER in {which}: see `compliance check` of each first.")]
    for whom, some in by_holder(chased.items).items():
        lines += ["", f"{whom} ({len(some)})"]
        for same in alike(some):
            lines += wrapped(f"{same[0].reference}  {stands(same[0])}", indent="  ")
            for item in same:
                lines += wrapped(f"- {item.thing}", indent="      ")
    if not chased.items:
        lines += ["", "Nothing that was looked at is lacking."]
    return "\n".join([*lines, *_late(chased), *_last(chased)]) + "\n"


def _in_short(chased: Chased) -> list[str]:
    """How much there is, before the reader meets all of it."""
    jobs = len({item.folder for item in chased.items})
    said = [f"{_many(len(chased.items), 'thing')} of {_many(jobs, 'job')}"]
    open_ = [item for item in chased.items if item.notice]
    late = sum(is_late(item, chased.on) for item in open_)
    if open_:
        said.append(f"{_many(len(open_), 'notice')} open, of which {late} late")
    if chased.late:
        said.append(f"{_many(len(chased.late), 'notice')} sent late")
    return wrapped(f"{'; '.join(said)}.") if chased.items or chased.late else []


def _late(chased: Chased) -> Iterator[str]:
    """What went out late: not open, and not in time either."""
    if not chased.late:
        return
    yield ""
    yield from wrapped(
        f"Sent, but late ({len(chased.late)}). Nothing of these is open; they are told so that "
        "nobody takes them for in time."
    )
    for late in chased.late:
        yield from wrapped(f"{late.reference}  {late.thing}: {late.sent.in_words()}", indent="  ")


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _last(chased: Chased) -> Iterator[str]:
    if chased.not_met:
        many = ", ".join(f"{count} of {ref}" for ref, count in chased.not_met.items())
        yield ""
        yield from wrapped(f"Not met, so no letter closes them: {many}.")
    if chased.bad:
        yield from ("", *wrapped(f"Could not be checked: {', '.join(chased.bad)}."))
    yield from _sources(chased)
    yield ""
    yield from wrapped(NO_PERMISSION)


def _sources(chased: Chased) -> Iterator[str]:
    """What the deadlines rest on, and how sure of each we are."""
    deadlines = [d for i in chased.items if i.notice for d in i.notice.deadlines]
    deadlines += [d for late in chased.late for d in late.sent.missed]
    sources = {d.source: d.reading for d in deadlines}
    if not sources:
        return
    yield ""
    yield from wrapped("Deadlines rest on:")
    for source, reading in sorted(sources.items(), key=lambda pair: (pair[1], pair[0].title)):
        clause = f", {source.clause}" if source.clause else ""
        text = f"{reading}: {source.title or source.document}{clause} ({source.confidence})"
        yield from wrapped(text, indent="  ")
    yield from wrapped(
        "Working days leave out the bank holidays of the site's nation. Local holidays, such as "
        "those of Scottish towns, count as working days here, so that no day is told too late."
    )
