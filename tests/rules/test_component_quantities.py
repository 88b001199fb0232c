"""How many modules were fitted and how many have their number: from strings and list."""

from __future__ import annotations

from rules.small import check, one, told

LISTED = one(
    "for: module in modules\nbefore: use\n"
    "must: module.modules_fitted <= module.serials_listed <= module.modules_fitted"
)
FOUR = "serials: [A-1, A-2, A-3, A-4]"


def _needs(record: str) -> set[tuple[str, str]]:
    return {(n.path, n.reason) for f in check(LISTED, record).findings for n in f.needs}


def _record(serials: str, *strings: str) -> str:
    lines = "".join(f"  S{n}: {{{string}}}\n" for n, string in enumerate(strings, 1))
    more = f", {serials}" if serials else ""
    return f"components:\n  m: {{category: module{more}}}\n  n: {{category: module}}\n" + (
        f"strings:\n{lines}" if lines else ""
    )


def _outcome(record: str) -> str:
    return told(check(LISTED, record))["m"]


def test_modules_of_all_strings_and_rows_are_counted() -> None:
    strings = ("modules: m, in_series: 2, parallel: 1", "modules: m, in_series: 1, parallel: 2")
    assert _outcome(_record(FOUR, *strings)) == "met"
    assert _outcome(_record(FOUR, strings[0])) == "not met"


def test_strings_of_other_modules_are_not_counted() -> None:
    strings = ("modules: m, in_series: 4, parallel: 1", "modules: n, in_series: 9, parallel: 1")
    assert _outcome(_record(FOUR, *strings)) == "met"


def test_a_number_written_twice_counts_once() -> None:
    string = "modules: m, in_series: 4, parallel: 1"
    assert _outcome(_record("serials: [A-1, A-2, A-3, A-3]", string)) == "not met"


def test_what_a_string_leaves_out_is_asked_for_by_its_name() -> None:
    needs = _needs(_record(FOUR, "modules: m, in_series: 4"))
    assert ("strings[S1].parallel", "missing") in needs


def test_a_string_that_may_have_these_modules_leaves_the_count_open() -> None:
    record = _record(FOUR, "modules: m, in_series: 4, parallel: 1", "in_series: 4, parallel: 1")
    assert _outcome(record) == "not shown"
    assert ("strings[S2].modules", "missing") in _needs(record)


def test_without_strings_or_list_nothing_passes() -> None:
    assert _outcome(_record(FOUR)) == "not shown"
    assert ("module.strings", "missing") in _needs(_record(FOUR))
    record = _record("", "modules: m, in_series: 4, parallel: 1")
    assert _outcome(record) == "not shown"
    assert ("module.serials", "missing") in _needs(record)


def test_modules_that_no_string_has_are_not_in_order_by_being_none() -> None:
    assert _outcome("components: {m: {category: module, serials: [A-1]}}\nstrings: none\n") == (
        "not met"
    )


def test_the_count_is_printed_with_its_lines() -> None:
    record = _record(FOUR, "modules: m, in_series: 2, parallel: 1",
                     "modules: m, in_series: 1, parallel: 2")  # fmt: skip
    workings = {w.quantity: w for w in check(LISTED, record).workings if w.subject == "m"}
    assert workings["modules_fitted"].inputs == (("modules of each string", "2, 2"),)
    assert workings["modules_fitted"].result == "4"
    assert workings["serials_listed"].result == "4"
