"""Every file under `yaml/` is one mistake; its first lines say what must be told about it.

    # expect: LINE:COL yaml.cause "words the message must hold"

One such line for each problem, and no others may be found, unless a line
`# expect: and others` says so. `# limit: 100 bytes` reads with that limit. A file that can't
carry text on its first line has them in `<case>.expect` beside it. New files are found by
themselves, and each is read with the C parser and with the pure one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from compliance.errors import ComplianceError, Problems, WrittenError
from compliance.files import refusals
from compliance.files.yaml import LIMIT_BYTES, parse_yaml

CASES = Path(__file__).with_name("yaml")
EXPECT = re.compile(r'# expect: (\d+):(\d+) (\S+) "(.+)"')
LIMIT = re.compile(r"# limit: (\d+) bytes")


def header(case: Path) -> list[str]:
    """The lines of a case that say what is expected."""
    beside = case.with_suffix(".expect")
    text = beside.read_text("utf-8") if beside.exists() else case.read_text("utf-8")
    lines = iter(text.splitlines())
    found = []
    for line in lines:
        if not line.startswith(("# expect: ", "# limit: ")):
            break
        found.append(line)
    return found


def problems(case: Path) -> list[ComplianceError]:
    """What the loader tells about a case."""
    limits = [int(m[1]) for m in map(LIMIT.fullmatch, header(case)) if m]
    limit = limits[0] if limits else LIMIT_BYTES
    with pytest.raises(ComplianceError) as caught:
        parse_yaml(case.read_bytes(), name=case.name, limit_bytes=limit)
    told = caught.value
    return list(told.problems) if isinstance(told, Problems) else [told]


def cases() -> list[Path]:
    return sorted(CASES.rglob("*.yaml"))


def causes(kind: type[WrittenError] = WrittenError) -> Iterator[type[WrittenError]]:
    """Every class of refusal that the loader can raise."""
    for subclass in kind.__subclasses__():
        if subclass.__module__ == refusals.__name__:
            yield subclass
            yield from causes(subclass)


@pytest.fixture(params=["C parser", "pure parser"])
def _each_parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if request.param == "pure parser":
        monkeypatch.setattr("ruamel.yaml.main.CParser", None)


@pytest.mark.usefixtures("_each_parser")
@pytest.mark.parametrize("case", cases(), ids=lambda c: f"{c.parent.name}/{c.stem}")
def test_each_mistake_is_told_at_its_place_with_what_would_be_right(case: Path) -> None:
    lines = header(case)
    expected = [EXPECT.fullmatch(line) for line in lines if line != "# expect: and others"]
    wanted = [m for m in expected if m]
    assert wanted, f"{case} says nothing of what is expected"

    told = problems(case)
    found = {(p.place.line, p.place.column, p.id): p.what for p in told if p.place}

    for line, column, cause, words in (m.groups() for m in wanted):
        assert words in found.get((int(line), int(column), cause), f"not among {sorted(found)}")
    if "# expect: and others" not in lines:
        assert len(told) == len(wanted), [str(p) for p in told]
    assert all(p.place and p.place.file == case.name for p in told)


@pytest.mark.parametrize("case", cases(), ids=lambda c: f"{c.parent.name}/{c.stem}")
def test_a_case_lies_in_the_folder_of_a_cause_it_expects(case: Path) -> None:
    assert f"yaml.{case.parent.name}" in " ".join(header(case))


def test_every_cause_has_a_case() -> None:
    folders = {case.parent.name for case in cases()}
    missing = {c.id for c in causes()} - {f"yaml.{name}" for name in folders}
    assert not missing, f"add tests/bad_input/yaml/<cause>/<case>.yaml for {sorted(missing)}"


def test_every_cause_has_an_id_of_its_own() -> None:
    ids = [cause.id for cause in causes()]
    assert len(ids) > 30
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("case", cases(), ids=lambda c: f"{c.parent.name}/{c.stem}")
def test_no_message_speaks_the_librarys_or_a_scolding_language(case: Path) -> None:
    for problem in problems(case):
        own_words = re.sub(r'"[^"]*"|`[^`]*`', "", problem.what)
        assert not re.search(
            r"\b(invalid|illegal|error|token|scalar|mapping|flow|simple key|stream|node|syntax)\b",
            own_words,
            re.I,
        )
