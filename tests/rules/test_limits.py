"""Limit tables: rows and their bounds, the span of what could be, editions by day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from rules.small import RULESETS

from compliance.rules.language.interval import ANYTHING, INF, Interval, between, point
from compliance.rules.limit_files import load_limits
from compliance.rules.limits import LimitTables
from compliance.rules.sources import load_register

SOURCE = "source: {document: common-practice, confidence: common practice}"
DAY = date(2026, 2, 8)
TABLES = f"""\
limits: gb-tried
tables:
  least_megohm:
    title: By voltage
    by: {{size_v: an invented size}}
    editions:
      - {SOURCE}
        from: 2000-01-01
        rows: [{{below: 120, value: 0.5}}, {{up_to: 500, value: 1}}, {{above: 500, value: 2}}]
  multiple:
    title: By letter
    by: {{curve: a letter}}
    editions:
      - {{from: 2000-01-01, {SOURCE}, rows: [{{word: B, value: 5}}, {{word: C, value: 10}}]}}
  flat_percent:
    title: Two editions
    editions:
      - {{from: 2000-01-01, until: 2019-02-01, {SOURCE}, rows: [{{value: 4}}]}}
      - {{from: 2019-02-01, {SOURCE}, rows: [{{value: 5}}]}}
  fifth_ohm:
    title: Up to, then above
    by: {{rated_a: an invented current}}
    editions:
      - {{from: 2000-01-01, {SOURCE}, rows: [{{up_to: 32, value: 0.4}}, {{above: 32, value: 5}}]}}
"""


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> LimitTables:
    path: Path = tmp_path_factory.mktemp("limits") / "tried.yaml"
    path.write_text(TABLES, "utf-8")
    return load_limits([path], load_register(RULESETS))


@pytest.mark.parametrize(
    ("size", "value"),
    [
        (-10, 0.5),
        (0, 0.5),
        (119.999, 0.5),
        (120, 1),
        (120.001, 1),
        (500, 1),
        (500.001, 2),
        (9e9, 2),
    ],
)
def test_a_bound_belongs_to_the_row_that_says_so(
    tables: LimitTables, size: float, value: float
) -> None:
    assert tables.value("least_megohm", (point(size),), DAY) == point(value)


@pytest.mark.parametrize(("current", "value"), [(31.999, 0.4), (32, 0.4), (32.001, 5)])
def test_up_to_takes_its_bound_and_above_does_not(
    tables: LimitTables, current: float, value: float
) -> None:
    assert tables.value("fifth_ohm", (point(current),), DAY) == point(value)


@pytest.mark.parametrize(
    ("argument", "span"),
    [
        (ANYTHING, (0.5, 2)),
        (between(120, INF), (1, 2)),
        (between(120, INF, has_low=False), (1, 2)),
        (between(-INF, 120, has_high=False), (0.5, 0.5)),  # under 120
        (between(-INF, 120), (0.5, 1)),
        (between(500, INF, has_low=False), (2, 2)),  # over 500
        (between(500, INF), (1, 2)),
        (between(130, 140), (1, 1)),
    ],
)
def test_an_unsure_argument_gives_the_span_of_every_row_it_could_fall_in(
    tables: LimitTables, argument: Interval, span: tuple[float, float]
) -> None:
    assert tables.value("least_megohm", (argument,), DAY) == Interval(*span)


def test_a_word_gives_its_row_and_an_unknown_word_the_span(tables: LimitTables) -> None:
    assert tables.value("multiple", ("C",), DAY) == point(10)
    assert tables.value("multiple", (None,), DAY) == Interval(5, 10)


@pytest.mark.parametrize(
    ("day", "value"),
    [
        (date(1999, 12, 31), None),
        (date(2000, 1, 1), point(4)),
        (date(2019, 1, 31), point(4)),
        (date(2019, 2, 1), point(5)),
        (date(2050, 1, 1), point(5)),
    ],
)
def test_an_edition_holds_from_its_first_day_until_the_next_begins(
    tables: LimitTables, day: date, value: Interval | None
) -> None:
    assert tables.value("flat_percent", (), day) == value
    assert (tables.source("flat_percent", day) is None) is (value is None)


def test_a_table_says_how_it_is_asked(tables: LimitTables) -> None:
    signs = tables.signs
    assert signs["least_megohm"].unit.symbol == "MΩ"
    assert [str(a) for a in signs["flat_percent"].arguments] == []
    (word,) = signs["multiple"].arguments
    assert getattr(word, "words", None) == ("B", "C")


def test_every_shipped_row_is_reached_and_no_argument_falls_between() -> None:
    files = sorted((RULESETS / "gb" / "limits").glob("*.yaml"))
    shipped = load_limits(files, load_register(RULESETS))
    for size in (0, 60, 119.99, 120, 250, 499.9, 500, 500.1, 1500):
        found = shipped.value("insulation_megohm", (point(size),), DAY)
        assert found == point(0.5 if size < 120 else 1.0)
