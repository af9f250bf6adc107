"""Jobs that are closed and paid for, and what their stages took."""

from datetime import date

from shoptrack.store import costs, extras, pays
from shoptrack.store.costs import Spent
from shoptrack.store.edits import edit
from shoptrack.store.jobs import close_job, job_row
from tests.joinery import NOW, UNA, Joinery, at

ON = date(2026, 11, 25)


def made(
    joinery: Joinery, price_cents: int | None, title: str = "tray", closed: bool = True
) -> dict[str, int]:
    """A tray at a price, its milling worked on for half an hour, with ten minutes and 5 of mending."""
    tray = joinery.add("tray", title, None)
    joinery.tap("start", at("8:00"), tray["milling"])
    joinery.tap("mend", at("8:20"), tray["milling"], minutes=10, cents=500)
    joinery.tap("finish", at("8:30"), tray["milling"])
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), UNA, NOW, price_cents=price_cents)
        if closed:
            close_job(session, tray["job"], now=NOW)
    return tray


def sold(joinery: Joinery, most: int = 10) -> list[pays.SoldJob]:
    with joinery.store.reading() as session:
        return pays.sold_jobs(session, most)


def test_only_closed_jobs_with_a_price_are_sold(joinery: Joinery) -> None:
    made(joinery, 40_000, closed=False)
    made(joinery, None)
    made(joinery, 0)
    called_off = made(joinery, 40_000)["job"]
    with joinery.store.writing() as session:
        edit(session, job_row(session, called_off), UNA, NOW, called_off_why="moved away")
    assert sold(joinery) == []
    job = made(joinery, 40_000, "the one")["job"]
    assert [one.id for one in sold(joinery)] == [job]


def test_a_sold_job_has_its_hours_extras_and_what_was_spent(joinery: Joinery) -> None:
    """Half an hour and ten minutes of mending; 400 and 60; wood for 70 and a mend for 5."""
    tray = made(joinery, 40_000)
    with joinery.store.writing() as session:
        extras.add_extra(
            session, tray["job"], number=1, words="lid", cents=6_000, asked_on=ON, who=None, now=NOW
        )
        extras.approve(session, tray["job"], 1, ON, "", None, NOW)
        costs.add_cost(
            session, tray["job"], Spent("material", "elm", ON, cents=7_000), after=0, who=None, now=NOW
        )
    (one,) = sold(joinery)
    assert (one.customer, one.pattern, one.tag) == ("Odile Marr", "tray", one.tag)
    assert (one.earned_cents, one.spent_cents) == (46_000, 7_500)
    assert round(one.hands_min) == 40


def test_the_newest_are_given_oldest_first(joinery: Joinery) -> None:
    first, second = made(joinery, 10_000, "a")["job"], made(joinery, 20_000, "b")["job"]
    assert {one.id for one in sold(joinery)} == {first, second}
    assert [one.id for one in sold(joinery, 1)] == [second]


def test_stages_say_what_they_took_and_untouched_ones_nought(joinery: Joinery) -> None:
    tray = made(joinery, 10_000)
    with joinery.store.reading() as session:
        took = pays.stages_took(session, [tray["job"]])
    assert [(one.name, round(one.hands_min)) for one in took][:2] == [("milling", 40), ("glue-up", 0)]
    assert [one.position for one in took] == sorted(one.position for one in took)


def test_a_run_is_told_with_its_station(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["carving the well"], insisted=True)
    joinery.tap("finish", at("9:00"), tray["carving the well"])
    with joinery.store.reading() as session:
        (run,) = pays.runs_of(session, [tray["job"]])
    assert (run.job, run.station, round(run.machine_min)) == (tray["job"], 1, 60)


def test_the_log_of_clamps_is_of_jobs_that_hold_some(joinery: Joinery) -> None:
    """Of another job nothing is read, of this one all, strikes too."""
    tray, other = joinery.add("tray", "tray", None), joinery.add("tray", "other", None)
    first = joinery.tap("start", at("8:00"), tray["milling"])
    strike = joinery.tap("strike", at("8:01"), of=first)
    joinery.tap("start", at("8:02"), other["milling"])
    with joinery.store.reading() as session:
        found = pays.log_of_clamps(session, [tray["job"]])
        stages = pays.clamped_stages(session, [tray["job"]])
    assert {e.id for e in found} == {first, strike}
    assert stages == {stage for name, stage in tray.items() if name != "job"}


def test_closed_jobs_come_in_the_order_of_closing(joinery: Joinery) -> None:
    job = made(joinery, 10_000)["job"]
    still = made(joinery, 10_000, closed=False)["job"]
    with joinery.store.reading() as session:
        (one,) = pays.closed_among(session, [job, still])
        assert (one.id, one.price_cents, one.extras_cents) == (job, 10_000, 0)
        assert pays.spent_on(session, [job]) == {job: 500}  # the mend
