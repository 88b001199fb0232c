"""The strict loader: what it gives for good files, and its promises for any bytes at all."""

from __future__ import annotations

import copy
import json
import os
import pickle
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, ValidationError

from compliance.errors import ComplianceError, Place, Problems
from compliance.files.paths import NotAFileError, NotThereError
from compliance.files.refusals import TooLargeError
from compliance.files.yaml import LIMIT_BYTES, Node, Tree, Written, parse_yaml, read_yaml

REPOSITORY = Path(__file__).parents[2]

JOB = """\
# an invented job
site: 1 Example Row
strings:
  S1: {in_series: 9, face: "south"}
tests:
  - of: S1
    value_v: 339.6
  - {of: S2, value_v: over 200}
  - - nested
    - list
notes: |
  two
  lines
built:
"""


PLAIN = (
    *("no", "on", "yes", "true", "null", "~", "="),
    *("010", "0x1F", "1_000", "1e3", "-5", "<5", "9999999999999999999999"),
    *("12:30", "190:20:30", "2026-02-30", "2026-2-8", ".nan", ".inf", "1e400"),
    *("S1#2", "http://example.org"),
)


def parse(text: str) -> Tree:
    return parse_yaml(text.encode(), name="job.yaml")


def written(tree: Tree) -> Iterator[Written]:
    """Every scalar of a tree, keys too."""

    def walk(node: Node) -> Iterator[Written]:
        if isinstance(node, dict):
            for key, value in node.items():
                assert isinstance(key, Written)
                yield key
                yield from walk(value)
        elif isinstance(node, list):
            for value in node:
                yield from walk(value)
        else:
            yield node

    return walk(tree.data)


def with_both_parsers(read: Callable[[], Tree]) -> tuple[object, object]:
    """What reading gives with the C parser and without it, marks and messages included."""

    def outcome() -> object:
        try:
            tree = read()
        except ComplianceError as refusal:
            return str(refusal)
        texts = [(str(w), w.line, w.column, w.style) for w in written(tree)]
        return tree.data, texts, dict(tree.entries)

    with_c = outcome()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("ruamel.yaml.main.CParser", None)
        return with_c, outcome()


# What a tree holds


def test_a_file_is_nested_dicts_lists_and_text() -> None:
    assert parse(JOB).data == {
        "site": "1 Example Row",
        "strings": {"S1": {"in_series": "9", "face": "south"}},
        "tests": [
            {"of": "S1", "value_v": "339.6"},
            {"of": "S2", "value_v": "over 200"},
            ["nested", "list"],
        ],
        "notes": "two\nlines\n",
        "built": "",
    }


@pytest.mark.parametrize("text", PLAIN)
def test_a_plain_value_stays_the_text_that_was_written(text: str) -> None:
    for value in (f"a: {text}\n", f"a:\n  - {text}\n", f"a: [{text}]\n", f"a: {{b: {text}}}\n"):
        *_, last = written(parse(value))
        assert last == text
        assert last.style == "plain"


def test_names_that_other_readers_take_for_one_value_stay_apart() -> None:
    assert parse("true: a\n1: b\nTrue: c\n").data == {"true": "a", "1": "b", "True": "c"}


@pytest.mark.parametrize(
    ("value", "text", "style"),
    [
        ("word", "word", "plain"),
        ('"word"', "word", "quoted"),
        ("'it''s'", "it's", "quoted"),
        ('"10 \\u03a9"', "10 Ω", "quoted"),
        ("|\n  two\n  lines", "two\nlines\n", "block"),
        (">-\n  200", "200", "block"),
        ("two\n  lines", "two lines", "plain"),
        ("", "", "plain"),
        ('""', "", "quoted"),
    ],
)
def test_each_text_knows_how_it_stood(value: str, text: str, style: str) -> None:
    (_, found) = written(parse(f"a: {value}\n"))
    assert (found, found.style) == (text, style)


@pytest.mark.parametrize("text", ["a: 1 # roof\n", "#commented: out\na: 1\n", "a: 1 #! odd\n"])
def test_a_comment_with_a_space_or_a_line_of_its_own_is_a_comment(text: str) -> None:
    assert parse(text).data == {"a": "1"}


def test_a_hash_inside_a_word_quotes_or_a_block_belongs_to_the_text() -> None:
    tree = parse("a: S1#2\nb: \"x #2\"\nc: 'y #3'\nd: |\n  z #4\n  # kept\n  e\n")
    assert tree.data == {"a": "S1#2", "b": "x #2", "c": "y #3", "d": "z #4\n# kept\ne\n"}


