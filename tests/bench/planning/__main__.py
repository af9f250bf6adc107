"""Invented shops through every engine: lateness and flow ÷ those of the earliest date; ms to build a plan."""

import argparse
from collections.abc import Iterator, Sequence

from tests.bench.planning.engines import Made, decoding, plans_of
from tests.bench.shops import Load, shop

LOADS: tuple[Load, ...] = ("keepable", "overloaded")
LONG_S = 600.0


def rows(made: Sequence[Made]) -> Iterator[str]:
    """Of each engine a cell; lateness in hours where the earliest date has none to be divided by."""
    first = made[0].plan.worth
    for each in made:
        worth = each.plan.worth
        late = f"{worth.late / first.late:.3f}" if first.late else f"{worth.late / 60:.0f} h"
        flow = f"{worth.flow / first.flow:.3f}" if first.flow else "–"
        missed = f" {worth.missed} missed" if worth.missed else ""
        proven = " proven" if each.plan.proven else ""
        broken = f" {each.broken} RULES BROKEN" if each.broken else ""
        yield f"    {each.engine:18}{late:>9}{flow:>9}{each.took_s:9.2f} s{missed}{proven}{broken}"


def engines(asked: argparse.Namespace) -> int:
    """Print what each engine makes of each shop; how many rules are broken."""
    solver_s = (*asked.solver, *((LONG_S,) if asked.long else ()))
    broken = 0
    for jobs in asked.jobs:
        for load in LOADS:
            for seed in range(1, asked.seeds + 1):
                made = list(plans_of(shop(jobs, seed, load), asked.search, solver_s, asked.workers, seed))
                first = made[0].plan.worth
                print(f"{jobs} jobs, {load}, shop {seed}: {first.late / 60:,.0f} weighted hours late by date")
                print("\n".join(rows(made)), flush=True)
                broken += sum(each.broken for each in made)
    return broken


def building(asked: argparse.Namespace) -> None:
    """Print how long a plan takes."""
    print(f"{'jobs':>6}{'stages':>8}{'set out':>10}{'whole':>10}{'resumed':>10}{'the same plan':>15}")
    for jobs in asked.jobs:
        problem = shop(jobs, 1, "overloaded")
        took = decoding(problem, asked.times, 1)
        print(
            f"{jobs:>6}{len(problem.tasks):>8}{took.set_out_ms:>7.1f} ms{took.whole_ms:>7.1f} ms"
            f"{took.resumed_ms:>7.1f} ms{took.alike:>15.0%}",
            flush=True,
        )


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.planning", description=__doc__)
    parser.add_argument("--jobs", type=int, nargs="+", default=[6, 10, 30, 60])
    parser.add_argument("--seeds", type=int, default=2, help="shops of each kind")
    parser.add_argument("--search", type=float, default=5.0, help="seconds of the processor")
    parser.add_argument("--solver", type=float, nargs="*", default=[10.0, 30.0], help="seconds of the clock")
    parser.add_argument("--workers", type=int, default=1, help="threads of the solver")
    parser.add_argument("--long", action="store_true", help="the solver for ten minutes too")
    parser.add_argument("--times", type=int, default=60, help="moves that are timed; 0: none")
    asked = parser.parse_args()
    if asked.times:
        building(asked)
    raise SystemExit(1 if engines(asked) else 0)


if __name__ == "__main__":
    main()
