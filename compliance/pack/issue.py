"""From a checked job to an issued pack: documents, evidence, record, findings, rulesets."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from compliance.documents.annex import Content, annex_tables, annex_values
from compliance.documents.commissioning import (
    commissioning_tables,
    commissioning_values,
    firm,
    said,
)
from compliance.documents.components import component_tables, component_values
from compliance.documents.danger import danger_values, found_dangers
from compliance.documents.data import day
from compliance.documents.energy import energy_tables, energy_values, has_panels
from compliance.documents.forms import Given, both_forms, in_both, rendered
from compliance.documents.gaps import gap_report_tables, gap_report_values
from compliance.documents.isolation import isolation_tables, isolation_values
from compliance.documents.leaving import (
    leaving_tables,
    leaving_values,
    occupier_tables,
    occupier_values,
    visits_made,
)
from compliance.documents.shutdown import shutdown_tables, shutdown_values
from compliance.documents.visit_record import visit_record_tables, visit_record_values
from compliance.files.hashes import sha256_bytes
from compliance.pack.assemble import Issued, Payload, assemble
from compliance.rules.job import Job
from compliance.rules.outcome import NO_PERMISSION, findings_data

SCHEMA = Path(__file__).parent.parent / "rules" / "findings.schema.json"
NOTICE = "notice-of-danger"
ESTIMATE = "energy-estimate"


def issue(
    job: Job, out: Path, templates: Path, *, tell: Callable[[str], None] = lambda _: None
) -> Issued:
    """Builds the documents of a job and issues them as one pack in `out`.

    Args:
        job: The checked job.
        out: The folder that gets the pack; made if it is not there.
        templates: The templates folder.
        tell: Called with each thing that is being made.

    Raises:
        DocumentError: If a text cannot be printed whole and literal.
        PackError: If something else is in the way, or a file changed meanwhile.
    """
    evidence, expected = _evidence(job)
    expected["record/installation.yaml"] = job.opened.sha256
    if job.opened.firm is not None:
        evidence["record/firm.yaml"] = job.opened.firm
        expected["record/firm.yaml"] = job.opened.firm_sha256
    payload: dict[str, bytes | Path] = {
        "record/installation.yaml": (job.folder / "installation.yaml").read_bytes(),
        "findings.json": _findings(job),
        **_rulesets(job),
    }
    for file, name, given in _documents(job, payload):
        payload.update(_built(job, name, given, templates, tell, file=file))
    payload.update(evidence)
    tell("pack")
    name = f"pack-{_plain(job.checked.reference)}-{job.checked.on.isoformat()}"
    out.mkdir(parents=True, exist_ok=True)
    return assemble(
        out,
        name=name,
        on=job.checked.on,
        payload=payload,
        info={
            "External-Identifier": job.checked.reference,
            "External-Description": f"{job.checked.title}; {_state(job)}",
        },
        expected=expected,
        cover=lambda issued: _cover(job, issued, len(payload) + 1, templates),
    )


def _gap_report(job: Job, _: Payload) -> Given:
    words = {"address": said(job.view["site"], "address", ""), "firm": firm(job.view)}
    return gap_report_values(job.checked, words), gap_report_tables(job.checked)


DOCUMENTS: Mapping[str, Callable[[Job, Payload], Given]] = {
    "gap-report": _gap_report,
    "commissioning-test-report": lambda job, _: (
        commissioning_values(job),
        commissioning_tables(job),
    ),
    "component-register": lambda job, _: (component_values(job), component_tables(job)),
    "isolation-shutdown-sheet": lambda job, _: (shutdown_values(job), shutdown_tables(job)),
    "isolation-label-schedule": lambda job, _: (isolation_values(job), isolation_tables(job)),
    "leave-safe-sheet": lambda job, _: (leaving_values(job), leaving_tables(job)),
    "leave-safe-sheet-for-occupier": lambda job, _: (occupier_values(job), occupier_tables(job)),
    ESTIMATE: lambda job, _: (energy_values(job), energy_tables(job)),
    "evidence-annex": lambda job, made: (annex_values(job), annex_tables(job, _contents(made))),
}
"""What each document's template receives of a job and of the pack's files that are made."""


def _documents(job: Job, made: Payload) -> Iterator[tuple[str, str, Given]]:
    """Every document: its file, its template, what that receives; last the annex, of all others."""
    for visit in visits_made(job):
        file = f"visit-record-{_plain(visit['~name'].removeprefix('visit ').removeprefix('of '))}"
        yield (
            file,
            "visit-record",
            (visit_record_values(job, visit), visit_record_tables(job, visit)),
        )
    if found_dangers(job):
        yield NOTICE, NOTICE, (danger_values(job), {})
    for name, given in DOCUMENTS.items():
        if name == ESTIMATE and not has_panels(job.view):
            continue
        yield name, name, given(job, made)


def _built(
    job: Job, name: str, given: Given, templates: Path, tell: Callable[[str], None], *, file: str
) -> dict[str, bytes]:
    """One document in both forms, by its files' names in the pack."""
    tell(file)
    document = rendered(job, name, given, templates)
    is_draft = job.checked.is_held_up and name != NOTICE  # a danger waits for no other gap
    return both_forms(document, job, f"documents/{file}", is_draft=is_draft)


