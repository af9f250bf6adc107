"""Small files of each published format, invented and worked out by hand, read as problems of the planner."""

import json
from dataclasses import replace
from graphlib import TopologicalSorter
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.shapes.planned import After
from tests.bench.instances import __main__ as command
from tests.bench.instances.instance import Instance, Unreadable
from tests.bench.instances.job_shop import read_json, read_matrices
from tests.bench.instances.projects import read_project
from tests.bench.instances.published import OPTIMA, told_values
from tests.bench.instances.reading import packaged, read
from tests.bench.instances.tardiness import read_tardiness
from tests.bench.instances.time_lags import Lag, afters, read_lags

TWO_JOB_SHOPS = """\
Two small ones, with words that say nothing.
 +++++++++++
 instance small
 +++++++++++
 2 2
 0 3 1 2
 1 4 0 1
 instance wide
 1 3
 2 5 0 1 1 2   # one job alone
"""

PROJECT = """\
****
file with basedata            : none
jobs (incl. supersource/sink ):  5
RESOURCES
  - renewable                 :  1   R
  - nonrenewable              :  0   N
  - doubly constrained        :  0   D
****
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           5
   3        1          1           4
   4        1          1           5
   5        1          0
****
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
------------------------------
  1      1     0       0
  2      1     3       2
  3      1     2       1
  4      1     2       1
  5      1     0       0
****
RESOURCEAVAILABILITIES:
  R 1
    2
****
"""

LAGS = """\
3\t1\t0\t0
0\t1\t3\t1\t2\t3\t[0]\t[0]\t[0]
1\t1\t2\t2\t4\t[4]\t[2]
2\t1\t2\t1\t4\t[-5]\t[3]
3\t1\t1\t4\t[1]
4\t1\t0
0\t1\t0\t0
1\t1\t2\t1
2\t1\t3\t1
3\t1\t1\t1
4\t1\t0\t0
1
"""

THREE_JOBS = "2 3 4\n1 2 3\n2 4 5\n"


def best(instance: Instance) -> int:
    """The least value of the plans of all orders of priority."""
    orders = permutations(range(len(instance.problem.tasks)))
    plans = (build(instance.problem, order) for order in orders)
    kept = [plan for plan in plans if check(instance.problem, plan) == ()]
    return min(value for plan in kept if (value := instance.value(plan)) is not None)


def test_job_shops_as_text() -> None:
    """Machine 1 has six minutes of work and can have them without a gap; one job alone takes eight."""
    small, wide = read_matrices(TWO_JOB_SHOPS, "x")
    assert (small.name, wide.name) == ("small", "wide")
    assert best(small) == 6
    assert best(wide) == 8
    assert [task.uses for task in small.problem.tasks] == [((0, 1),), ((1, 1),), ((1, 1),), ((0, 1),)]
    assert [task.after for task in small.problem.tasks] == [(), (After(0),), (), (After(2),)]


def test_a_job_shop_that_is_cut_short_is_refused() -> None:
    with pytest.raises(Unreadable, match="cut: not as many"):
        read_matrices("2 2\n0 3 1 2\n", "cut")
    with pytest.raises(Unreadable, match="short: not as many"):
        read_matrices("1 2\n0 3\n", "short")


def test_job_shops_as_json() -> None:
    """The same small one; an optimum that is not known gives way to the upper bound."""
    known = {"optimum": 6, "upper_bound": 6}
    said = {"duration_matrix": [[3, 2], [4, 1]], "machines_matrix": [[0, 1], [1, 0]], "metadata": known}
    open_ = {**said, "metadata": {"optimum": None, "upper_bound": 7}}
    one, other = read_json(json.dumps({"small": said, "open": open_}))
    assert one.problem == read_matrices(TWO_JOB_SHOPS, "x")[0].problem
    assert (one.published, other.published) == (6, 7)


def test_the_package_tells_the_published_optima() -> None:
    """Fisher and Thompson (1963), Lawrence (1984): 23 of them, with as many operations as they have."""
    found = packaged()
    assert {name: each.published for name, each in found.items()} == OPTIMA
    assert len(OPTIMA) == 23
    sizes = {name: len(found[name].problem.tasks) for name in ("ft06", "ft10", "ft20", "la01", "la20")}
    assert sizes == {"ft06": 36, "ft10": 100, "ft20": 100, "la01": 50, "la20": 100}


def test_a_project() -> None:
    """Job 2 takes all of the resource for three minutes; 3 and 4 follow each other in four: seven."""
    project = read_project(PROJECT, "tiny")
    assert best(project) == 7
    tasks = project.problem.tasks
    assert [task.work for task in tasks] == [0, 3, 2, 2, 0]
    assert [task.uses for task in tasks] == [(), ((0, 2),), ((0, 1),), ((0, 1),), ()]
    assert tasks[4].after == (After(1), After(3))


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("nonrenewable              :  0", "nonrenewable              :  2", "used up"),
        ("   2        1          1           5", "   2        2          1           5", "several modes"),
        (
            "   1        1          2           2   3",
            "   1        1          2           2",
            "has not as many",
        ),
        ("REQUESTS", "WISHES", "no table REQUESTS/DURATIONS"),
    ],
)
def test_projects_of_other_kinds_are_refused(old: str, new: str, why: str) -> None:
    assert old in PROJECT
    with pytest.raises(Unreadable, match=why):
        read_project(PROJECT.replace(old, new), "tiny")


def test_a_project_with_time_lags() -> None:
    """Job 2 starts four to five after job 1, which takes two; 3 fits in between, and the end is 4 + 3."""
    project = read_lags(LAGS, "tiny")
    assert project.problem.tasks[2].after[1] == After(1, 2, 3)
    assert best(project) == 7