def test_tabs_inside_quotes_blocks_and_comments_are_fine() -> None:
    tree = parse("a: 'x\ty' # a\tb\nb: |\n  x\ty\n#\tc\n")
    assert tree.data == {"a": "x\ty", "b": "x\ty\n"}


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_kind_of_line_end_gives_the_same_tree_and_places(end: str) -> None:
    assert with_both_parsers(lambda: parse(JOB.replace("\n", end))) == with_both_parsers(
        lambda: parse(JOB)
    )


def test_a_byte_order_mark_before_utf_8_is_passed_over() -> None:
    tree = parse_yaml(b"\xef\xbb\xbfa: 1\n", name="job.yaml")
    assert tree.data == {"a": "1"}
    assert tree.place(["a"]).column == 4


def test_a_document_mark_before_and_after_the_only_document_is_fine() -> None:
    assert parse("---\na: 1\n...\n").data == {"a": "1"}


def test_a_time_needs_no_quotes_in_braces_or_brackets() -> None:
    assert parse("a: {on: 2026-10-09T13:40, at: [13:40]}\n").data == {
        "a": {"on": "2026-10-09T13:40", "at": ["13:40"]}
    }


def test_the_hash_is_that_of_the_bytes() -> None:
    data = b"\xef\xbb\xbfa: 1\r\n"
    assert parse_yaml(data, name="f").sha256 == sha256(data).hexdigest()


# Written


def test_written_text_is_an_ordinary_str_in_every_other_respect() -> None:
    (key, value) = written(parse("a: word\n"))
    assert value == "word"
    assert {str(value): 1}[value] == 1
    assert json.dumps({key: value}) == '{"a": "word"}'
    assert f"{value:>6}" == "  word"


def pickled(text: Written) -> Written:
    again = pickle.loads(pickle.dumps(text))  # noqa: S301 - our own bytes
    assert isinstance(again, Written)
    return again


@pytest.mark.parametrize("copied", [copy.copy, copy.deepcopy, pickled])
def test_a_copy_of_written_text_keeps_its_place(copied: Callable[[Written], Written]) -> None:
    (_, value) = written(parse("a: 'word'\n"))
    again = copied(value)
    assert (again, again.line, again.column, again.style) == ("word", 1, 4, "quoted")


# Places


@pytest.mark.parametrize(
    ("loc", "line", "column", "field"),
    [
        (["site"], 2, 7, "site"),
        (["strings"], 3, 1, "strings"),
        (["strings", "S1"], 4, 3, "strings.S1"),
        (["strings", "S1", "in_series"], 4, 19, "strings.S1.in_series"),
        (["strings", "S1", "face"], 4, 28, "strings.S1.face"),
        (["tests"], 5, 1, "tests"),
        (["tests", 0], 6, 5, "tests[1]"),
        (["tests", 0, "value_v"], 7, 14, "tests[1].value_v"),
        (["tests", 1], 8, 5, "tests[2]"),
        (["tests", 1, "value_v"], 8, 23, "tests[2].value_v"),
        (["tests", 2], 9, 5, "tests[3]"),
        (["tests", 2, 1], 10, 7, "tests[3][2]"),
        (["notes"], 11, 8, "notes"),
        (["built"], 14, 7, "built"),
        ([], 2, 1, ""),
    ],
)
def test_a_value_is_placed_at_itself_and_a_group_at_its_name(
    loc: list[str | int], line: int, column: int, field: str
) -> None:
    assert parse(JOB).place(loc) == Place("job.yaml", line, column, field)


@pytest.mark.parametrize(
    ("loc", "line", "column"),
    [
        (["site"], 2, 1),
        (["strings", "S1", "face"], 4, 22),
        (["tests", 1, "value_v"], 8, 14),
        (["tests", 1], 8, 5),
        (["tests", 2, 1], 10, 7),
        (["built"], 14, 1),
    ],
)
def test_the_name_of_a_value_has_a_place_of_its_own(
    loc: list[str | int], line: int, column: int
) -> None:
    place = parse(JOB).key_place(loc)
    assert (place.line, place.column) == (line, column)
    assert place.field == parse(JOB).place(loc).field