def _state(job: Job) -> str:
    if job.checked.is_held_up:
        return "draft: gaps hold something up; see the gap report"
    return "nothing that was checked is held up; not signed until a competent person signs"


def _evidence(job: Job) -> tuple[dict[str, bytes | Path], dict[str, str]]:
    """Every evidence file that is there, under a name of ours, with the hash it was seen with."""
    payload: dict[str, bytes | Path] = {}
    expected: dict[str, str] = {}
    for item in job.view.get("evidence", ()):
        seen = job.seen[item["~name"]]
        if not seen.sha256:
            continue
        ending = Path(item["file"]).suffix.lower()
        name = f"evidence/{_plain(item['~name'])}{_plain(ending)}"
        payload[name] = job.folder / item["file"]
        expected[name] = seen.sha256
    return payload, expected


def _findings(job: Job) -> bytes:
    import jsonschema

    data: Any = json.loads(json.dumps(findings_data(job.checked)))
    jsonschema.validate(data, json.loads(SCHEMA.read_text("utf-8")))
    text = json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False, sort_keys=True)
    return f"{text}\n".encode()


def _rulesets(job: Job) -> Payload:
    root = job.rules.files[0].parent
    return {
        f"rulesets/{path.relative_to(root).as_posix()}": path.read_bytes()
        for path in job.rules.files
    }


_WHAT = {
    "documents/gap-report": "What is not yet shown, and what would settle it",
    "documents/commissioning-test-report": "What was installed, measured and worked out",
    "documents/component-register": "What was fitted, with approvals and serial numbers",
    "documents/isolation-shutdown-sheet": "How to switch off, and what stays live",
    "documents/isolation-label-schedule": "What can be live where, what frees it, and labels",
    "documents/leave-safe-sheet-for-occupier": "How the site was left, for who lives there",
    "documents/leave-safe-sheet": "How the last visit left the site",
    "documents/energy-estimate": "What the panels may give in a year, and in each month",
    "documents/visit-record": "One visit: who, what was done and read, how it was left",
    "documents/notice-of-danger": "Each danger found, and what makes it safe",
    "record/installation.yaml": "The record of the job, as it was checked",
    "record/firm.yaml": "What the firm knows once, of which the record takes what it names",
    "findings.json": "Every finding of the check, for programs",
    "rulesets/sources.yaml": "The register of the documents that rules and limits cite",
    "rulesets": "Rules or limits that were applied",
}


def _contents(payload: Payload) -> list[Content]:
    """What the annex lists: everything that was made so far, with its hash."""
    return [
        Content(
            name, _what(name), sha256_bytes(data if isinstance(data, bytes) else data.read_bytes())
        )
        for name, data in sorted(payload.items())
    ]


def _what(name: str) -> str:
    known = next(text for start, text in _WHAT.items() if name.startswith(start))
    form = {"pdf": ", to print", "docx": ", to edit"}.get(name.rpartition(".")[2], "")
    return known + form


def _cover(job: Job, issued: Issued, files: int, templates: Path) -> Mapping[str, bytes]:
    view = job.view
    values = {
        "reference": job.checked.reference,
        "title": job.checked.title,
        "address": said(view["site"], "address", ""),
        "firm": firm(view),
        "customer": said(view["customer"], "name", "the customer"),
        "on": day(job.checked.on),
        "state": _state(job),
        "root": _grouped(issued.root),
        "pack_id": issued.pack_id,
        "folder": issued.folder.name,
        "files": files,
        "no_permission": NO_PERMISSION,
    }
    document = rendered(job, "cover-sheet", (values, {}), templates)
    footer = f"{job.checked.reference}, pack {issued.pack_id}, {job.checked.on}"
    name = issued.folder.name.replace("pack-", "cover-sheet-", 1)
    return in_both(document, footer, name, is_draft=job.checked.is_held_up)


def _grouped(root: str) -> str:
    """The root in groups of eight, so that two people can read it to each other."""
    return " ".join(root[i : i + 8] for i in range(0, len(root), 8))


def _plain(text: str) -> str:
    """Text as part of a file name: small letters, digits, dots, dashes."""
    return re.sub(r"[^a-z0-9.]+", "-", text.lower()).strip("-")[:60] or "x"
