"""Whatever a record says or leaves out, every paper of the job can be made of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rules.small import HEAD, TODAY
from rules.test_any_record import flow, group, without_contradictions

from compliance.cli.live import live_data
from compliance.documents.content import load_template
from compliance.documents.danger import danger_values
from compliance.documents.energy import has_panels
from compliance.documents.visit import visit_sheet, visit_tables, visit_values
from compliance.documents.visit_record import visit_record_tables, visit_record_values
from compliance.documents.walk import walk_tables, walk_values
from compliance.errors import ComplianceError
from compliance.files.resources import rulesets_folder, templates_folder
from compliance.pack.issue import DOCUMENTS, ESTIMATE
from compliance.portfolio.summary import line_data, more_data
from compliance.record.installation import Installation
from compliance.rules.connections import connections
from compliance.rules.job import Job, open_job
from compliance.rules.supply_list import supply_list

SAMPLES = Path(__file__).parents[2] / "sample_installs"
JOBS = sorted(path.parent for path in SAMPLES.glob("*/installation.yaml"))
ELSEWHERE = ("designed_to", "judgements", "departures", "batches", "batch", "usual")
"""What names something outside what is drawn, so that the record would be refused."""
ENOUGH = 12


def _here(node: Any) -> Any:
    if isinstance(node, dict):
        return {name: _here(value) for name, value in node.items() if name not in ELSEWHERE}
    return [_here(value) for value in node] if isinstance(node, list) else node


def _drawn(seed: int, folder: Path) -> Job | None:
    """A job of a record drawn from the models; None if it is refused."""
    rng = Random(seed)
    record = without_contradictions(group(Installation, rng, rng.choice((0.0, 0.2, 0.6))))
    lines = [f"{name}: {flow(node)}\n" for name, node in _here(record).items()]
    (folder / "installation.yaml").write_text(HEAD + "".join(lines), "utf-8")
    try:
        return open_job(folder, rulesets_folder(), today=TODAY)
    except ComplianceError:
        return None


def _rendered(name: str, values: dict[str, Any], tables: dict[str, Any]) -> None:
    load_template(templates_folder() / f"{name}.md.j2").render(values, tables)


def _papers(job: Job) -> dict[str, Callable[[], object]]:
    papers: dict[str, Callable[[], object]] = {
        "visit-sheet": lambda: _rendered("visit-sheet", visit_values(job), visit_tables(job)),
        "walk": lambda: _rendered("walk-round-sheet", walk_values(job), walk_tables(job)),
        "danger": lambda: danger_values(job),
        "line of many jobs": lambda: (line_data(job), more_data(job)),
        "what stays live": lambda: live_data(connections(job.view), frozenset()),
        "what to supply": lambda: supply_list(job.checked.findings),
        "what would be right": job.wanted,
        "beside each other": lambda: (job.like_strings(), job.then_and_now()),
        "workings": lambda: list(job.checked.workings),
    }
    for name, given in DOCUMENTS.items():
        if name != ESTIMATE or has_panels(job.view):
            papers[name] = lambda n=name, g=given: _rendered(n, *g(job, {}))  # type: ignore[misc]
    for visit in job.view.get("visits", ()):
        papers[f"visit record of {visit['~name']}"] = lambda v=visit: _rendered(  # type: ignore[misc]
            "visit-record", visit_record_values(job, v), visit_record_tables(job, v)
        )
    return papers


def test_every_paper_is_made_of_any_record(tmp_path: Path) -> None:
    accepted = 0
    for seed in range(40 * ENOUGH):
        job = _drawn(seed, tmp_path)
        accepted += job is not None
        for name, make in (_papers(job) if job else {}).items():
            try:
                make()
            except Exception as wrong:
                raise AssertionError(f"seed {seed}: {name}") from wrong
        if accepted == ENOUGH:
            return
    raise AssertionError(f"only {accepted} records loaded: the test tries too little")


@pytest.mark.parametrize("folder", JOBS, ids=lambda folder: folder.name)
def test_the_sheet_of_the_next_visit_is_made_of_every_sample(folder: Path) -> None:
    job = open_job(folder, rulesets_folder(), today=TODAY)
    assert visit_sheet(job, templates_folder()).keys() == {"visit-sheet.pdf", "visit-sheet.docx"}
