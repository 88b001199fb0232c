"""What a firm knows once, lent to each of its jobs: `firm.yaml` in the folder above the job.

The firm's people, instruments and usual parts have short names in one namespace with the
job's own. An entry of the firm is lent when the job names it: where a reference names it,
as `by: rowan`, it joins the record as it is; where an entry says `usual: NAME`, it takes
from the firm's entry of that name what it does not say itself. Nothing else is taken over,
except the organisation where the job states none. Each value keeps the line it stands on.

Of a site and of a batch the firm can say only what nobody has to see at the house: what is the
same in its whole area, and how it always does such work, once a person speaks for the batch.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from compliance.errors import RecordError, raise_all
from compliance.files.written import Tree, Written
from compliance.record import problems as wrong
from compliance.record.batch import HOW_IT_IS_DONE
from compliance.record.installation import Installation
from compliance.record.joined import Joining, mappings
from compliance.record.kinds import Reference
from compliance.record.opened import FIRM_FILE
from compliance.record.refusing import in_our_words
from compliance.record.said_once import USUAL
from compliance.record.shape import entries_of, fields, written_fields
from compliance.record.site import OF_AN_AREA

FORMAT = "firm/1"
COLLECTIONS = (
    "people", "instruments", "components", "isolators", "surge", "cables", "circuits", "labels",
    "visits",
)  # fmt: skip
SITES, BATCHES = "sites", "batches"


def firm_file(job: Path, firm: Path | None) -> Path:
    """Where a job's firm file is: in the folder named, else in the one above the job."""
    return (firm or job.absolute().parent) / FIRM_FILE


def lend_to_batches(joining: Joining, firm: Tree | None) -> None:
    """Gives the batches that somebody speaks for what the firm says of its usual ones.

    Raises:
        RecordError: If the firm's file says what cannot be, or a name stands in both;
            `Problems` if several. That a usual part is asked for which the firm does not
            have is one of the problems of the joining.
    """
    if firm is not None:
        raise_all(_wrong_in(firm))
        raise_all(_in_both(joining.tree, firm))
    said = dict(_held(firm, BATCHES)) if firm else {}
    for name, entry in joining.entries(BATCHES):
        if "by" in entry:
            _fill(joining, firm, (BATCHES, name), BATCHES, entry)
        elif str(entry.get(USUAL, "")) in said:
            words = said[str(entry[USUAL])]
            joining.would_say[str(name)] = {str(k): str(v) for k, v in words.items()}


def usual_batches(firm: Tree | None) -> list[str]:
    """The names of the batches of which a firm says how it always does them."""
    return [name for name, _ in _held(firm, BATCHES)] if firm else []


def lend(joining: Joining, firm: Tree | None) -> None:
    """Gives a record all else that its firm lends it, once its batches have spoken."""
    site = joining.data.get("site")
    if isinstance(site, Mapping):
        _fill(joining, firm, ("site",), SITES, site)
    for collection in COLLECTIONS:
        for name, entry in joining.entries(collection):
            _fill(joining, firm, (collection, name), collection, entry)
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
    at: tuple[str | int, ...],
    collection: str,
    entry: Mapping[str, Any],
) -> None:
    """Gives an entry that says `usual` what it does not say itself."""
    usual = entry.get(USUAL)
    if not isinstance(usual, Written):
        return
    place = joining.place((*at, USUAL))
    known = dict(_held(firm, collection)) if firm else {}
    found = known.get(str(usual))
    if firm is None or found is None:
        named = [str(name) for name in known]
        joining.problems.append(
            wrong.UnknownUsualError(str(usual), collection, named, firm is not None, place)
        )
        return
    tag = fields(Installation)[collection].tag_field if collection in COLLECTIONS else ""
    if tag and str(entry.get(tag, found.get(tag))).strip() != str(found.get(tag)).strip():
        joining.problems.append(wrong.AnotherKindError(str(usual), tag, str(found[tag]), place))
        return
    joining.give(at, entry, found, (firm, (collection, str(usual))))


def _held(firm: Tree, collection: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The entries of a collection in a firm's file that are groups, by name."""
    held = firm.data.get(collection)
    for name, entry in held.items() if isinstance(held, Mapping) else ():
        if isinstance(entry, Mapping):
            yield str(name), entry


def _add_named(joining: Joining, firm: Tree) -> bool:
    """Adds the entries of the firm that references name; whether there were any."""
    wanted = [
        (collection, name)
        for collection, name in _named(joining.data)
        if name in dict(mappings(firm.data, collection))
        and name not in dict(joining.entries(collection))
    ]
    for collection, name in dict.fromkeys(wanted):
        joining.put((collection, name), dict(mappings(firm.data, collection))[name])
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
    known = ("firm", "organisation", *COLLECTIONS, SITES, BATCHES)
    problems: list[RecordError] = [
        wrong.UnknownFieldError(str(key), known, firm.key_place((str(key),)))
        for key in firm.data
        if key not in known
    ]
    problems += _usual_of_usual(firm)
    problems += _only(firm, SITES, OF_AN_AREA, "of all the properties in an area")
    problems += _only(firm, BATCHES, HOW_IT_IS_DONE, "of how it always works")
    said = _as_a_record(firm)
    try:
        theirs = ("organisation", *COLLECTIONS)
        Installation.model_validate({k: v for k, v in said.data.items() if k in theirs})
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


def _only(
    firm: Tree, collection: str, fields_of_it: tuple[str, ...], what: str
) -> Iterator[RecordError]:
    """What a firm says of its sites or batches that somebody has to see at each house."""
    for name, entry in _held(firm, collection):
        paths = [
            (key, *(below and (below,)))
            for key, value in entry.items()
            for below in (value if isinstance(value, Mapping) else ("",))
        ]
        for path in paths:
            said = ".".join(map(str, path))
            if said not in fields_of_it:
                place = firm.key_place((collection, name, *path))
                yield wrong.NotForAFirmError(said, what, fields_of_it, place)


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
