"""Sampling: the draw against `sha256sum` alone, sizes against published figures and scipy."""

from __future__ import annotations

import hashlib
import json
import random
import re
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from scipy import stats

from compliance.errors import Place, Problems
from compliance.portfolio.curve import in_words
from compliance.portfolio.draw import draw, key, ordered
from compliance.portfolio.frame import WHOLE, Frame, frame_of, read_frame
from compliance.portfolio.problems import (
    BlankReferenceError,
    ColumnTwiceError,
    NoReferencesError,
    NoRoomError,
    NoSuchColumnError,
    NotInTheDrawError,
    TooManyAskedError,
    TwiceInFrameError,
)
from compliance.portfolio.sizes import (
    bad_jobs,
    chance_of_at_most,
    discovery_size,
    shared_out,
)

SEED = "audit-2026-Q4"
TWELVE = [f"INS-{n:04}" for n in range(1, 13)]
Call = Callable[..., tuple[int, str, str]]


def framed(strata: Mapping[str, Sequence[str]]) -> AbstractContextManager[Frame]:
    """A list with these strata, without a file."""
    rows = ((job, name, 0) for name, some in strata.items() for job in some)
    return frame_of(rows, "team", lambda row: Place("list", row))


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    rows = [f"J-{n:03},{'AB'[n % 2]}" for n in range(60)]
    path = tmp_path / "list.csv"
    path.write_text("reference,team\n" + "\n".join(rows) + "\n", "utf-8")
    return path


def test_the_order_can_be_repeated_with_sha256sum_alone() -> None:
    by_hand = {}
    for reference in TWELVE:
        done = subprocess.run(
            ["sha256sum"], input=f"{SEED}|{reference}".encode(), capture_output=True, check=True  # noqa: S607
        )  # fmt: skip
        by_hand[reference] = done.stdout.split()[0].decode()
    assert {r: key(SEED, r) for r in TWELVE} == by_hand
    assert by_hand["INS-0001"].startswith("a505948a9580fe01")
    assert ordered(SEED, TWELVE, 5) == ["INS-0008", "INS-0002", "INS-0007", "INS-0005", "INS-0003"]


def test_the_hash_of_a_list_can_be_repeated_with_sort_and_sha256sum(tmp_path: Path) -> None:
    mixed = [*TWELVE, "ins-0001", "Ä-1"]
    random.Random(1).shuffle(mixed)
    (tmp_path / "list").write_text("\n".join(mixed) + "\n", "utf-8")
    done = subprocess.run(  # noqa: S602
        "LC_ALL=C sort list | sha256sum", shell=True, cwd=tmp_path, capture_output=True, check=True  # noqa: S607
    )  # fmt: skip
    with framed({WHOLE: mixed}) as frame:
        assert frame.sha256 == done.stdout.split()[0].decode()


def test_a_longer_draw_begins_with_a_shorter_one_and_nothing_depends_on_the_list_order() -> None:
    shuffled = list(TWELVE)
    random.Random(2).shuffle(shuffled)
    with framed({WHOLE: TWELVE}) as frame, framed({WHOLE: shuffled}) as other:
        short = draw(frame, SEED, {WHOLE: 4}).jobs
        long = draw(other, SEED, {WHOLE: 9}).jobs
    assert long[:4] == short


def test_the_next_in_order_stands_in_and_what_was_not_seen_stays_in_the_draw() -> None:
    both = {"INS-0002": "nobody at home", "INS-0005": "roof iced over"}
    with framed({WHOLE: TWELVE}) as frame:
        jobs = draw(frame, SEED, {WHOLE: 3}, {"INS-0002": "nobody at home"}).jobs
        after = draw(frame, SEED, {WHOLE: 3}, both).jobs
    assert [j.reference for j in jobs] == ["INS-0008", "INS-0002", "INS-0007", "INS-0005"]
    assert jobs[1].instead == "nobody at home"
    assert jobs[3].stands_in_for == "INS-0002"
    assert [(j.reference, j.stands_in_for) for j in after[3:]] == [
        ("INS-0005", "INS-0002"),
        ("INS-0003", "INS-0005"),
    ]


