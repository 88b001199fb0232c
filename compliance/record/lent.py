"""What a firm knows once, lent to each of its jobs: `firm.yaml` in the folder above the job.

The firm's people, instruments and usual parts have short names in one namespace with the
job's own. An entry of the firm is lent when the job names it: where a reference names it,
as `by: rowan`, it joins the record as it is; where an entry says `usual: NAME`, it takes
from the firm's entry of that name what it does not say itself. Nothing else is taken over,
except the organisation where the job states none. Each value keeps the line it stands on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from compliance.errors import RecordError, raise_all
from compliance.files.written import Tree, Written
from compliance.record import problems as wrong
from compliance.record.installation import Installation
from compliance.record.joined import Joining, mappings
from compliance.record.kinds import Reference
from compliance.record.opened import FIRM_FILE
from compliance.record.refusing import in_our_words
from compliance.record.shape import entries_of, fields, written_fields

FORMAT = "firm/1"
COLLECTIONS = (
    "people", "instruments", "components", "isolators", "surge", "cables", "circuits", "labels",
    "visits",
)  # fmt: skip
USUAL = "usual"


def firm_file(job: Path, firm: Path | None) -> Path:
    """Where a job's firm file is: in the folder named, else in the one above the job."""
    return (firm or job.absolute().parent) / FIRM_FILE


def lend(joining: Joining, firm: Tree | None) -> None:
    """Gives a record what its firm lends it.

    Raises:
        RecordError: If the firm's file says what cannot be, or a name stands in both;
            `Problems` if several. That a usual part is asked for which the firm does not
            have is one of the problems of the joining.
    """
    if firm is not None:
        raise_all(_wrong_in(firm))
        raise_all(_in_both(joining.tree, firm))
    for collection in COLLECTIONS:
        for name, entry in joining.entries(collection):
            _fill(joining, firm, collection, name, entry)
    if firm is None:
        return
    if "organisation" in firm.data and "organisation" not in joining.data:
        joining.data["organisation"] = firm.data["organisation"]
        joining.elsewhere["organisation",] = (firm, ("organisation",))
    while _add_named(joining, firm):
        pass


def _fill(
    joining: Joining,
    firm: Tree | None,
    collection: str,
    name: str | int,
    entry: Mapping[str, Any],
) -> None:
    """Gives an entry that says `usual` what it does not say itself."""
    usual = entry.get(USUAL)
    if not isinstance(usual, Written):
        return
    place = joining.place((collection, name, USUAL))
    known = dict(mappings(firm.data, collection)) if firm else {}
    found = known.get(str(usual))
    if firm is None or found is None:
        named = [str(name) for name in known]
        joining.problems.append(
            wrong.UnknownUsualError(str(usual), collection, named, firm is not None, place)
        )
        return
    tag = fields(Installation)[collection].tag_field
    if tag and str(entry.get(tag, found.get(tag))).strip() != str(found.get(tag)).strip():
        joining.problems.append(wrong.AnotherKindError(str(usual), tag, str(found[tag]), place))
        return
    joining.give((collection, name), entry, found, (firm, (collection, str(usual))))


def _add_named(joining: Joining, firm: Tree) -> bool:
    """Adds the entries of the firm that references name; whether there were any."""
    wanted = [
        (collection, name)
        for collection, name in _named(joining.data)
        if name in dict(mappings(firm.data, collection))
        and name not in dict(joining.entries(collection))
    ]
    for collection, name in dict.fromkeys(wanted):
        joining.put(collection, name, dict(mappings(firm.data, collection))[name])
        joining.elsewhere[collection, name] = (firm, (collection, name))
    return bool(wanted)


def _named(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every name that a reference in a record names, with the collection it is sought in."""
    for found in written_fields(Installation, data):
        if isinstance(found.shape.kind, Reference):
            collection = found.shape.kind.to.partition(".")[0]
            values = found.value if isinstance(found.value, list) else [found.value]
            for value in values:
                if isinstance(value, Written) and collection in COLLECTIONS:
                    yield collection, str(value).strip()


# -- what can be wrong --------------------------------------------------------------------


def _wrong_in(firm: Tree) -> list[RecordError]:
    """What cannot be in a firm's file; what a usual part leaves for the job to say is fine."""
    if str(firm.data.get("firm", "")).strip() != FORMAT:
        return [wrong.FirmFormatError(firm.place(("firm",)))]
    known = ("firm", "organisation", *COLLECTIONS)
    problems: list[RecordError] = [
        wrong.UnknownFieldError(str(key), known, firm.key_place((str(key),)))
        for key in firm.data
        if key not in known
    ]
    problems += _usual_of_usual(firm)
    said = _as_a_record(firm)
    try:
        Installation.model_validate({k: v for k, v in said.data.items() if k in known[1:]})
    except ValidationError as failed:
        found = in_our_words(failed, said, Installation)
        tags = {f'"{shape.tag_field}"' for shape in fields(Installation).values()}
        problems += [p for p in found if not _is_left_to_the_job(p, tags)]
    return problems


def _as_a_record(firm: Tree) -> Tree:
    """A firm's file with the visits, which have names in it, as the list that a record has."""
    joining = Joining(firm)
    visits = list(mappings(firm.data, "visits"))
    if visits:
        joining.arrange("visits", [(dict(e), (firm, ("visits", n))) for n, e in visits])
    return joining.result()


def _usual_of_usual(firm: Tree) -> Iterator[RecordError]:
    for collection in COLLECTIONS:
        for name, entry in mappings(firm.data, collection):
            if USUAL in entry:
                place = firm.place((collection, name, USUAL))
                yield wrong.UsualOfUsualError(str(name), str(entry[USUAL]), place)


def _is_left_to_the_job(problem: RecordError, tags: Iterable[str]) -> bool:
    is_missing = isinstance(problem, wrong.MissingFieldError)
    return is_missing and not any(problem.what.startswith(tag) for tag in tags if tag != '""')


def _in_both(tree: Tree, firm: Tree) -> Iterator[RecordError]:
    theirs = {name: c for c in COLLECTIONS for name, _ in mappings(firm.data, c)}
    for collection, shape in fields(Installation).items():
        for key, _ in entries_of(shape, tree.data.get(collection)) if shape.is_named else ():
            name = str(key)
            if name in theirs:
                there = firm.key_place((theirs[name], name))
                yield wrong.NameOfFirmError(name, there, tree.key_place((collection, name)))
