"""What is planned to be cut in, the days on which an edge is due and is to leave out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.edge_due import NEVER, After, Send, Use, due, send_by
from shoptrack.engine.edge_life import Beliefs, EdgeFit, Life, learn

ALIKE = learn([Life(20.0, True)] * 60, 20.0, Beliefs(shape=9.0, shape_sd=0.05))
"""Edges that last 20 h within a tenth or two."""
WIDE = learn([Life(18.0, True), Life(26.0, True)], 20.0)


def rng() -> np.random.Generator:
    return np.random.default_rng(5)


def daily(hours_h: float, days: int, job_days: int = 5) -> list[Use]:
    return [Use(100 + n, n // job_days, hours_h) for n in range(days)]


# --- due ----------------------------------------------------------------------------------------------


def test_edges_that_are_alike_are_due_when_the_hours_are_run() -> None:
    """20 h at 2 h a day is the tenth day (109), a few to either side; at an age of 12 h the fourth (103)."""
    new, worn = due(ALIKE, 0.0, daily(2.0, 40), rng()), due(ALIKE, 12.0, daily(2.0, 40), rng())
    assert new.p50_on == pytest.approx(109, abs=1)
    assert worn.p50_on == pytest.approx(103, abs=1)
    assert new.chance_within == 1.0
    assert None not in (new.p10_on, new.p90_on)


def test_without_luck_in_the_hours_it_is_the_quantiles_walked() -> None:
    """Uses so small that their factors cancel out: P10 to P90 are those of what is left, in days of .5 h."""
    uses = [Use(100 + n, 10 * n + part, 0.05) for n in range(250) for part in range(10)]
    told = due(WIDE, 5.0, uses, rng(), draws=8000)
    # the mean of the factors is exp((.2² + .3²)/2)
    days = WIDE.left_quantiles(5.0, [0.1, 0.2, 0.5, 0.9]) / (0.5 * np.exp(0.065))
    found = np.array([told.p10_on, told.p20_on, told.p50_on, told.p90_on], dtype=float)
    assert found == pytest.approx(100 + days, rel=0.01, abs=1.5)


def test_days_without_the_edge_push_it_back() -> None:
    """The same uses after a week in which the tool stands still."""
    later = [Use(use.on + 7, use.job, use.effective_h) for use in daily(2.0, 40)]
    now, then = due(WIDE, 4.0, daily(2.0, 40), rng()), due(WIDE, 4.0, later, rng())
    assert now.p50_on is not None
    assert then.p50_on == now.p50_on + 7


def test_past_the_plan_the_usual_day_goes_on() -> None:
    """Ten days of a plan of 1 h, then 1 h on each day that is open (every other one), as planned so."""
    open_on = range(110, 300, 2)
    whole = [*daily(1.0, 10), *(Use(on, 10 + n // 5, 1.0) for n, on in enumerate(open_on))]
    planned, going_on = (
        due(ALIKE, 0.0, whole, rng()),
        due(ALIKE, 0.0, daily(1.0, 10), rng(), After(1.0, open_on)),
    )
    assert going_on == planned
    assert going_on.p50_on is not None
    assert going_on.p50_on == pytest.approx(126, abs=4)  # 10 h of the plan, some 9 days of every other
    stopped = due(ALIKE, 0.0, daily(1.0, 10), rng())
    assert stopped.p10_on is None
    assert stopped.chance_within < 0.05


def test_nothing_planned_is_never_due() -> None:
    assert due(WIDE, 5.0, [], rng()) == NEVER
    assert due(WIDE, 5.0, [], rng(), After(0.0, range(100, 160))) == NEVER
    assert due(WIDE, 5.0, [], rng(), After(2.0, range(100, 160))).p50_on is not None


def test_beyond_the_horizon_there_is_no_day_but_a_chance() -> None:
    """Eight hours planned: some edges are dull by then, most are not."""
    told = due(WIDE, 5.0, daily(1.0, 8), rng())
    assert told.p90_on is None
    assert 0.05 < told.chance_within < 0.5


def test_hours_of_one_job_run_over_together() -> None:
    """Many days of one job vary more in sum than as many jobs: their factor does not cancel out."""
    one, many = (due(ALIKE, 0.0, daily(1.0, 60, days), rng(), draws=4000) for days in (60, 1))
    spans = [told.p90_on - told.p10_on for told in (one, many) if told.p90_on and told.p10_on]
    assert spans[0] > spans[1]


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 60), st.integers(1, 8), st.floats(0.1, 6.0)), max_size=40),
    st.floats(0, 30),
)
def test_days_come_in_order_on_days_of_the_plan(said: list[tuple[int, int, float]], age_h: float) -> None:
    """Whatever is planned; the order in which uses are given is nothing, nor the numbers of jobs."""
    uses = [Use(*each) for each in said]
    told = due(WIDE, age_h, uses, rng())
    days = [told.p10_on, told.p20_on, told.p50_on, told.p90_on]
    known = [day for day in days if day is not None]
    assert known == sorted(known)
    assert days[len(known) :] == [None] * (4 - len(known))
    assert set(known) <= {use.on for use in uses}
    assert 0.0 <= told.chance_within <= 1.0
    renamed = [Use(use.on, 10 * use.job, use.effective_h) for use in sorted(uses, key=lambda use: use.on)]
    assert due(WIDE, age_h, renamed, rng()) == told


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.1, 20.0))
def test_a_known_shape_is_due_no_later_when_it_is_older(age_h: float, older_h: float) -> None:
    fit: EdgeFit = ALIKE
    young, old = (due(fit, age, daily(1.5, 80), rng()) for age in (age_h, age_h + older_h))
    assert young.p50_on is not None
    assert old.p50_on is not None
    assert old.p50_on <= young.p50_on + 1


# --- the day to send it -------------------------------------------------------------------------------

WEEKDAYS = [day for day in range(70) if day % 7 < 5]
"""Day 0 is a Monday; nobody works on 5, 6, 12, 13, …"""


@pytest.mark.parametrize(
    ("due_on", "away_days", "sent"),
    [
        (18, 3, Send(15, 18, late=False)),  # due on a Friday, three days: Tuesday
        (15, 3, Send(10, 15, late=False)),  # due on a Tuesday: the Thursday before, across the weekend
        (13, 3, Send(8, 11, late=False)),  # due on a Sunday: back on the Friday
        (3, 3, Send(0, 3, late=False)),  # today, just in time
        (2, 3, Send(0, 3, late=True)),  # too late: today, back a day after it is due
        (18, 0, Send(18, 18, late=False)),  # done in the shop
    ],
)
def test_it_leaves_so_that_it_is_back_when_due(due_on: int, away_days: int, sent: Send) -> None:
    assert send_by(due_on, away_days, WEEKDAYS) == sent


def test_nothing_is_sent_for_a_day_that_nobody_knows() -> None:
    assert send_by(None, 3, WEEKDAYS) is None
    assert send_by(500, 3, WEEKDAYS) is None
    assert send_by(2, 3, WEEKDAYS[:3]) is None


@given(st.integers(0, 60), st.integers(0, 12))
def test_it_is_the_last_day_that_will_do(due_on: int, away_days: int) -> None:
    """Back on a working day not after the due one, and a working day later would be too late."""
    sent = send_by(due_on, away_days, WEEKDAYS)
    assert sent is not None
    place = WEEKDAYS.index(sent.on)
    assert WEEKDAYS[place + away_days] == sent.back_on
    assert sent.late == (sent.back_on > due_on)
    assert WEEKDAYS[place + 1 + away_days] > due_on
    assert not sent.late or sent.on == WEEKDAYS[0]