@pytest.mark.parametrize(
    ("loc", "line", "column", "field"),
    [
        (["strings", "S1", "parallel"], 4, 3, "strings.S1.parallel"),  # a missing field
        (["arrays", "A1", "pitch_deg"], 2, 1, "arrays.A1.pitch_deg"),
        (["tests", 9, "of"], 5, 1, "tests[10].of"),
        (["site", "str"], 2, 7, "site"),  # the member of a union that was tried
        (["tests", 1, "voltage", "value_v"], 8, 23, "tests[2].value_v"),  # which kind of test
        (["site", "function-after[short()]"], 2, 7, "site"),
        (["strings", "S1", "[key]"], 4, 3, "strings.S1"),
        (["tests", -1], 5, 1, "tests[0]"),
    ],
)
def test_what_was_not_written_is_placed_at_the_nearest_part_that_was(
    loc: list[str | int], line: int, column: int, field: str
) -> None:
    assert parse(JOB).place(loc) == Place("job.yaml", line, column, field)


def test_the_locations_that_pydantic_gives_have_places() -> None:
    class Test(BaseModel):
        model_config = ConfigDict(extra="forbid")
        of: str
        value_v: int | float

    class Job(BaseModel):
        model_config = ConfigDict(extra="forbid")
        tests: list[Test]

    tree = parse("tests:\n  - {of: S1, value_v: much}\n  - {value_v: 3, off: S2}\n")
    with pytest.raises(ValidationError) as caught:
        Job.model_validate(tree.data)
    places = set()
    for error in caught.value.errors():
        at = tree.key_place if error["type"] == "extra_forbidden" else tree.place
        places.add((error["type"], str(at(error["loc"]))))
    assert places == {
        ("int_parsing", "job.yaml:2:23  tests[1].value_v"),
        ("float_parsing", "job.yaml:2:23  tests[1].value_v"),
        ("missing", "job.yaml:3:5  tests[2].of"),
        ("extra_forbidden", "job.yaml:3:18  tests[2].off"),
    }


def test_columns_count_characters_and_not_bytes() -> None:
    tree = parse("é: {'Ω😀': 9}\n")
    assert tree.place(["é", "Ω😀"]).column == 11


