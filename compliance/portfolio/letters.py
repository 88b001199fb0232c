"""Drafts of letters, one to each person with just their items; nothing is ever sent.

A draft carries no address, since the record has none: whoever sends it puts that in, and
reads it before.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

from compliance.errors import CallError
from compliance.files.disk import Disk
from compliance.files.write import put_file
from compliance.portfolio.chase import Item, alike, stands
from compliance.portfolio.whom import Whom
from compliance.rules.outcome import NO_PERMISSION

TEMPLATE = "chase-letter.txt.j2"
_MOST_IN_A_NAME = 40


def drafts(
    held: Mapping[Whom, Sequence[Item]], templates: Path, today: date
) -> Iterator[tuple[str, bytes]]:
    """Each draft by the name of its file.

    Args:
        held: The items of each person, by deadline.
        templates: The templates folder.
        today: The day that the draft speaks of.
    """
    from jinja2 import FileSystemLoader, StrictUndefined
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    surroundings = ImmutableSandboxedEnvironment(
        loader=FileSystemLoader(templates),
        undefined=StrictUndefined,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=lambda value: " ".join(value.split()) if isinstance(value, str) else value,
    )  # fmt: skip - plain text, so nothing is escaped; a value stands on one line
    template = surroundings.get_template(TEMPLATE)
    digits = max(3, len(str(len(held))))
    for number, (to, some) in enumerate(held.items(), 1):
        jobs: dict[str, list[Item]] = {}
        for item in some:
            jobs.setdefault(item.folder, []).append(item)
        body = template.render(
            holder=to.holder, name=to.name, on=today.isoformat(),
            jobs=[alike(items) for items in jobs.values()], stands=stands,
            no_permission=NO_PERMISSION,
        )  # fmt: skip
        yield f"{number:0{digits}}-{_plain(str(to))}.eml", _message(_subject(some), body)


def save_drafts(made: Iterator[tuple[str, bytes]], folder: Path) -> list[Path]:
    """Saves drafts into a folder that is new or empty; gives their paths.

    Raises:
        CallError: If something is in the folder, which may have been edited.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise CallError(
            f'"{folder}" is not empty. Drafts there may have been edited, so none is written '
            "over: name a new folder, or empty this one"
        )
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, data in made:
        put_file(folder / name, data, Disk())
        paths.append(folder / name)
    return paths


def _subject(some: Sequence[Item]) -> str:
    references = list(dict.fromkeys(item.reference for item in some))
    named = ", ".join(references[:3]) + (" and others" if len(references) > 3 else "")
    return " ".join(f"What is still needed for {named}".split())


def _message(subject: str, body: str) -> bytes:
    message = EmailMessage(policy=SMTP)
    message["Subject"] = subject
    message["X-Unsent"] = "1"  # mail programs open it as a draft, from memory
    message.set_content(body, cte="quoted-printable")
    return message.as_bytes()


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower())[:_MOST_IN_A_NAME].strip("-") or "somebody"