def in_memory(
    strata: Mapping[str, Sequence[str]], sizes: Mapping[str, int], replaced: Mapping[str, str]
) -> list[tuple[str, str, str]] | None:
    """The draw a second way: everything sorted, everything kept. None where jobs run out."""
    drawn = []
    for name in sorted(strata):
        rest = sorted(strata[name], key=lambda r: hashlib.sha256(f"{SEED}|{r}".encode()).digest())
        owed = [""] * sizes[name]
        while owed:
            if not rest:
                return None
            job, stands_in_for = rest.pop(0), owed.pop(0)
            drawn.append((name, job, stands_in_for))
            if job in replaced:
                owed.append(job)
    return drawn


def test_the_draw_from_the_disk_is_that_of_sorting_everything_in_memory() -> None:
    made = random.Random(20261126)
    outcomes = {"drawn": 0, "not drawn": 0, "too many": 0}
    for _ in range(300):
        names = made.sample([f"J{n} ä" for n in range(60)], made.randint(1, 40))
        strata: dict[str, list[str]] = {}
        for name in names:
            strata.setdefault(made.choice("ABC"), []).append(name)
        sizes = {name: made.randint(0, len(some)) for name, some in strata.items()}
        replaced = {name: "gone" for name in made.sample(names, min(len(names), 4))}
        expected = in_memory(strata, sizes, replaced)
        drawn = {job for _, job, _ in expected or ()}
        with framed(strata) as frame:
            assert (
                frame.sha256
                == hashlib.sha256(
                    b"".join(sorted(f"{name}\n".encode() for name in names))
                ).hexdigest()
            )
            if expected is None:
                outcomes["too many"] += 1
                with pytest.raises(TooManyAskedError):
                    draw(frame, SEED, sizes, replaced)
                continue
            if not replaced.keys() <= drawn:
                outcomes["not drawn"] += 1
                with pytest.raises(NotInTheDrawError):
                    draw(frame, SEED, sizes, replaced)
            inside = {name: why for name, why in replaced.items() if name in drawn}
            jobs = draw(frame, SEED, sizes, inside).jobs
        outcomes["drawn"] += 1
        assert [(j.stratum, j.reference, j.stands_in_for) for j in jobs] == expected
        assert {j.reference: j.instead for j in jobs if j.instead} == inside
    assert all(count > 20 for count in outcomes.values()), outcomes


@pytest.mark.source(document="from memory", table="zero-failure sizes at 95 %", confidence="memory")
@pytest.mark.parametrize(("rate", "size"), [(0.03, 99), (0.05, 59), (0.10, 29)])
def test_the_discovery_size_of_a_large_population(rate: float, size: int) -> None:
    assert discovery_size(10**9, rate, 0.95) == size


@pytest.mark.parametrize("population", [1, 2, 17, 50, 200, 1000])
@pytest.mark.parametrize("rate", [0.004, 0.05, 0.3, 0.9])
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_the_discovery_size_is_the_least_one_by_scipy(
    population: int, rate: float, confidence: float
) -> None:
    size, bad = discovery_size(population, rate, confidence), bad_jobs(population, rate)
    missed = [float(stats.hypergeom.pmf(0, population, bad, n)) for n in (size, size - 1)]
    assert missed[0] <= 1 - confidence + 1e-12
    assert missed[1] > 1 - confidence - 1e-12


