"""What a sample shows: bounds against published figures and scipy, and nothing counted twice."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import docx
import pypdf
import pytest
from scipy import stats

from compliance.errors import Place
from compliance.portfolio.conclude import conclude, standard_error
from compliance.portfolio.draw import Draw, draw
from compliance.portfolio.frame import WHOLE, frame_of
from compliance.portfolio.intervals import binomial_interval, finite_interval, most_bad
from compliance.portfolio.results import BAD, NOT_SEEN, SOUND, Found

Call = Callable[..., tuple[int, str, str]]
TINY = 1e-9


@pytest.mark.source(
    document="Newcombe 1998, as the reference facts give it (section 10)",
    table="81 of 263 and 0 of 20 at 95 %, Clopper-Pearson",
    confidence="from memory",
)
@pytest.mark.parametrize(
    ("seen", "bad", "low", "high"), [(263, 81, 0.2527, 0.3676), (20, 0, 0.0, 0.1684)]
)
def test_the_interval_of_a_rate_that_goes_on(seen: int, bad: int, low: float, high: float) -> None:
    assert binomial_interval(seen, bad, 0.95) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.source(document="scipy", table="beta.ppf", confidence="opened")
def test_the_interval_of_a_rate_agrees_with_scipy() -> None:
    rng = random.Random(8)
    for _ in range(150):
        seen = rng.randint(1, 400)
        bad, confidence = rng.randint(0, seen), rng.choice((0.8, 0.9, 0.95, 0.99))
        tail = (1 - confidence) / 2
        low = float(stats.beta.ppf(tail, bad, seen - bad + 1)) if bad else 0.0
        high = float(stats.beta.ppf(1 - tail, bad + 1, seen - bad)) if bad < seen else 1.0
        assert binomial_interval(seen, bad, confidence) == pytest.approx((low, high), abs=1e-8)


@pytest.mark.source(
    document="reference facts of the project, section 10 (derived there)",
    table="finite 95 % upper bound, 200 jobs, 32 seen, none bad",
    confidence="secondary",
)
def test_the_upper_bound_of_a_finite_list() -> None:
    assert most_bad(200, 32, 0, 0.05) == 16
    alike = binomial_interval(32, 0, 0.9)[1]  # 5 % above it; as if the list had no end
    assert alike == pytest.approx(0.0894, abs=5e-5)


@pytest.mark.source(document="scipy", table="hypergeom", confidence="opened")
def test_the_bounds_of_a_finite_list_are_all_that_scipy_leaves_possible() -> None:
    rng = random.Random(9)
    for _ in range(120):
        population = rng.randint(1, 120)
        seen = rng.randint(0, population)
        bad, confidence = rng.randint(0, seen), rng.choice((0.8, 0.95))
        tail = (1 - confidence) / 2
        possible = [
            d
            for d in range(bad, population - (seen - bad) + 1)
            if stats.hypergeom.cdf(bad, population, d, seen) > tail + TINY
            and stats.hypergeom.sf(bad - 1, population, d, seen) > tail + TINY
        ]
        assert finite_interval(population, seen, bad, confidence) == (possible[0], possible[-1])


def test_the_bounds_hold_the_truth_as_often_as_they_say() -> None:
    for population, size in ((30, 8), (60, 20)):
        for truth in range(population + 1):
            held = sum(
                float(stats.hypergeom.pmf(x, population, truth, size))
                for x in range(max(0, size - population + truth), min(size, truth) + 1)
                if finite_interval(population, size, x, 0.9)[0]
                <= truth
                <= finite_interval(population, size, x, 0.9)[1]
            )
            assert held >= 0.9 - TINY


def test_a_list_seen_whole_leaves_nothing_open() -> None:
    assert finite_interval(50, 50, 7, 0.99) == (7, 7)


@pytest.mark.source(
    document="reference facts of the project, section 10 (derived there)",
    table="stratified, 1, 2 and 3 bad of 20, 12 and 8 in strata of 120, 60 and 20",
    confidence="secondary",
)
def test_the_estimate_over_strata_and_its_standard_error() -> None:
    strata = {"a": (120, 20, 1), "b": (60, 12, 2), "c": (20, 8, 3)}
    found = tuple(
        Found(f"{name}{i}", name, BAD if i < bad else SOUND)
        for name, (_, n, bad) in strata.items()
        for i in range(n)
    )
    made = Draw("s", "h", {n: s[0] for n, s in strata.items()},
                {n: s[1] for n, s in strata.items()}, ())  # fmt: skip
    rate = conclude(made, found, 0.95).as_seen
    assert rate is not None
    assert rate.estimate == pytest.approx(0.1175, abs=1e-9)
    assert rate.standard_error == pytest.approx(0.04313, abs=5e-6)
    assert standard_error([(5, 1, 0)]) is None


def test_bounds_over_strata_hold_the_truth_at_least_as_often() -> None:
    strata, truth = {"a": (12, 4), "b": (8, 3)}, {"a": 3, "b": 2}
    held = 0.0
    for x in range(5):
        for y in range(4):
            chance = float(
                stats.hypergeom.pmf(x, 12, truth["a"], 4) * stats.hypergeom.pmf(y, 8, 2, 3)
            )
            found = [Found(f"a{i}", "a", BAD if i < x else SOUND) for i in range(4)]
            found += [Found(f"b{i}", "b", BAD if i < y else SOUND) for i in range(3)]
            made = Draw("s", "h", {n: s[0] for n, s in strata.items()}, {}, ())
            rate = conclude(made, tuple(found), 0.9).as_seen
            assert rate is not None
            held += chance * (rate.least <= sum(truth.values()) <= rate.most)
    assert held >= 0.9


# -- what was not seen -------------------------------------------------------------------


def concluded(results: list[str]) -> Any:
    rows = [(f"R-{n}", "", n) for n in range(40)]
    with frame_of(rows, "", lambda row: Place("list", row)) as frame:
        made = draw(frame, "x", {WHOLE: len(results)})
    found = tuple(Found(j.reference, WHOLE, r) for j, r in zip(made.jobs, results, strict=True))
    return conclude(made, found, 0.95)


def test_what_was_not_seen_stays_in_the_count() -> None:
    whole = concluded([SOUND] * 8 + [BAD] + [NOT_SEEN] * 3)
    assert (whole.as_seen.seen, whole.as_seen.bad) == (9, 1)
    assert (whole.at_worst.seen, whole.at_worst.bad) == (12, 4)
    assert whole.at_worst.most > whole.as_seen.most


def test_with_nothing_seen_nothing_is_shown() -> None:
    whole = concluded([NOT_SEEN] * 5)
    assert whole.as_seen is None
    assert whole.at_worst.bad == 5
    assert whole.at_worst.most == 40


# -- through the command line ------------------------------------------------------------


@pytest.fixture
def drawn(call: Call, tmp_path: Path) -> Path:
    rows = "".join(f"R-{n},{'ab'[n % 2]}\n" for n in range(60))
    (tmp_path / "list.csv").write_text(f"reference,team\n{rows}", "utf-8")
    _, out, _ = call("sample", tmp_path / "list.csv", "--size", "10", "--seed", "x",
                     "--by", "team", "--format", "json")  # fmt: skip
    (tmp_path / "draw.json").write_text(out, "utf-8")
    return tmp_path / "draw.json"


def references(path: Path) -> list[str]:
    return [job["reference"] for job in json.loads(path.read_text("utf-8"))["jobs"]]


def brought(path: Path, rows: list[str], head: str = "reference,result,remark") -> Path:
    made = path.with_name("results.csv")
    made.write_text("\n".join([head, *rows]) + "\n", "utf-8")
    return made


def test_a_conclusion_says_method_seed_list_reasons_and_limits(call: Call, drawn: Path) -> None:
    first, second, third, *others = references(drawn)
    rows = [f"{first},bad,no bond", f"{second},not seen,dog"] + [f"{r},sound," for r in others]
    results = brought(drawn, rows)
    code, out, _ = call("sample", "conclude", drawn, results, "--list", drawn.parent / "list.csv")
    assert code == 0
    said = " ".join(out.split())
    hash_of_list = json.loads(drawn.read_text("utf-8"))["frame_sha256"]
    for text in (f"{first}: no bond", f"{second}: dog", f"{third}: no result was brought back",
                 "seed x", "SHA-256 of seed|reference", hash_of_list,
                 "8 seen, 2 not seen", "certifies none", "no permission to energise"):  # fmt: skip
        assert text in said
    _, out, _ = call("sample", "conclude", drawn, results, "--format", "json")
    data = json.loads(out)
    assert data["as_seen"]["seen"] == 8
    assert data["not_seen_counted_bad"]["bad"] == 3
    assert sum(s["not_seen"] for s in data["strata"]) == len(data["not_seen"]) == 2


def test_the_report_says_the_same_in_pdf_and_docx(call: Call, drawn: Path, tmp_path: Path) -> None:
    first, *others = references(drawn)
    results = brought(
        drawn, [f"{first},bad,=1+1 {{{{ 7 * 7 }}}}", *(f"{r},sound," for r in others)]
    )
    (tmp_path / "out").mkdir()
    code, out, _ = call("sample", "conclude", drawn, results, "--out", tmp_path / "out")
    assert code == 0
    pdf = " ".join(
        " ".join(page.extract_text() for page in
                 pypdf.PdfReader(tmp_path / "out" / "audit-report.pdf").pages).split()
    )  # fmt: skip
    document = docx.Document(str(tmp_path / "out" / "audit-report.docx"))
    cells = [c.text for t in document.tables for r in t.rows for c in r.cells]
    word = " ".join(" ".join([*(p.text for p in document.paragraphs), *cells]).split())
    answer = next(line for line in out.splitlines() if line.startswith("10 jobs of 60 drawn"))
    (bounds,) = (t for t in document.tables if "Bounds" in [c.text for c in t.rows[0].cells])
    like_the_rest = [" ".join(cell.text.split()) for cell in bounds.rows[1].cells]
    assert len(bounds.rows) == 2  # all were seen, so there is one way to count
    for number in re.findall(r"[0-9.]+", " ".join(like_the_rest[1:4])):
        assert number in out
    for text in (
        answer,
        first,
        *like_the_rest[1:4],
        "=1+1 {{ 7 * 7 }}",
        "What this does not prove",
    ):
        assert text in pdf
        assert text in word


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (lambda r: [f"{r[0]},sound,", f"{r[0]},bad,"], "sample.result-twice"),
        (lambda r: [f"{r[0]},good,"], "sample.unknown-result"),
        (lambda r: [f"{r[0]},,"], "sample.unknown-result"),
        (lambda r: ["R-999,sound,"], "sample.result-not-drawn"),
        (lambda r: [",sound,"], "sample.blank"),
    ],
)
def test_results_that_would_count_wrongly_are_refused_with_their_line(
    call: Call, drawn: Path, change: Callable[[list[str]], list[str]], problem: str
) -> None:
    rows = change(references(drawn))
    code, out, err = call("sample", "conclude", drawn, brought(drawn, rows))
    assert (code, out) == (2, "")
    assert problem in err
    assert f"results.csv:{len(rows) + 1}" in err


def test_every_problem_of_the_results_is_told_at_once(call: Call, drawn: Path) -> None:
    first, *_ = references(drawn)
    rows = [f"{first},good,", "R-999,bad,", ",sound,"]
    _, _, err = call("sample", "conclude", drawn, brought(drawn, rows))
    assert [p in err for p in ("unknown-result", "not-drawn", "sample.blank")] == [True] * 3


def test_results_that_are_no_list_are_refused(call: Call, drawn: Path) -> None:
    path = drawn.with_name("results.csv")
    cut_off = b'reference,result\n"R-1'
    for data, problem in ((b"\xff\xfe\x00", "not-a-list"), (cut_off, "not-a-list"),
                          (b"job,result\n", "no-such-column")):  # fmt: skip
        path.write_bytes(data)
        code, _, err = call("sample", "conclude", drawn, path)
        assert code == 2
        assert problem in err


def test_a_job_that_was_replaced_has_no_result(call: Call, tmp_path: Path) -> None:
    source = tmp_path / "list.csv"
    source.write_text("reference\n" + "".join(f"R-{n}\n" for n in range(30)), "utf-8")
    arguments = ("sample", source, "--size", "5", "--seed", "x", "--format", "json")
    gone = json.loads(call(*arguments)[1])["jobs"][1]["reference"]
    _, out, _ = call(*arguments, "--replace", f"{gone}=sold")
    path = tmp_path / "draw.json"
    path.write_text(out, "utf-8")
    names = references(path)
    assert len(names) == 6
    results = brought(path, [f"{r},sound," for r in names])
    assert "sample.replaced-but-seen" in call("sample", "conclude", path, results)[2]
    results = brought(path, [f"{r},sound," for r in names if r != gone])
    _, out, _ = call("sample", "conclude", path, results, "--list", source, "--format", "json")
    data = json.loads(out)
    assert data["not_seen"] == [{"reference": gone, "reason": "sold"}]
    assert (data["as_seen"]["seen"], data["not_seen_counted_bad"]["seen"]) == (5, 6)


def test_a_draw_that_somebody_changed_is_noticed(call: Call, drawn: Path) -> None:
    data = json.loads(drawn.read_text("utf-8"))
    there = {job["reference"] for job in data["jobs"]}
    data["jobs"][0]["reference"] = next(
        f"R-{n}" for n in range(60) if f"R-{n}" not in there and "ab"[n % 2] == "a"
    )
    drawn.write_text(json.dumps(data), "utf-8")
    source = drawn.parent / "list.csv"
    results = brought(drawn, [f"{r},sound," for r in references(drawn)])
    code, _, err = call("sample", "conclude", drawn, results, "--list", source)
    assert code == 2
    assert "sample.not-this-draw" in err
    source.write_text(source.read_text("utf-8") + "R-60,a\n", "utf-8")
    assert "sample.frame-changed" in call("sample", "conclude", drawn, results, "--list", source)[2]


@pytest.mark.parametrize(
    "damage",
    [lambda d: d.pop("seed"), lambda d: d["jobs"].append(d["jobs"][0]),
     lambda d: d["jobs"].pop(), lambda d: d["jobs"][0].update(stratum="c"),
     lambda d: d["strata"][0].update(jobs=1)],
)  # fmt: skip
def test_a_damaged_draw_is_refused(
    call: Call, drawn: Path, damage: Callable[[dict[str, Any]], object]
) -> None:
    results = brought(drawn, [f"{r},sound," for r in references(drawn)])
    data = json.loads(drawn.read_text("utf-8"))
    damage(data)
    drawn.write_text(json.dumps(data), "utf-8")
    code, _, err = call("sample", "conclude", drawn, results)
    assert code == 2
    assert "sample.not-a-draw" in err


@pytest.mark.parametrize("confidence", ["0", "1", "100%", "often"])
def test_a_confidence_that_is_none_is_refused(call: Call, drawn: Path, confidence: str) -> None:
    results = brought(drawn, [])
    code, _, _ = call("sample", "conclude", drawn, results, "--confidence", confidence)
    assert code == 2


def test_the_sheet_of_a_draw_comes_back_with_its_results(call: Call, tmp_path: Path) -> None:
    rows = ["=1+1", "-2", "R-3", "'R-4"]
    listed = tmp_path / "list.csv"
    listed.write_text("reference\n" + "\n".join(rows) + "\n", "utf-8")
    arguments = ("sample", listed, "--size", "4", "--seed", "x", "--format")
    (tmp_path / "draw.json").write_text(call(*arguments, "json")[1], "utf-8")
    head, *sheet = call(*arguments, "csv")[1].splitlines()
    assert any(line.startswith("'=1+1,") for line in sheet)
    filled = "\n".join([f"{head},result", *(f"{line},sound" for line in sheet)])
    (tmp_path / "results.csv").write_text(filled + "\n", "utf-8")
    code, out, err = call("sample", "conclude", tmp_path / "draw.json", tmp_path / "results.csv")
    assert (code, err) == (0, "")
    assert "4 jobs of 4 drawn, 4 seen, 0 not seen" in out
