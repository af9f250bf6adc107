"""The big invented shop of the measurements: its kinds of stage, glues, clamps, and jobs by a seed."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random

from shoptrack.store.base import Base
from shoptrack.store.tables import (
    CustomerRow,
    MarkRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RecipeRow,
    RecipeVersionRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    ShopRow,
    StageKindRow,
    StationRow,
    WeekRow,
)

PEOPLE = ("Ann", "Ben", "Cleo", "Dov", "Edda", "Finn")
DAY = (time(8), time(12)), (time(13), time(17, 30))
SECTIONAL, SPRING = 1, 2
ROUTER, PLANER = 1, 2
GLUE, OIL = 1, 2
KINDS = {
    "drawing and programs": ("sheets", 20.0, 10.0),
    "milling": ("boards", 15.0, 4.0),
    "glue-up": ("joints", 15.0, 8.0),
    "flattening": ("pieces", 10.0, 9.0),
    "routing": ("minutes", 10.0, 1.0),
    "inlay": ("inlays", 10.0, 6.0),
    "sanding": ("pieces", 5.0, 12.0),
    "finishing": ("coats", 10.0, 15.0),
    "fitting": ("pieces", 10.0, 10.0),
    "packing": ("pieces", 5.0, 6.0),
    "rest": ("boards", 2880.0, 0.0),
}
"""Each kind with its unit and its rule of thumb: set-up minutes and minutes a unit."""

KIND_IDS = {name: id for id, name in enumerate(KINDS, 1)}
ORDER = (
    "drawing and programs",
    "milling",
    "rest",
    "milling",
    "glue-up",
    "flattening",
    "routing",
    "sanding",
    "inlay",
    "glue-up",
    "flattening",
    "sanding",
    "finishing",
    "fitting",
    "packing",
)
"""The kinds in the order in which a piece goes through them; a job has some of them."""

TITLES = ("ash table", "elm tray", "cherry box", "game board", "sycamore door", "oak bench")


@dataclass(eq=False, slots=True)
class Step:
    """One stage of a job while the invented years go by; ``free_at`` is None while it is being worked on."""

    id: int
    job: "Order"
    position: int
    kind: str
    quantity: float
    needs: tuple["Step", ...]
    left_min: float
    free_at: datetime | None
    rounds_left: int = 1
    begun: bool = False
    done_at: datetime | None = None
    cured_at: datetime | None = None
    runs_until: datetime | None = None
    limit_min: float = 0.0

    def ready(self, at: datetime) -> bool:
        """Whether somebody may begin it or go on with it."""
        if self.done_at is not None or self.free_at is None or self.free_at > at:
            return False
        return all(n.cured_at is not None and n.cured_at <= at for n in self.needs)


@dataclass(eq=False, slots=True)
class Order:
    """A job and its stages."""

    id: int
    tag: str
    title: str
    pieces: int
    added_at: datetime
    promised_on: date
    steps: list[Step] = field(default_factory=list)
    aside_until: datetime | None = None
    aside: list[Step] = field(default_factory=list)
    closed_at: datetime | None = None

    @property
    def done(self) -> bool:
        """Whether all of its stages are."""
        return all(s.done_at is not None for s in self.steps)


def rule_min(kind: str, quantity: float) -> float:
    """Minutes by rule of thumb."""
    _, setup, rate = KINDS[kind]
    return setup + rate * quantity


def plan_order(rng: Random, id: int, first_stage: int, length: int, now: datetime, tag: str) -> Order:
    """A job of about ``length`` stages; two of its first run side by side."""
    pieces = rng.randint(1, 12)
    weeks = timedelta(days=rng.randint(14, 35))
    title = rng.choice(TITLES)
    order = Order(id, tag, f"{pieces} × {title}", pieces, now, (now + weeks).date())
    dropped = set(rng.sample(range(1, len(ORDER) - 1), max(0, len(ORDER) - length)))
    kinds = [kind for place, kind in enumerate(ORDER) if place not in dropped]
    for place, kind in enumerate(kinds):
        before = order.steps[-2:] if place == 3 else order.steps[: place == 2 or None][-1:]
        quantity = float(rng.randint(20, 60) if kind == "routing" else rng.randint(2, 8))
        step = Step(first_stage + place, order, place + 1, kind, quantity, tuple(before), 0.0, now)
        step.left_min = rule_min(kind, quantity) * rng.lognormvariate(-0.1, 0.3)
        step.rounds_left = rng.randint(2, 4) if kind in ("finishing", "inlay") else 1
        if kind == "finishing":
            step.quantity = float(step.rounds_left)
        order.steps.append(step)
    return order


# --- rows --------------------------------------------------------------------------------------------


def shop_rows(zone: str, made_at: datetime, weekdays: set[int]) -> list[Base]:
    """Everything that the shop has beside its jobs."""
    rows: list[Base] = [ShopRow(id=1, name="Long Meadow Woodwork", zone=zone, made_at=made_at)]
    rows += [PersonRow(id=id, name=name, position=id) for id, name in enumerate(PEOPLE, 1)]
    rows += [RoomRow(id=1, name="machine room"), RoomRow(id=2, name="bench room")]
    rows += [
        StationRow(id=ROUTER, name="router", room_id=1, makes_dust=True),
        StationRow(id=PLANER, name="planer", room_id=1, makes_dust=True),
        PoolRow(id=SECTIONAL, name="900 mm bar clamp", reach_mm=900),
        PoolRow(id=SPRING, name="spring clamp", reach_mm=60),
        PoolCountRow(pool_id=SECTIONAL, from_at=made_at, owned=120),
        PoolCountRow(pool_id=SPRING, from_at=made_at, owned=60),
    ]
    rows += [
        WeekRow(from_on=made_at.date(), weekday=day, opens=a, closes=b) for day in weekdays for a, b in DAY
    ]
    for room, warm in ((1, 17.0), (2, 20.0)):
        for month in range(1, 13):
            cold = warm - 2 - 6 * (month in (12, 1, 2)) - 3 * (month in (3, 11))
            hours = {"heated_from": time(7), "heated_until": time(17, 30)}
            temp = {"room_id": room, "from_at": made_at, "month": month}
            rows.append(RoomTempRow(**temp, heated_c=warm, unheated_c=cold, **hours))
    for name, (unit, setup, rate) in KINDS.items():
        rows.append(StageKindRow(id=KIND_IDS[name], name=name, unit=unit))
        rows.append(RuleRow(kind_id=KIND_IDS[name], from_at=made_at, setup_min=setup, rate_min=rate))
    customers = [CustomerRow(id=n, name=f"Customer {n}") for n in range(1, 701)]
    return rows + _recipe_rows(made_at) + customers


def _recipe_rows(made_at: datetime) -> list[Base]:
    glue, oil = {"version_id": GLUE}, {"version_id": OIL}
    scrape = {"role": "scrape", "name": "scrape", "needs_hands": True}
    wipe = {"role": "wipe", "name": "wipe off", "needs_hands": True}
    recoat = {"role": "recoat", "name": "recoat", "gates": True}
    return [
        RecipeRow(id=GLUE, name="white glue", kind="glue"),
        RecipeVersionRow(
            id=GLUE, recipe_id=GLUE, from_at=made_at, open_min=10, lowest_c=10, below="spoils", q10=2.3
        ),
        RecipeRow(id=OIL, name="wiping oil", kind="finish"),
        RecipeVersionRow(id=OIL, recipe_id=OIL, from_at=made_at),
        MarkRow(**glue, role="clamps off", name="clamps off", from_min=60.0),
        MarkRow(**glue, **scrape, from_min=25.0, until_min=40.0),
        MarkRow(**glue, role="work", name="can be worked", from_min=960.0, gates=True),
        MarkRow(**glue, role="full strength", name="full strength", from_min=4320.0),
        MarkRow(**oil, **wipe, until_min=20.0),
        MarkRow(**oil, **recoat, from_min=360.0, until_min=2880.0),
        MarkRow(**oil, role="handle", name="can be handled", from_min=960.0, gates=True),
        MarkRow(**oil, role="food contact", name="food contact", from_min=10080.0),
    ]


def job_row(order: Order) -> dict[str, object]:
    """The row of a job."""
    kept = ("id", "tag", "title", "pieces", "promised_on", "added_at", "closed_at")
    return {**{name: getattr(order, name) for name in kept}, "customer_id": order.id % 700 + 1}


def stage_row(step: Step) -> dict[str, object]:
    """The row of a stage."""
    glued, oiled = step.kind in ("glue-up", "inlay"), step.kind == "finishing"
    attendance = {"routing": "within earshot", "rest": "none"}.get(step.kind, "hands-on")
    return {
        "id": step.id,
        "job_id": step.job.id,
        "position": step.position,
        "kind_id": KIND_IDS[step.kind],
        "name": f"{step.kind} of the {step.job.title.partition('× ')[2]}",
        "quantity": step.quantity,
        "rounds": step.kind in ("finishing", "inlay"),
        "attendance": attendance,
        "interruption": "none" if glued else "any",
        "station_id": {"routing": ROUTER, "milling": PLANER}.get(step.kind),
        "recipe_id": GLUE if glued else OIL if oiled else None,
        "hands_at_min": [15.0] if step.kind == "routing" else None,
        "settings": "fence at 120 mm, two passes",
    }


def need_rows(step: Step) -> list[dict[str, object]]:
    """What must be done before a stage."""
    return [{"stage_id": step.id, "needs_id": n.id} for n in step.needs]


def clamp_rows(step: Step) -> list[dict[str, object]]:
    """The clamps that a stage holds."""
    if step.kind == "glue-up":
        return [{"stage_id": step.id, "pool_id": SECTIONAL, "count": 4, "per_piece": False}]
    if step.kind == "inlay":
        return [{"stage_id": step.id, "pool_id": SPRING, "count": 1, "per_piece": True}]
    return []


def tags() -> list[str]:
    """All tags of two characters, none with letters that read as digits."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    return [a + b for a in letters for b in "23456789"]