@pytest.mark.source(document="scipy", table="hypergeom", confidence="opened")
def test_the_chance_of_finding_few_agrees_with_scipy() -> None:
    made = random.Random(20261125)
    for _ in range(300):
        population = made.randint(1, 2000)
        bad, size = made.randint(0, population), made.randint(1, population)
        found = made.randint(0, 6)
        theirs = float(stats.hypergeom.cdf(found, population, bad, size))
        assert chance_of_at_most(population, bad, size, found) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.source(
    document="reference facts of the project, section 10 (derived there)",
    table="hypergeometric, 5 bad of 50",
    confidence="secondary",
)
def test_the_chance_of_finding_at_most_one_of_five() -> None:
    assert chance_of_at_most(50, 5, 5, 1) == pytest.approx(0.92825, abs=5e-6)


@pytest.mark.source(
    document="rdrr.io, Planesmuestra, f_DR.CO (binomial, so of a long list)",
    table="125 looked at, 2 bad allowed, 10 % bad",
    confidence="secondary",
)
def test_the_chance_in_a_long_list_by_a_published_figure() -> None:
    assert chance_of_at_most(10**7, 10**6, 125, 2) == pytest.approx(0.000210835, abs=2e-8)


@pytest.mark.source(
    document="NIST/SEMATECH handbook 6.2.3 (binomial, so of a long list)",
    table="n = 52, c = 3",
    confidence="from memory",
)
@pytest.mark.parametrize(
    ("rate", "chance"),
    [(0.01, 0.998), (0.02, 0.980), (0.03, 0.930), (0.05, 0.738), (0.08, 0.394), (0.12, 0.115)],
)
def test_the_chance_in_a_long_list_by_a_handbook(rate: float, chance: float) -> None:
    assert chance_of_at_most(10**6, round(rate * 10**6), 52, 3) == pytest.approx(chance, abs=6e-4)


@pytest.mark.source(document="lexprep.net/sampling", table="proportional", confidence="secondary")
def test_a_sample_is_shared_out_in_proportion() -> None:
    assert shared_out(60, {"a": 500, "b": 300, "c": 200}) == {"a": 30, "b": 18, "c": 12}


def test_no_stratum_gives_more_than_it_holds_and_none_is_lost() -> None:
    made = random.Random(3)
    for _ in range(300):
        strata = {f"s{n}": made.randint(1, 30) for n in range(made.randint(1, 6))}
        weights = {name: made.choice([0.1, 1, 5]) for name in strata}
        size = made.randint(1, sum(strata.values()))
        sizes = shared_out(size, strata, weights)
        assert sum(sizes.values()) == size
        assert all(0 <= sizes[name] <= count for name, count in strata.items())


def test_weighted_draws_say_how_many_jobs_each_one_stands_for() -> None:
    with framed({"A": TWELVE[:8], "B": TWELVE[8:]}) as frame:
        made = draw(frame, SEED, {"A": 2, "B": 4})
    assert made.weights() == {"A": 4.0, "B": 1.0}
    assert sum(made.weights()[j.stratum] for j in made.jobs) == len(TWELVE)


# -- lists that cannot be drawn from -------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "by", "problem", "line"),
    [
        ("reference\nA\nB\nA\n", "", TwiceInFrameError, 4),
        ("reference\nA\n  A\n", "", TwiceInFrameError, 3),
        ("reference,team\nA,x\n,y\n", "", BlankReferenceError, 3),
        ("reference,team\nA,x\nB,\n", "team", BlankReferenceError, 3),
        ("reference,team,reference\nA,x,B\n", "", ColumnTwiceError, 1),
        ("referense\nA\n", "", NoSuchColumnError, 1),
        ("reference,team\nA,x\n", "teem", NoSuchColumnError, 1),
        ("reference\n", "", NoReferencesError, 0),
    ],
)
def test_a_list_that_would_draw_wrongly_is_refused_with_its_line(
    tmp_path: Path, text: str, by: str, problem: type[Exception], line: int
) -> None:
    path = tmp_path / "list.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(problem) as told, read_frame(path, by):
        pass
    assert getattr(told.value, "place").line == line  # noqa: B009 - of several classes