@pytest.mark.parametrize(
    ("old", "new"), [("3\t1\t0\t0", "3\t1\t1\t0"), ("1\t1\t2\t2", "1\t2\t2\t2"), ("[4]", "")]
)
def test_time_lags_of_other_kinds_are_refused(old: str, new: str) -> None:
    with pytest.raises(Unreadable):
        read_lags(LAGS.replace(old, new, 1), "tiny")


def test_lags_become_waits_that_allow_the_same_starts() -> None:
    """Lags and starts by chance: waits allow the starts where the lags do, and are in no ring."""
    rng = np.random.default_rng(11)
    seen = {True: 0, False: 0}
    for _ in range(300):
        size = int(rng.integers(2, 6))
        work = {n: int(rng.integers(0, 4)) for n in range(size)}
        pairs = [(a, b) for a in range(size) for b in range(size) if a != b and rng.random() < 0.4]
        lags: list[Lag] = [
            (a, b, int(rng.integers(-5, 3) if a > b else rng.integers(-5, 4))) for a, b in pairs
        ]
        waits = afters(lags, work)
        tuple(TopologicalSorter({n: [w.task for w in own] for n, own in waits.items()}).static_order())
        for _ in range(20):
            at = [int(m) for m in rng.integers(0, 6, size)]
            asked = all(at[b] >= at[a] + lag for a, b, lag in lags)
            gaps = [(at[n] - at[w.task] - work[w.task], w) for n, own in waits.items() for w in own]
            allowed = all(w.least <= gap and (w.greatest is None or gap <= w.greatest) for gap, w in gaps)
            assert asked == allowed, (lags, waits, at)
            seen[asked] += 1
    assert min(seen.values()) > 500, seen


def test_weighted_tardiness() -> None:
    """Of the six orders 1-3-2, 2-3-1 and 3-2-1 cost 13, the others 14 and 15."""
    one, two = read_tardiness(THREE_JOBS * 2, "wt3")
    assert (one.name, two.name) == ("wt3-1", "wt3-2")
    assert one.problem == two.problem
    costs = {}
    for order in permutations(range(3)):
        plan = build(one.problem, order)
        costs[order] = one.value(plan)
    assert sorted(order for order, cost in costs.items() if cost == 13) == [(0, 2, 1), (1, 2, 0), (2, 1, 0)]
    assert sorted(cost for cost in costs.values() if cost is not None) == [13, 13, 13, 14, 14, 15]


def test_the_number_of_jobs_is_in_the_name_or_in_the_count() -> None:
    assert len(read_tardiness(THREE_JOBS * 125, "weights")) == 125
    assert len(read_tardiness(THREE_JOBS * 2, "weights")) == 1
    with pytest.raises(Unreadable, match="18 numbers are not three for each of 4 jobs"):
        read_tardiness(THREE_JOBS * 2, "wt4")


def test_a_plan_that_leaves_something_out_or_misses_a_wait_has_no_value() -> None:
    """Nothing may end past minute 5, where six are needed."""
    small = read_matrices(TWO_JOB_SHOPS, "x")[0]
    short = Instance("short", replace(small.problem, horizon=5))
    plan = build(short.problem, range(4))
    assert plan.left
    assert short.value(plan) is None


@pytest.fixture
def files(tmp_path: Path) -> Path:
    for name, text in {
        "shops.txt": TWO_JOB_SHOPS,
        "tiny.sm": PROJECT,
        "tiny.sch": LAGS,
        "wt3.txt": THREE_JOBS,
        "told.txt": "small 6\ntiny 7\nwt3-1 13\n",
        "high.txt": "6\n9\n",
        "words.txt": "nothing but words\n",
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_a_file_is_read_by_its_name(files: Path) -> None:
    names = [[each.name for each in read(files / f)] for f in ("shops.txt", "tiny.sm", "tiny.sch", "wt3.txt")]
    assert names == [["small", "wide"], ["tiny"], ["tiny"], ["wt3-1"]]
    with pytest.raises(Unreadable, match="neither"):
        read(files / "words.txt")


def test_values_are_told_by_name_or_in_turn(files: Path) -> None:
    shops = read(files / "shops.txt")
    assert [each.published for each in told_values("wide 8\n", shops)] == [None, 8]
    assert [each.published for each in told_values(" 6 8\n", shops)] == [6, 8]
    with pytest.raises(ValueError, match="zip"):
        told_values("6\n", shops)


def run(monkeypatch: pytest.MonkeyPatch, *said: object) -> int:
    monkeypatch.setattr("sys.argv", ["instances", *map(str, said)])
    with pytest.raises(SystemExit) as end:
        command.main()
    return int(end.value.code or 0)


def test_the_command_prints_value_published_value_and_gap(
    files: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    names = [files / name for name in ("shops.txt", "tiny.sm", "tiny.sch", "wt3.txt")]
    assert run(monkeypatch, *names, "--engine", "solver", "--published", files / "told.txt") == 0
    rows = [line.split()[:5] for line in capsys.readouterr().out.splitlines()]
    assert rows[1:4] == [
        ["small", "6", "6", "0.0", "%"],
        ["wide", "8", "–", "–", rows[2][4]],
        ["tiny", "7", "7", "0.0", "%"],
    ]
    assert rows[4:6] == [["tiny", "7", "7", "0.0", "%"], ["wt3-1", "13", "13", "0.0", "%"]]


def test_the_command_ends_with_1_where_a_published_optimum_is_undercut(
    files: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Somebody says of the job that takes eight that nine is the least: one of the two is wrong."""
    said = (files / "shops.txt", "--engine", "rule", "--published", files / "high.txt")
    assert run(monkeypatch, *said, "--only", "wide") == 1
    assert "1 not right" in capsys.readouterr().out
