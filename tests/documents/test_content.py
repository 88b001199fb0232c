"""Templates: what they may hold, and that values never pass through Markdown."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from compliance.documents import refusals
from compliance.documents.content import Template, load_template, parse_template
from compliance.documents.text import NotTextError, UnprintableCharacterError
from compliance.documents.tree import (
    Caution,
    Column,
    Heading,
    Item,
    ListBlock,
    Paragraph,
    Run,
    SignatureBlock,
    Table,
    text_runs,
)
from compliance.errors import ComplianceError, DocumentError

TEMPLATES = Path(__file__).parents[2] / "templates"
TABLE = Table("Caption", (Column("A"), Column("B")), (("1", "2"),))


def trial(body: str, needs: str = "x", tables: str = "") -> Template:
    """A template whose body starts on line 7."""
    front = f"---\ntitle: Trial\nkind: trial\nneeds: [{needs}]\ntables: [{tables}]\n---\n"
    return parse_template(front + body, "trial.md.j2")


@pytest.mark.parametrize(
    "value",
    ["<none>", "AT&T", "5 &lt 6", "<b>x", "{{7*7}}", "{% for %}", "# heading", "**x**", "|a|b|",
     "- item", "1. item", "> said", "```", "[a](b)", "![a](b)", "---", "a\n\n# b",
     "&copy;", "<!-- x -->", "http://x.invalid", "\\*x\\*", "_x_", "`x`"],
)  # fmt: skip
def test_a_value_is_one_literal_run_wherever_it_stands(value: str) -> None:
    template = trial("# T {{ x }}\n\n{{ x }}\n\n- {{ x }}\n\n**{{ x }}** *{{ x }}* a{{ x }}b\n")
    assert template.render({"x": value}).blocks == (
        Heading(1, (Run("T "), Run(value))),
        Paragraph((Run(value),)),
        ListBlock((Item((Run(value),)),)),
        Paragraph(
            (
                Run(value, strong=True),
                Run(" "),
                Run(value, emphasis=True),
                Run(" a"),
                Run(value),
                Run("b"),
            )
        ),
    )


def test_markdown_becomes_blocks() -> None:
    template = trial(
        "# Title\n\nOne\ntwo *three* \\*four\\*.\n\n- **Label** words {{ x }}\n- **Other** more\n\n"
        "1. first\n2. second\n\n- plain\n- **not** all\n- labels\n\n### {{ x }}\n"
    )
    assert template.render({"x": "v"}).blocks == (
        Heading(1, (Run("Title"),)),
        Paragraph((Run("One "), Run("two "), Run("three", emphasis=True), Run(" *four*."))),
        ListBlock((Item((Run("words "), Run("v")), "Label"), Item((Run("more"),), "Other"))),
        ListBlock((Item((Run("first"),)), Item((Run("second"),))), is_ordered=True),
        ListBlock(
            (
                Item((Run("plain"),)),
                Item((Run("not", strong=True), Run(" all"))),
                Item((Run("labels"),)),
            )
        ),
        Heading(3, (Run("v"),)),
    )


def test_loops_conditions_and_parts_of_values() -> None:
    @dataclass(frozen=True)
    class Thing:
        name: str
        parts: tuple[str, ...]

    template = trial(
        "# T\n\n{% for thing in x %}\n## {{ thing.name }}\n\n"
        "{% if thing.parts and not thing.name.upper %}\nnever\n\n{% endif %}\n"
        "{% for part in thing.parts %}\n- {{ part }}\n{% endfor %}\n\n{% endfor %}\n"
    )
    with pytest.raises(refusals.NoSuchPartError, match='no "upper"'):
        template.render({"x": [Thing("a", ("1",))]})
    template = trial(
        "# T\n\n{% for thing in x %}\n## {{ thing.name }}\n\n"
        "{% for part in thing.parts %}\n- {{ part }}\n{% endfor %}\n\n"
        "{% if not thing.parts %}\nno parts\n\n{% endif %}\n{% endfor %}\n"
    )
    document = template.render({"x": [Thing("a", ("1", "2")), {"name": "b", "parts": []}]})
    assert text_runs(document) == ["T", "a", "1", "2", "b", "no parts"]


def test_blocks_that_stand_alone_come_whole() -> None:
    body = "# T\n\n{{ table('t') }}\n\n{{ notice('Mind', x) }}\n\n{{ signature('Who') }}\n\n"
    document = trial(body + "{{ cautions() }}\n", tables="t").render({"x": "# v"}, {"t": TABLE})
    assert document.blocks[1:4] == (TABLE, Caution("Mind", ("# v",)), SignatureBlock("Who"))
    assert isinstance(document.blocks[4], Caution)


@pytest.mark.parametrize(
    ("line", "body", "error", "says"),
    [
        (9, "# T\n\n{% macro a() %}b{% endmacro %}\n{{ x }}", refusals.NotAllowedError, "a macro"),
        (9, "# T\n\n{% set y = 1 %}\n{{ x }}", refusals.NotAllowedError, "{% set %}"),
        (9, "# T\n\n{% set y %}a{% endset %}{{ x }}", refusals.NotAllowedError, "{% set %} block"),
        (9, "# T\n\n{% filter upper %}a{% endfilter %}", refusals.NotAllowedError, "filter block"),
        (9, "# T\n\n{{ x | upper }}", refusals.NotAllowedError, "a filter"),
        (9, "# T\n\n{{ x[0] }}", refusals.NotAllowedError, "square brackets"),
        (9, "# T\n\n{{ 7 * 7 }}", refusals.NotAllowedError, "Mul"),
        (9, "# T\n\n{{ 'word' }}", refusals.NotAllowedError, "a value written out"),
        (9, "# T\n\n{{ x.upper() }}", refusals.NotAllowedError, "a call"),
        (9, "# T\n\n{{ x.__class__ }}", refusals.NotAllowedError, "__class__"),
        (9, "# T\n\n{{ _x }}", refusals.NotAllowedError, "_x"),
        (9, "# T\n\n{% include 'x' %}", refusals.NotAllowedError, "Include"),
        (9, "# T\n\n{% extends 'x' %}", refusals.NotAllowedError, "Extends"),
        (9, "# T\n\n{% raw %}{{ x }}{% endraw %}", refusals.NotAllowedError, "raw"),
        (9, "# T\n\n{% if x == 1 %}a{% endif %}", refusals.NotAllowedError, "a comparison"),
        (9, "# T\n\n{% for a in x if a %}{{ a }}{% endfor %}", refusals.NotAllowedError, "for"),
        (9, "# T\n\n{% for a, b in x %}{% endfor %}", refusals.NotAllowedError, "for"),
        (9, "# T\n\n{{ table(x) }}", refusals.NotAllowedError, "not written out"),
        (9, "# T\n\n{{ table() }}", refusals.NotAllowedError, "0 arguments"),
        (9, "# T\n\n{{ range(9) }}", refusals.NotAllowedError, "a call"),
        (9, "# T\n\n{{ x ", refusals.UnreadableError, "not understood"),
        (9, "# T\n\n{% if x %}", refusals.UnreadableError, "not understood"),
        (9, "# T\n\nsee `{{ x }}`", refusals.NotOurMarkdownError, "code"),
        (9, "# T\n\n```\n{{ x }}\n```", refusals.NotOurMarkdownError, "a block of code"),
        (9, "# T\n\n    {{ x }}", refusals.NotOurMarkdownError, "four blanks"),
        (9, "# T\n\n[a]({{ x }})", refusals.NotOurMarkdownError, "a link"),
        (9, "# T\n\n![a]({{ x }})", refusals.NotOurMarkdownError, "a link"),
        (9, "# T\n\n> {{ x }}", refusals.NotOurMarkdownError, "a quotation"),
        (10, "# T\n\n{{ x }}\n---\n", refusals.NotOurMarkdownError, "a rule"),
        (9, "# T\n\n{{ x }}  \nmore", refusals.NotOurMarkdownError, "line end"),
        (9, "# T\n\n#### {{ x }}", refusals.NotOurMarkdownError, "level 4"),
        (9, "# T\n\n3. {{ x }}", refusals.NotOurMarkdownError, "start at 1"),
        (10, "# T\n\n- a\n  - {{ x }}", refusals.NotOurMarkdownError, "list item"),
        (11, "# T\n\n- a\n\n  {{ x }}", refusals.NotOurMarkdownError, "list item"),
        (7, "{{ x }}\n\n# T", refusals.NotOurMarkdownError, "exactly one title"),
        (7, "# T\n\n# {{ x }}", refusals.NotOurMarkdownError, "exactly one title"),
        (9, "# T\n\nwords {{ notice('a', x) }}", refusals.NotAloneError, "amid other words"),
        (9, "# T\n\n- {{ notice('a', x) }}", refusals.NotAloneError, "amid other words"),
        (11, "# T\n\n{% for a in x %}\nwords\n{{ notice('a', a) }}\n\n{% endfor %}",
         refusals.NotAloneError, "amid other words"),
        (10, "# T\n\n{% if x %}\nsee `{{ x }}`\n{% endif %}", refusals.NotOurMarkdownError, "code"),
        (9, "# T\n\n電 {{ x }}", UnprintableCharacterError, "U+96FB"),
        (9, "# T\n\n\ue000 {{ x }}", UnprintableCharacterError, "U+E000"),
        (1, "# T\n\n{{ x }} {{ y }}", refusals.NamesDifferError, '"y"'),
        (1, "# T\n\nwords", refusals.NamesDifferError, '"x"'),
        (1, "# T\n\n{{ x }}\n\n{{ table('t') }}", refusals.NamesDifferError, '"t"'),
    ],
)  # fmt: skip
def test_what_a_template_may_not_hold_is_refused_with_its_line(
    line: int, body: str, error: type[DocumentError], says: str
) -> None:
    with pytest.raises(error) as caught:
        trial(body)
    assert says in str(caught.value)
    assert caught.value.place is not None
    assert (caught.value.place.file, caught.value.place.line) == ("trial.md.j2", line)


@pytest.mark.parametrize(
    ("line", "source", "says"),
    [
        (1, "# T\n", "no front matter"),
        (2, "---\nname: a\n---\n# T\n", '"name"'),
        (2, "---\ntitle: a\nkind: b\nneeds: []\n---\n# T\n", '"tables"'),
        (4, "---\ntitle: a\nkind: b\nneeds: x\ntables: []\n---\n# T\n", '"needs"'),
        (4, "---\ntitle: a\nkind: b\npage: poster\nneeds: []\ntables: []\n---\n# T\n", "page"),
    ],
)
def test_front_matter_says_what_is_missing(line: int, source: str, says: str) -> None:
    with pytest.raises(refusals.FrontMatterError) as caught:
        parse_template(source, "trial.md.j2")
    assert says in str(caught.value)
    assert caught.value.place is not None
    assert caught.value.place.line == line


def test_front_matter_is_as_strict_as_every_other_file() -> None:
    with pytest.raises(ComplianceError) as caught:
        parse_template("---\ntitle: a\ntitle: b\n---\n# T\n", "trial.md.j2")
    assert ":3" in str(caught.value)


def test_values_and_tables_are_exactly_those_needed() -> None:
    template = trial("# T\n\n{{ x }}\n\n{{ table('t') }}\n", tables="t")
    with pytest.raises(refusals.ValuesDifferError, match='needs "x"'):
        template.render({}, {"t": TABLE})
    with pytest.raises(refusals.ValuesDifferError, match='given "y"'):
        template.render({"x": "1", "y": "2"}, {"t": TABLE})
    with pytest.raises(refusals.ValuesDifferError, match='needs "t"'):
        template.render({"x": "1"})


@pytest.mark.parametrize("value", [None, 0.5, True, ["a"], {"a": "b"}])
def test_a_value_that_is_not_text_is_named_with_its_line(value: object) -> None:
    with pytest.raises(NotTextError) as caught:
        trial("# T\n\n{{ x }}\n").render({"x": value})
    assert str(caught.value).startswith("trial.md.j2:9  x\n")


def test_a_character_that_cannot_be_printed_is_named_with_field_and_line() -> None:
    with pytest.raises(UnprintableCharacterError) as caught:
        trial("# T\n\n{{ x.name }}\n").render({"x": {"name": "bell \x07"}})
    assert str(caught.value).startswith("trial.md.j2:9  x.name\n")


def test_a_character_in_a_table_is_named_with_row_and_column() -> None:
    table = Table("C", (Column("A"), Column("B")), (("1", "2"), ("3", "\U0001f600")))
    with pytest.raises(UnprintableCharacterError, match=r'table t, row 2, column "B"'):
        trial("# T\n\n{{ x }}\n\n{{ table('t') }}", tables="t").render({"x": "1"}, {"t": table})


def test_repeating_over_a_text_is_refused() -> None:
    with pytest.raises(refusals.NoSuchPartError, match="is not a list"):
        trial("# T\n\n{% for a in x %}\n- {{ a }}\n{% endfor %}\n").render({"x": "abc"})


def test_a_title_is_short_enough_for_the_properties_of_every_file() -> None:
    with pytest.raises(DocumentError, match="at most 200"):
        trial("# {{ x }}\n").render({"x": "a" * 201})


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*.md.j2")), ids=lambda p: p.name)
def test_the_shipped_templates_load_and_carry_the_cautions(path: Path) -> None:
    template = load_template(path)
    assert template.kind == path.name.removesuffix(".md.j2")
    carried_along = ("isolation-shutdown", "leave-safe-sheet-for-occupier", "visit", "walk-round")
    in_brief = path.name.startswith(carried_along) and path.name != "visit-record.md.j2"
    assert f"{{{{ cautions{'_in_brief' * in_brief}() }}}}" in path.read_text("utf-8")