def test_of_many_wrong_rows_the_first_are_told_in_the_order_of_the_list(tmp_path: Path) -> None:
    rows = [f"J-{n % 100:03}" if n % 5 else "" for n in range(100, 300)]
    path = tmp_path / "list.csv"
    path.write_text("team,reference\n" + "".join(f"x,{row}\n" for row in rows), "utf-8")
    with pytest.raises(Problems) as told, read_frame(path):
        pass
    lines = [problem.place.line for problem in told.value.problems if problem.place]
    expected, seen = [], set[str]()
    for line, row in enumerate(rows, 2):
        if not row or row in seen:
            expected.append(line)
        seen.add(row)
    assert len(expected) > 50
    assert lines == expected[:50]


def test_a_temporary_folder_without_room_is_told_in_clear_words() -> None:
    with pytest.raises(NoRoomError, match="Make room there"), framed({"A": TWELVE}):
        raise sqlite3.OperationalError("database or disk is full")


PEAK = """
import pathlib, re, sys
from compliance.cli import main
try:
    main()
finally:
    status = pathlib.Path("/proc/self/status").read_text()
    print(re.search(r"VmHWM:\\s*([0-9]+) kB", status)[1], file=sys.stderr)
"""
"""The most memory that the program ever held; `ru_maxrss` begins with what its parent held."""


