"""How often dates held, worked out by hand."""

from datetime import date

from shoptrack.flows.dates_held import dates_held, held_of
from shoptrack.store.jobs import close_job
from shoptrack.store.promised_dates import DateHeld, say
from tests.joinery import NOW, Joinery

TODAY = date(2026, 11, 25)
DATE = date(2026, 11, 20)


def shown(chance: float | None, done: int | None, count: int = 1) -> list[DateHeld]:
    """Dates of the twentieth, done on a day of November or not yet."""
    return [DateHeld(n, DATE, chance, date(2026, 11, done) if done else None) for n in range(count)]


def test_each_band_is_held_against_what_was_said_of_it() -> None:
    """Twenty at 80 in 100: sixteen kept is as said; ten kept is less often; a date of 95 kept 30 of 30."""
    good = held_of([*shown(0.8, 20, 16), *shown(0.8, 23, 4)], TODAY)
    assert [(b.said, b.held, b.of, b.verdict) for b in good.bands] == [(0.8, 16, 20, "as said")]
    assert good.late_days == 3
    bad = held_of([*shown(0.8, 20, 10), *shown(0.8, 24, 10), *shown(0.4, 19, 30)], TODAY)
    assert [(b.low, b.high, b.verdict) for b in bad.bands] == [
        (0.0, 0.5, "more often"),
        (0.7, 0.85, "less often"),
    ]
    assert (bad.whole.held, bad.whole.of) == (40, 50)


def test_what_is_over_and_not_done_was_missed_and_what_is_to_come_tells_nothing() -> None:
    open_ones = [DateHeld(1, date(2026, 11, 24), 0.9, None), DateHeld(2, TODAY, 0.9, None)]
    found = held_of(open_ones, TODAY)
    assert (found.whole.held, found.whole.of, found.late_days) == (0, 1, 1)
    assert found.bands[0].verdict == "too few"


def test_a_sure_date_and_one_without_a_chance() -> None:
    found = held_of([*shown(1.0, 20), *shown(None, 20), *shown(0.0, 20)], TODAY)
    assert [(b.low, b.of) for b in found.bands] == [(0.0, 1), (0.95, 1), (None, 1)]
    assert found.bands[-1].verdict == ""


def test_no_date_yet() -> None:
    found = held_of([], TODAY)
    assert (found.whole.of, found.bands, found.late_days) == (0, (), None)


def test_a_job_closed_counts_by_its_last_date_and_each_date_it_was_shown_for(joinery: Joinery) -> None:
    """One job is done in time, one is done too late for the first date that it was promised for."""
    first, second = (joinery.add("door", f"door {n}", date(2026, 11, 27))["job"] for n in (1, 2))
    with joinery.store.writing() as session:
        say(session, second, date(2026, 11, 20), 0.9, NOW)
        for job in (first, second):
            close_job(session, job, NOW)
    with joinery.store.reading() as session:
        found = dates_held(session, TODAY)
    assert (found.whole.held, found.whole.of) == (2, 3)
    assert [(b.said, b.held, b.of) for b in found.bands] == [(0.9, 0, 1), (None, 2, 2)]
