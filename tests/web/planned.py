"""A plan of two days by hand for the tests of its drawing: Una and Piet, a glue-up and a late job."""

from datetime import UTC, date, datetime, timedelta

from shoptrack.flows.planning.dates import JobDate
from shoptrack.flows.planning.lanes import Lane, MachineRun, Named, Piece
from shoptrack.flows.planning.nights import Curing, InUse
from shoptrack.flows.planning.view import DayRow, DueHere, Night, NotPlanned, PlanView
from shoptrack.web.render import Wall

WALL = Wall("Sedge Lane Joinery", "America/New_York", "in", "F", "USD", True, False, None)
WEDNESDAY, THURSDAY = date(2026, 11, 25), date(2026, 11, 26)


def at(clock: str, days: int = 0) -> datetime:
    """A wall time of that Wednesday, five hours behind UTC."""
    hour, minute = map(int, clock.split(":"))
    return datetime(2026, 11, 25, 5, tzinfo=UTC) + timedelta(days=days, hours=hour, minutes=minute)


def named(
    tag: str = "K7", name: str = "milling", task: int | None = 0, stage: int = 11, **more: object
) -> Named:
    plain: dict[str, object] = {"part": "", "station": "", "late": False, "pinned": False, "in_hand": False}
    return Named(task, stage, 1, tag, name, **(plain | more))  # type: ignore[arg-type]


def piece(of: Named, *stretches: tuple[str, str], days: int = 0, **more: object) -> Piece:
    spans = tuple((at(a, days), at(b, days)) for a, b in stretches)
    minutes = sum((b - a).total_seconds() / 60 for a, b in spans)
    plain: dict[str, object] = {"from_before": False, "goes_on": False, "beside": ()}
    return Piece(of, spans[0][0], spans[-1][1], spans, minutes, **(plain | more))  # type: ignore[arg-type]


def hours(days: int = 0) -> tuple[tuple[datetime, datetime], ...]:
    return ((at("8:00", days), at("12:00", days)), (at("12:30", days), at("17:00", days)))


def line(tag: str = "K7", days: int | None = 2, late: bool = True, **more: object) -> JobDate:
    plain: dict[str, object] = {
        "title": "chess table",
        "promised_on": WEDNESDAY,
        "must_keep": False,
        "ready_at": at("16:00", 1),
        "ready_on": THURSDAY,
        "whole": True,
    }
    return JobDate(job=1, tag=tag, days=days, late=late, **(plain | more))  # type: ignore[arg-type]


GLUE = Curing(
    named(name="glue-up", stage=12, task=1), at("16:30"), 6, at("18:30"), at("8:30", 1), None, planned=True
)


def day(days: int = 0, **more: object) -> DayRow:
    """A day with Una at two stages, Piet at none, and a glue-up through its night."""
    una = (
        piece(named(), ("9:00", "12:00"), ("12:30", "14:00"), days=days, goes_on=True),
        piece(named("B3", "inlay", stage=21, late=True, pinned=True), ("14:00", "14:15"), days=days),
    )
    plain: dict[str, object] = {
        "today": not days,
        "lanes": (Lane(1, "Una", hours(days), una, 200.0), Lane(2, "Piet", hours(days), (), 510.0)),
        "runs": (MachineRun(named("A4", "cutting", station="router"), at("15:00", days), at("16:00", days)),),
        "night": Night(at("17:00", days), at("8:00", days + 1), (GLUE,) if not days else ()),
        "cures": (GLUE,) if not days else (),
        "clamps": (InUse("24\u2033", 6, 12),),
        "dues": (DueHere(line(), ready=False),),
        "closed": None,
        "away": (),
        "extra": (),
    }
    return DayRow(on=WEDNESDAY + timedelta(days=days), **(plain | more))  # type: ignore[arg-type]


def shut(days: int, why: str | None = None) -> DayRow:
    """A day on which nobody works."""
    lanes = (Lane(1, "Una", (), (), 0.0), Lane(2, "Piet", (), (), 0.0))
    return day(days, lanes=lanes, runs=(), night=None, cures=(), clamps=(), dues=(), closed=why)


def view(*rows: DayRow, **more: object) -> PlanView:
    """A plan that was made at 13:20 and is looked at at 13:24."""
    plain: dict[str, object] = {
        "jobs": (line(),),
        "left": (NotPlanned(1, "K7", (13,), "K7 waits for its deposit, and nobody knows when it comes."),),
        "missed": (),
        "people": ((1, "Una"), (2, "Piet")),
        "proven": False,
        "by": "search",
        "stale": False,
        "late_days": 2,
        "rule_late_days": 5,
        "last_on": THURSDAY,
    }
    return PlanView(
        at=at("13:24"), first_on=WEDNESDAY, today=WEDNESDAY, days=rows or (day(), day(1)),
        made_at=at("13:20"), number=7, **(plain | more),  # type: ignore[arg-type]
    )  # fmt: skip