@pytest.mark.skipif(sys.platform != "linux", reason="the size of a process is told in other units")
def test_a_list_a_hundred_times_as_long_takes_no_more_memory(tmp_path: Path) -> None:
    peak_kib = []
    for count in (2_000, 200_000):
        path = tmp_path / f"{count}.csv"
        rows = "".join(f"JOB-{n * 7919 % count:07},{'ABC'[n % 3]}\n" for n in range(count))
        path.write_text(f"reference,team\n{rows}", "utf-8")
        done = subprocess.run(  # noqa: S603 - our own program
            [sys.executable, "-c", PEAK, "sample", str(path), "--size", "10", "--by", "team"],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        peak_kib.append(int(done.stderr.split()[-1]))
    # Kept in memory, 198,000 references more would take about 80 MiB.
    assert peak_kib[1] - peak_kib[0] < 8 * 1024, peak_kib


def test_every_job_of_a_folder_that_cannot_be_read_is_named_and_none_left_out(
    call: Call, tmp_path: Path
) -> None:
    for name, text in (("a", "reference: A\n"), ("b", "reference: [\n"), ("c", "{\n")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "installation.yaml").write_text(text, "utf-8")
    code, out, err = call("sample", tmp_path, "--size", "1", "--seed", "x")
    assert (code, out) == (2, "")
    assert "b/installation.yaml" in err
    assert "c/installation.yaml" in err


@pytest.mark.parametrize("name", ["list.csv", "list.xlsx"])
@pytest.mark.parametrize("data", [b"\xff\xfe\x00\x01", b"PK\x03\x04 cut off", b""])
def test_a_damaged_sheet_is_told_in_clear_words(
    call: Call, tmp_path: Path, name: str, data: bytes
) -> None:
    (tmp_path / name).write_bytes(data)
    code, out, err = call("sample", tmp_path / name, "--size", "1", "--seed", "x")
    assert (code, out) == (2, "")
    assert "sample.no" in err


def test_a_workbook_serves_as_well_as_csv(tmp_path: Path, listed: Path) -> None:
    from compliance.portfolio.sheets import xlsx_bytes

    rows = [line.split(",") for line in listed.read_text("utf-8").splitlines()]
    book = tmp_path / "list.xlsx"
    book.write_bytes(xlsx_bytes("jobs", rows[0], rows[1:]))
    with read_frame(book, "team") as one, read_frame(listed, "team") as other:
        assert one == other
        assert list(one.jobs()) == list(other.jobs())


# -- through the command line --------------------------------------------------------------


def test_a_draw_goes_on_from_its_file_and_only_from_the_same_list(
    call: Call, listed: Path, tmp_path: Path
) -> None:
    code, out, _ = call("sample", listed, "--size", "5", "--seed", SEED, "--format", "json")
    assert code == 0
    first = json.loads(out)
    saved = tmp_path / "draw.json"
    saved.write_text(out, "utf-8")
    gone = first["jobs"][1]["reference"]
    code, out, _ = call("sample", listed, "--size", "8", "--goes-on", saved, "--format", "json",
                        "--replace", f"{gone}=sold")  # fmt: skip
    longer = json.loads(out)
    assert [j["reference"] for j in longer["jobs"][:5]] == [j["reference"] for j in first["jobs"]]
    assert len(longer["jobs"]) == 9
    listed.write_text(listed.read_text("utf-8") + "J-999,A\n", "utf-8")
    code, _, err = call("sample", listed, "--size", "8", "--goes-on", saved)
    assert code == 2
    assert "the list changed since the draw" in err


def test_strata_of_a_folder_of_jobs_are_read_from_the_records(call: Call) -> None:
    samples = Path(__file__).parents[2] / "sample_installs"
    jobs = len(list(samples.glob("*/installation.yaml")))
    code, out, _ = call("sample", samples, "--size", jobs, "--by", "jurisdiction", "--seed", "x",
                        "--format", "json")  # fmt: skip
    assert code == 0
    assert [s["name"] for s in json.loads(out)["strata"]] == ["GB-ENG"]
    assert len(json.loads(out)["jobs"]) == jobs


def test_text_that_looks_like_a_formula_stays_text(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("reference\n=1+1\n", "utf-8")
    _, out, _ = call("sample", path, "--size", "1", "--seed", "x", "--format", "csv")
    assert out.splitlines()[1].startswith("'=1+1,")


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_the_curve_is_drawn(call: Call, listed: Path, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"curve.{ending}"
    code, out, _ = call("sample", listed, "--find", "10%", "--seed", "x", "--curve", path)
    assert code == 0
    assert "What this number can miss:" in out
    assert path.stat().st_size > 1000
    if ending == "svg":  # the risks stand in the picture too, as on the screen
        said = re.findall(
            r"If (\S+ %) of the .*? probability of ([^.]*(?:\.\d)? %)\.", " ".join(out.split())
        )
        assert len(said) == 5
        svg = path.read_text("utf-8")
        assert all(f"if {rate} are bad: {chance}" in svg for rate, chance in said)


def test_a_chance_that_is_small_is_never_told_as_none() -> None:
    assert in_words(1000, 200)[-1].endswith("a probability of less than 0.1 %.")
    assert in_words(1000, 990)[-1].endswith(
        "a probability of 0.0 %."
    )  # ten are too few to hide 200
    assert in_words(10_000, 1)[0].endswith("a probability of 99.0 %.")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "either how many jobs"),
        (("--size", "5", "--find", "5%"), "either how many jobs"),
        (("--size", "61"), "there are 60"),
        (("--find", "often"), "write it as 0.05 or 5%"),
        (("--find", "0"), "between 0 and 1"),
        (("--size", "5", "--by", "team", "--weight", "C=2"), 'there is no stratum "C"'),
        (("--size", "5", "--by", "team", "--weight", "A=lots"), "is no number"),
        (("--size", "5", "--replace", "J-001"), "a name, the sign ="),
        (("--size", "5", "--replace", "J-777=gone"), "was not drawn"),
        (("--size", "5", "--curve", "x.gif"), "a curve is .svg or .pdf"),
    ],
)
def test_a_call_that_cannot_be_answered_says_what_would_be_right(
    call: Call, listed: Path, arguments: tuple[str, ...], said: str
) -> None:
    code, _, err = call("sample", listed, "--seed", "x", *arguments)
    assert code == 2
    assert said in err