@pytest.mark.parametrize(
    ("text", "loc", "line", "column"),
    [
        ("a:\nb: 1\n", ["a"], 1, 3),
        ("a:    # see below\n\n\nb: 1\n", ["a"], 1, 3),
        ("a: {b: , c: }\n", ["a", "c"], 1, 12),
        ("a: {b, c}\n", ["a", "b"], 1, 6),
        ("a:\n  - \n  - x\n", ["a", 0], 2, 4),
        ("? a\n: \n", ["a"], 1, 4),
    ],
)
def test_a_value_left_empty_is_placed_where_it_belongs(
    text: str, loc: list[str | int], line: int, column: int
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        for _ in range(2):
            place = parse(text).place(loc)
            assert (place.line, place.column) == (line, column)
            patch.setattr("ruamel.yaml.main.CParser", None)


def test_a_name_that_cannot_be_seen_whole_is_spelt_out_in_the_field() -> None:
    assert parse('"a\\nb": {c: 1}\n').place(["a\nb", "c"]).field == "a\\nb.c"


# Problems


def test_every_problem_of_a_file_is_told_at_once_in_the_order_of_the_file() -> None:
    text = "a: &x 1\nb: roof #2\nb: 2\nc: *x\nd: {e: 1, e: !!str 2}\nf: > 200\n"
    with pytest.raises(Problems) as caught:
        parse(text)
    assert [(p.place.line, p.id) for p in caught.value.problems if p.place] == [
        (1, "yaml.anchor"),
        (2, "yaml.glued-hash"),
        (3, "yaml.duplicate-key"),
        (4, "yaml.alias"),
        (5, "yaml.duplicate-key"),
        (5, "yaml.tag"),
        (6, "yaml.block-mark"),
    ]


def test_a_problem_names_the_field_it_is_in() -> None:
    with pytest.raises(ComplianceError) as caught:
        parse("tests:\n  - {of: S1}\n  - of: !!str S1\n")
    assert caught.value.place == Place("job.yaml", 3, 9, "tests[2].of")


def test_a_long_value_is_cut_in_a_message() -> None:
    with pytest.raises(ComplianceError) as caught:
        parse("a: 1\n" + "b" * 5000 + "\nc: 1\n")
    assert len(caught.value.what) < 400


# Files


def test_a_file_is_called_as_its_path_was_given(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("a: 1\n")
    assert read_yaml(path).name == str(path)
    assert read_yaml(path, name="job.yaml").place(["a"]) == Place("job.yaml", 1, 4, "a")


def test_a_file_that_is_too_large_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000_000)  # sparse: takes no room, and would never fit in memory
    with pytest.raises(TooLargeError, match="50,000,000,000 bytes; at most 262,144 are read"):
        read_yaml(path)


def test_a_file_of_exactly_the_limit_is_read(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("a: 1\n#" + "x" * (LIMIT_BYTES - 7) + "\n")
    assert path.stat().st_size == LIMIT_BYTES
    assert read_yaml(path).data == {"a": "1"}


def test_a_missing_file_or_a_folder_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(NotThereError, match="no-such"):
        read_yaml(tmp_path / "no-such.yaml")
    with pytest.raises(NotAFileError, match="folder"):
        read_yaml(tmp_path, name="the job")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "job.yaml")
    with pytest.raises(NotAFileError, match="pipe"):
        read_yaml(tmp_path / "job.yaml")


# Two parsers

CORPUS = [
    JOB,
    "a:\n- \n- # c\n-   \nb:\n",
    "a: {b: , c: }\nd: {e, f}\n",
    "\"a\": 'b'\n? c\n: d\n? e\nf: []\ng: {}\n",
    "a: >\n  folded\n  text\n\n  more\nb: |+\n  kept\n\nc: |2-\n    two\n",
    "a: two\n  lines\n\n  and more\nb: 'two\n\n  lines'\nc: \"two\\\n  lines\"\n",
    "é: [Ω, 😀, 日本]\n😀: {b: c}\n",
    "---\n# c\na: 1 # d\n\n# e\n...\n",
    "a: [b, [c, {d: e}], f: g]\n",
    "a: |\n \n    first\n\n    last\nb: >-\n        \n\n  more\n",
    "  a: 1\n  b:\n  - c\n  -   d: e\n      f: g\n",
    "a: b :c\nd: :e\nf: -g\nh: ?i\nj: x, y\nk: a]b}\n",
]


@pytest.mark.parametrize("text", CORPUS)
def test_the_c_parser_and_the_pure_one_give_the_same_tree(text: str) -> None:
    with_c, pure = with_both_parsers(lambda: parse(text))
    assert not isinstance(with_c, str), with_c
    assert with_c == pure


def test_the_c_parser_is_in_use_where_it_is_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("_ruamel_yaml")
    monkeypatch.delattr("ruamel.yaml.scanner.Scanner.fetch_more_tokens")  # pure can't read now
    assert parse("a: 1\n").data == {"a": "1"}


OUR_OWN = [p for top in ("rulesets", "sample_installs") for p in (REPOSITORY / top).rglob("*.yaml")]


@pytest.mark.parametrize("path", sorted(OUR_OWN), ids=lambda p: str(p.relative_to(REPOSITORY)))
def test_both_parsers_read_our_own_files_alike(path: Path) -> None:
    with_c, pure = with_both_parsers(lambda: read_yaml(path, name=path.name))
    assert with_c == pure


# Any input at all

FRAGMENTS = (
    *(
        "a",
        "b: ",
        "c:",
        "- ",
        "-",
        "\n",
        "\n  ",
        "\n    ",
        "\t",
        " ",
        "#",
        " # ",
        '"',
        "'",
        "[",
        "]",
    ),
    *("{", "}", ", ", ",", ">", "|", "> 200", "&", "*", "!", "? ", "?", ": ", ":", "\\", "\\n"),
    *("\\u00e9", "\\ud800", "\\U00110000", "%", "@", "`", "---", "...", "\r\n", "\r", "é", "😀"),
    *("\u200b", "\x00", "\ufeff", "x #2", "1", "key: value\n", "k2: [1, 2]\n", "k3: {a: b}\n"),
    *("t: |\n  text\n", "<<", "~", "null", "=", "\u2028", "\x85", "\x07", "\ufffe"),
)
ONE_OF_THEM = st.lists(st.sampled_from(FRAGMENTS), max_size=15).map("".join)
SEEDED = settings(max_examples=300, derandomize=True, deadline=None)


def tree_or_refusal(data: bytes) -> None:
    """Anything but a tree or one of our own refusals fails the test."""
    try:
        tree = parse_yaml(data, name="any")
    except ComplianceError as refusal:
        print(refusal)  # it can be printed, whatever it quotes
        return
    assert isinstance(tree.data, dict)
    for text in written(tree):
        assert text.line >= 1
        assert text.column >= 1
        text.encode("utf-8")


@given(st.binary(max_size=200))
@SEEDED
def test_any_bytes_give_a_tree_or_a_refusal(data: bytes) -> None:
    tree_or_refusal(data)


@given(ONE_OF_THEM)
@SEEDED
def test_any_odds_and_ends_of_yaml_give_a_tree_or_a_refusal(text: str) -> None:
    tree_or_refusal(text.encode())


@given(ONE_OF_THEM)
@SEEDED
def test_both_parsers_agree_on_odds_and_ends_of_yaml(text: str) -> None:
    with_c, pure = with_both_parsers(lambda: parse(text))
    assert with_c == pure


LEGIBLE = st.text(st.characters(exclude_categories=("C", "Zl", "Zp"), exclude_characters="<"))
VISIBLE_NAME = st.text(
    st.characters(categories=("Lu", "Ll", "Nd", "P"), exclude_characters="<", max_codepoint=0x2FF),
    min_size=1,
)


@given(
    st.dictionaries(
        VISIBLE_NAME,
        st.recursive(
            LEGIBLE,
            lambda inner: st.lists(inner) | st.dictionaries(VISIBLE_NAME, inner),
            max_leaves=8,
        ),
        min_size=1,
    )
)
@SEEDED
@pytest.mark.source("YAML 1.2.2", "section 1.2: JSON is a subset", "from memory")
def test_whatever_json_holds_is_read_back_whole_and_each_text_stands_at_its_place(
    data: dict[str, object],
) -> None:
    for indent in (None, 2):
        text = json.dumps(data, ensure_ascii=False, indent=indent)
        tree = parse(text)
        assert tree.data == json.loads(text)
        lines = text.split("\n")
        for scalar in written(tree):
            there = lines[scalar.line - 1][scalar.column - 1 :]
            assert there.startswith(json.dumps(scalar, ensure_ascii=False))


REPEATS = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n" for before, name in pairwise("abcdefghi")
)
HOSTILE = {
    "a hundred thousand brackets": "a: " + "[" * 100_000,
    "a hundred thousand braces": "{" * 100_000,
    "mappings in mappings": "a: " + "{a: " * 50_000,
    "dashes": "a:\n  " + "- " * 100_000,
    "question marks": "? " * 100_000,
    "eight hundred steps of indentation": "".join(" " * i + "a:\n" for i in range(700)),
    "a flat list": "a: [" + ",".join("1" * 131_000) + "]\n",
    "a list of lines": "a:\n" + "- 1\n" * 65_000,
    "as many names as are read": "".join(f"k{i}: {i}\n" for i in range(9_999)),
    "many names and a mistake after them": "".join(f"k{i}: {i}\n" for i in range(9_990)) + "x: > 2",
    "repeats of repeats": REPEATS,
    "one long word": "a: " + "x" * 262_000,
    "an open quote": 'a: "\n' + "b: c\n" * 52_000,
    "quotes": "a: " + "'" * 262_000,
    "backslashes": 'a: "' + "\\" * 262_000,
    "comments": "# x\n" * 65_000,
    "hashes": "a: 1 #x\n" * 30_000,
    "hashes in a comment": "a: 1 # " + "#x " * 80_000,
    "hashes in words": "a: [" + "b#c," * 9_000 + "] # " + "#x " * 70_000,
    "blank lines": "\n" * 262_000 + "a: 1",
    "spaces": " " * 262_000 + "a: 1",
    "percents": "%x\n" * 80_000,
    "nuls": "a: 1\0\n" * 40_000,
    "exclamation marks": "a: " + "!" * 262_000,
    "documents": "a: 1\n---\n" * 20_000,
    "the same name": "a: 1\n" * 50_000,
    "colons": "a: " + ": " * 130_000,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_input_takes_more_than_a_few_seconds(text: str) -> None:
    data = text.encode()
    assert len(data) <= LIMIT_BYTES
    started = time.process_time()
    with_c, pure = with_both_parsers(lambda: parse_yaml(data, name="hostile"))
    assert time.process_time() - started < 10  # both ways together; 3 s on the slowest seen
    assert with_c == pure
