"""The program at work in an invented shop: it learns from what was logged, plans, and gives dates."""

from dataclasses import dataclass, field, replace
from math import exp

import numpy as np

from shoptrack.engine.coming import pace_of
from shoptrack.engine.durations import fit_shop, predict
from shoptrack.engine.outlook import Ahead, look_ahead
from shoptrack.engine.promise import Job, Unsure
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.shapes.learned import Fit, Log, Prediction
from shoptrack.engine.shapes.planned import After, Order, Problem, Resource, Task, Worker
from shoptrack.engine.totals import Part, draw_min, likeness, surprise
from shoptrack.flows.planning.plan import keys_of, merged
from tests.bench.planning_months.floor import Floor, Open, Place, Sheet
from tests.bench.planning_months.invented import (
    CLAMPS,
    COLUMNS,
    DAY,
    HOURS,
    KINDS,
    PEOPLE,
    STOCK,
    WEEK,
    Given,
    Kind,
    Shop,
    Stage,
)

HORIZON, SOON = 70 * DAY, 35 * DAY
"""So far promises look, and plans: the work in hand is that of two weeks or so."""
WEEKS = 13
"""So far back the office looks for how orders come."""
SPOILED_FIRST, SPOILED_WEIGHT = 0.03, 60


@dataclass(frozen=True, slots=True)
class Dates:
    """What was said of an order when it came: the evenings of the days that 5, 8 and 9 in 10 futures keep."""

    number: int
    at: int
    p50: int | None
    p80: int | None
    p90: int | None
    open_orders: int


@dataclass(frozen=True, slots=True)
class Laid:
    """The floor as a problem: which stage each task is (None: clamps), and how its minutes are drawn."""

    problem: Problem
    places: tuple[Place | None, ...]
    jobs: tuple[Job, ...]


