"""Shops of every world worked for months → how often dates held by the chance that was said, and how late."""

import argparse
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.planning_months.invented import DAY, invent
from tests.bench.planning_months.makers import Makers, Ways
from tests.bench.planning_months.office import Dates, Desk, evening
from tests.bench.worlds import WORLDS, World

WARM_DAYS = 28
"""Orders of the first four weeks are not judged: the shop fills up, and nothing is learned yet."""
HEAD = (
    "",
    "orders",
    "open",
    "50 %",
    "± se",
    "80 %",
    "± se",
    "90 %",
    "± se",
    "late d",
    "if late",
    "ahead d",
    "s",
)


@dataclass(frozen=True, slots=True)
class Judged:
    """An order that was promised, and the evening of the working day on which it was ready."""

    shop: tuple[str, int]
    dates: Dates
    ready: int


def main() -> None:
    """Read what is asked, run, print."""
    args = _asked()
    judged: list[Judged] = []
    chosen = [world for world in WORLDS if not args.world or world.name in args.world]
    print(" ".join(f"{name} {value}," for name, value in vars(args).items()))
    print(_line(*HEAD))
    for world in chosen:
        started = time.process_time()
        own = [each for number in range(args.shops) for each in _shop(world, number, args)]
        judged += own
        print(_row(world.name, own, time.process_time() - started), flush=True)
    if len(chosen) > 1:
        print(_row("all worlds", judged, 0.0))


def _asked() -> argparse.Namespace:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.planning_months", description=__doc__)
    asked.add_argument("--months", type=float, default=2.0, help="how long orders are judged")
    asked.add_argument("--shops", type=int, default=1, help="shops of each world")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--draws", type=int, default=100, help="futures behind a promise")
    asked.add_argument(
        "--load", type=float, default=0.75, help="the share of people's hours that orders need"
    )
    asked.add_argument("--spoiled", type=float, default=0.04, help="the share of stages that are done over")
    asked.add_argument("--own-mind", type=float, default=0.2, help="how often the plan's first is not taken")
    asked.add_argument("--ill", type=float, default=0.02, help="the chance of a day away without notice")
    asked.add_argument("--world", action="append", help="only this world; may be said again")
    return asked.parse_args()


def _shop(world: World, number: int, args: argparse.Namespace) -> Iterator[Judged]:
    """A shop from its first morning on; those judged came after the warm weeks, within the months."""
    rng = np.random.default_rng((args.seed, WORLDS.index(world), number, 5))
    days = WARM_DAYS + round(args.months * 30)
    shop = invent(world, days + 90, args.load, args.spoiled, rng)
    desk = Desk(shop, args.draws)
    last = sum(1 for given in shop.orders if given.at < days * DAY)
    ready = Makers(shop, desk, last, Ways(args.own_mind, args.ill), rng).work(days + 90)
    for dates in desk.given:
        if WARM_DAYS * DAY <= dates.at < days * DAY:
            yield Judged((world.name, number), dates, evening(ready.get(dates.number, 1 << 40)))


def _row(name: str, judged: Sequence[Judged], seconds: float) -> str:
    shares = [
        cell for of in (lambda d: d.p50, lambda d: d.p80, lambda d: d.p90) for cell in _held(judged, of)
    ]
    late = np.array([max(j.ready - (j.dates.p80 or 0), 0) for j in judged]) / DAY
    ahead = [((j.dates.p80 or 0) - j.dates.at) / DAY for j in judged]
    return _line(
        name,
        str(len(judged)),
        f"{np.mean([j.dates.open_orders for j in judged]):.1f}",
        *shares,
        f"{late.mean():.2f}",
        f"{late[late > 0].mean() if (late > 0).any() else 0.0:.2f}",
        f"{np.mean(ahead):.1f}",
        f"{seconds:.0f}",
    )


def _held(judged: Sequence[Judged], date_of: Callable[[Dates], int | None]) -> tuple[str, str]:
    """The share of dates that held, and its standard error by fortnights: orders of one fare alike."""
    groups: dict[tuple[tuple[str, int], int], list[bool]] = {}
    for j in judged:
        date = date_of(j.dates)
        groups.setdefault((j.shop, j.dates.at // (14 * DAY)), []).append(date is not None and j.ready <= date)
    mean = sum(map(sum, groups.values())) / len(judged)
    off = [sum(own) - mean * len(own) for own in groups.values()]
    return f"{mean:.1%}", f"{np.sqrt(np.sum(np.square(off))) / len(judged):.1%}"


def _line(name: str, *cells: str) -> str:
    return f"{name:18}" + "".join(f"{cell:>8}" for cell in cells)


if __name__ == "__main__":
    main()
