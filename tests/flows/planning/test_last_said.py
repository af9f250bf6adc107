"""When a reason may be said again: for some minutes, by one order, while no day that it names has moved."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shoptrack.engine import nextup
from shoptrack.engine.shapes.planned import Plan, Problem
from shoptrack.flows.planning.last_said import FOR, Said, last_said
from shoptrack.flows.planning.next_up import Why, next_up
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.store.jobs import job_row
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery

TOMORROW = NOW + timedelta(days=1)
SAID = Said(NOW, TOMORROW, (), False, {3: date(2026, 12, 1), 4: None})


@pytest.mark.parametrize(
    ("later", "until_at", "days", "holds"),
    [
        (timedelta(0), TOMORROW, SAID.days, True),
        (FOR - timedelta(minutes=1), TOMORROW, SAID.days, True),
        (FOR, TOMORROW, SAID.days, False),
        (timedelta(minutes=-1), TOMORROW, SAID.days, False),
        (timedelta(0), TOMORROW + timedelta(days=1), SAID.days, False),
        (timedelta(0), TOMORROW, {**SAID.days, 3: date(2026, 12, 2)}, False),
        (timedelta(0), TOMORROW, {**SAID.days, 4: date(2026, 12, 2)}, False),
        (timedelta(0), TOMORROW, {**SAID.days, 5: date(2026, 12, 2)}, True),
    ],
)
def test_it_holds(later: timedelta, until_at: object, days: dict[int, date | None], holds: bool) -> None:
    assert SAID.holds(NOW + later, until_at, days.get) is holds  # type: ignore[arg-type]


@pytest.fixture
def decodes(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One more for each plan that is tried for a reason."""
    counted: list[int] = []
    build = nextup.build

    def counting(problem: Problem, *more: object) -> Plan:
        counted.append(1)
        return build(problem, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(nextup, "build", counting)
    return counted


def reasons(joinery: Joinery, later_min: float = 0) -> list[object]:
    sight = gather(joinery.store, NOW + timedelta(minutes=later_min))
    found = next_up(sight, plan_now(joinery.store, sight))
    stages = [(person, found.next_for(person)) for person in (UNA, PIET)]
    return [found.because(person, stage) for person, stage in stages if stage is not None]


def test_a_minute_later_and_after_a_note_nothing_is_tried_again(
    joinery: Joinery, day: BusyDay, decodes: list[int]
) -> None:
    """Six minutes later all of it is; what is said each time is what a fresh look would say."""
    first = reasons(joinery)
    tried = len(decodes)
    assert tried == sum(isinstance(each, Why) for each in first)
    joinery.tap("note", NOW, text="glue is low", job=day.hall["job"])
    assert reasons(joinery, 1) == first
    assert len(decodes) == tried
    reasons(joinery, 6)
    assert len(decodes) > tried


def test_what_the_office_changes_is_heeded_at_once(
    joinery: Joinery, day: BusyDay, decodes: list[int]
) -> None:
    """A promised date moves: whatever was said is tried again in the same minute."""
    reasons(joinery)
    tried = len(decodes)
    with joinery.store.writing() as session:
        job_row(session, day.hall["job"]).promised_on = date(2027, 3, 1)
    reasons(joinery)
    assert len(decodes) > tried


def test_another_order_of_the_plan_begins_anew(joinery: Joinery, day: BusyDay) -> None:
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    own = last_said(sight, planned)
    assert last_said(sight, planned) is own
    other = replace(planned, made_at=planned.made_at + timedelta(minutes=1))
    assert last_said(sight, other) is not own