@dataclass(slots=True)
class Desk:
    """An office with the program, that gives dates by ``draws`` futures."""

    shop: Shop
    draws: int
    logs: dict[int, list[Log]] = field(default_factory=lambda: {k: [] for k in range(len(KINDS))})
    spoiled: int = 0
    fits: dict[int, Fit] = field(default_factory=dict)
    given: list[Dates] = field(default_factory=list)
    ready: dict[int, int] = field(default_factory=dict)
    foretold: dict[Place, Prediction] = field(default_factory=dict)
    surprises: dict[int, list[float]] = field(default_factory=dict)
    rho: float = 0.3

    @property
    def again(self) -> float:
        """The chance that a stage is done over."""
        logged = sum(map(len, self.logs.values()))
        return (self.spoiled + SPOILED_FIRST * SPOILED_WEIGHT) / (logged + SPOILED_WEIGHT)

    def morning(self) -> None:
        """Learn from what was logged until now."""
        rules = {k: kind.rule for k, kind in enumerate(self.shop.kinds)}
        self.fits = fit_shop({k: (self.logs[k], rules[k]) for k in rules})
        self.rho = likeness(own for number, own in self.surprises.items() if number in self.ready)

    def log(self, number: int, given: Given, stage: int, minutes: float, spoiled: bool) -> None:
        """Keep a time."""
        its = given.stages[stage]
        key = f"{number}.{stage}.{len(self.logs[its.kind])}"
        self.logs[its.kind].append(Log(key, minutes, its.quantity, given.pattern, given.repeats))
        self.spoiled += spoiled
        foretold = self.foretold.get((number, stage))
        if foretold is not None:
            self.surprises.setdefault(number, []).append(surprise(foretold, minutes))

    def close(self, number: int, now: int) -> None:
        """Strike an order off."""
        self.ready[number] = now // DAY

    def plan(self, now: int, floor: Floor) -> Sheet:
        """The best simple plan of this minute."""
        laid = self.lay(now, floor, SOON)
        plan = best_rule(laid.problem)
        turn = (laid.places[n] for n in (*plan.priority, *(each.task for each in plan.left)))
        minutes = {p: t.work for p, t in zip(laid.places, laid.problem.tasks, strict=True) if p is not None}
        return Sheet({place: rank for rank, place in enumerate(turn) if place is not None}, minutes)

    def promise(self, now: int, floor: Floor, number: int) -> int | None:
        """The evening by which eight in ten futures have an order ready, behind all that is promised."""
        new = floor.orders[number].given
        self.foretold |= {(number, n): self._foretell(new, stage) for n, stage in enumerate(new.stages)}
        laid = self.lay(now, floor, HORIZON)
        others = {n: order for n, order in floor.orders.items() if n != number}
        before = self.lay(now, replace(floor, orders=others), HORIZON).problem
        turn = merged(keys_of(before, best_rule(before)), laid.problem)
        ahead = Ahead(
            laid.problem,
            turn,
            laid.jobs,
            len(floor.orders),
            round(self.rho, 2),
            draws=self.draws,
            pace=pace_of(self._orders(now), max(min(now / WEEK, WEEKS), 1.0)),
            like=tuple(n for n, o in enumerate(floor.orders.values()) if not o.next and o.doing is None),
        )
        said = look_ahead(ahead).promises[list(floor.orders).index(number)]
        p50, p80, p90 = (None if m is None else evening(now + m) for m in (said.p50, said.p80, said.p90))
        self.given.append(Dates(number, now, p50, p80, p90, len(floor.orders)))
        return p80

    def _orders(self, now: int) -> list[tuple[int, int | None]]:
        """The days on which the orders of the last weeks came and were ready."""
        since = now - WEEKS * WEEK
        came = [given.at for given in self.shop.orders if given.at <= now]
        return [(at // DAY, self.ready.get(n)) for n, at in enumerate(came) if at > since]

    # --- laying out -----------------------------------------------------------------------------------

    def lay(self, now: int, floor: Floor, horizon: int) -> Laid:
        """The floor as a problem."""
        tasks: list[Task] = []
        places: list[Place | None] = []
        jobs: list[Job] = []
        orders: list[Order] = []
        for order in floor.orders.values():
            stages = []
            for n in range(order.next, len(order.given.stages)):
                task, unsure = self._task(order, n, now, len(orders), len(tasks))
                tasks.append(task)
                places.append((order.number, n))
                stages.append(unsure)
            jobs.append(Job(tuple(stages), order.number, tuple(self.surprises.get(order.number, ()))))
            due = None if order.due is None else order.due - now
            orders.append(Order(str(order.number), due))
        for off_at, count, _ in floor.clamped:
            keeps = ((CLAMPS, count),)
            orders.append(Order("clamps"))
            tasks.append(Task(len(orders) - 1, max(off_at - now, 0), crew=0, uses=keeps, begun=()))
            places.append(None)
        resources = tuple(Resource(str(n), count) for n, count in enumerate(STOCK))
        problem = Problem(tuple(tasks), tuple(orders), _workers(now, horizon, floor.away), resources, horizon)
        return Laid(problem, tuple(places), tuple(jobs))

    def _task(self, order: Open, n: int, now: int, place: int, number: int) -> tuple[Task, Unsure]:
        """A stage that is not done, as a task, and how its minutes are drawn."""
        stage, kind = order.given.stages[n], KINDS[order.given.stages[n].kind]
        told = self._foretell(order.given, stage)
        doing = order.doing if n == order.next else None
        spent = 0.0 if doing is None else float(doing.spent * stage.crew)
        part = Part(told, spent)
        work = exp(told.loc)
        if spent:
            drawn = draw_min([part], 0.0, np.random.default_rng(order.number), 50)
            work = float(np.median(drawn)) - spent
        first = n == order.next
        task = _as_task(
            place,
            max(round(work / stage.crew), 1),
            order.number * len(COLUMNS) + n + 1,
            stage,
            None if first else number - 1,
            KINDS[order.given.stages[n - 1].kind],
            tail=kind.wait if n == len(order.given.stages) - 1 else 0,
            earliest=max(order.free_at - now, 0) if first else 0,
            latest=None if not first or order.scuff_after is None else max(order.scuff_after - now, 0),
            begun=None if doing is None else doing.people,
        )
        return task, Unsure(part, (number,), (1.0 / stage.crew,), self.again)

    def _foretell(self, given: Given, stage: Stage) -> Prediction:
        return predict(self.fits[stage.kind], stage.quantity, given.pattern, given.repeats)


def _as_task(
    order: int,
    work: int,
    stage_id: int,
    stage: Stage,
    before: int | None,
    kind_before: Kind,
    tail: int,
    earliest: int = 0,
    latest: int | None = None,
    begun: tuple[int, ...] | None = None,
) -> Task:
    kind = KINDS[stage.kind]
    greatest = None if kind_before.soon is None else kind_before.wait + kind_before.soon
    return Task(
        order,
        work,
        stage=stage_id,
        crew=stage.crew,
        able=kind.able,
        pause="none" if kind.whole and work <= HOURS[0][1] - HOURS[0][0] else "any",
        uses=() if kind.station is None else ((kind.station, 1),),
        keeps=((CLAMPS, kind.clamps),) if kind.clamps else (),
        off=kind.kept,
        after=() if before is None else (After(before, kind_before.wait, greatest),),
        earliest=earliest,
        latest=latest,
        begun=begun,
        tail=tail,
    )


def _workers(now: int, horizon: int, away: frozenset[int]) -> tuple[Worker, ...]:
    first = now // DAY
    spans = [
        (day, max(day * DAY + a - now, 0), day * DAY + b - now)
        for day in range(first, first + horizon // DAY)
        if day % 7 < 5
        for a, b in HOURS
        if day * DAY + b > now
    ]
    found = []
    for person in range(PEOPLE):
        own = [each for each in spans if each[0] > first or person not in away]
        found.append(Worker(person, str(person), tuple(s[1:] for s in own), tuple(s[0] for s in own)))
    return tuple(found)


def evening(minute: int) -> int:
    """The end of a working day at or after a minute; of Saturdays and Sundays that of Monday."""
    day = minute // DAY
    if minute % DAY > HOURS[-1][1]:
        day += 1
    while day % 7 >= 5:
        day += 1
    return day * DAY + HOURS[-1][1]
