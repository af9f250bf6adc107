"""Shops that are odd in one way each, through every page that shows the plan: none fails, each says it."""

from datetime import UTC, date, datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from shoptrack.store.hours import say_day_off, say_week
from shoptrack.store.patterns import PatternNeed, PatternStage, make_pattern
from shoptrack.store.skills import say_never
from shoptrack.store.tables import PersonRow, PoolCountRow, StageRow
from tests.joinery import LONG_AGO, NOW, PIET, UNA, Joinery
from tests.web.test_floor import text_of

TODAY = date(2026, 11, 25)


def pages(client: FlaskClient, stage: int | None = None) -> dict[str, str]:
    """The text of every page that shows the plan."""
    paths = ["/", "/bench", f"/bench/{UNA}", f"/bench/{UNA}/spare", "/plan", "/plan?from=2026-12-07"]
    paths += ["/plan/what-if", f"/plan/week/{UNA}", "/api/plan", "/api/next"]
    paths += [f"/plan/stages/{stage}"] if stage is not None else []
    found = {}
    for path in paths:
        answer = client.get(path)
        assert answer.status_code == 200, path
        found[path] = text_of(answer.text)
    return found


def test_nobody_is_at_work_this_week(client: FlaskClient, joinery: Joinery) -> None:
    stages = joinery.add("tray", "tray", date(2026, 11, 27))
    with joinery.store.writing() as session:
        say_day_off(
            session, first_on=TODAY, last_on=date(2026, 11, 29), person=None, reason="", who=UNA, now=NOW
        )
    found = pages(client, stages["milling"])
    assert "the shop is closed" in found["/plan"]
    assert "Mon 30 Nov" in found["/plan"]


def test_nobody_is_ever_at_work(client: FlaskClient, joinery: Joinery) -> None:
    stages = joinery.add("tray", "tray", date(2026, 11, 27))
    with joinery.store.writing() as session:
        say_week(session, from_on=TODAY, days=((),) * 7, person=None, who=UNA, now=NOW)
    found = pages(client, stages["milling"])
    assert "Nobody is at work in the coming year" in found["/plan"]


def test_a_stage_that_nobody_may_do(client: FlaskClient, joinery: Joinery) -> None:
    stages = joinery.add("tray", "tray", date(2026, 11, 27))
    with joinery.store.writing() as session:
        for person in (UNA, PIET):
            row = session.get_one(PersonRow, person)
            say_never(session, row, {joinery.kinds["glue-up"]}, who=UNA, now=NOW)
    found = pages(client, stages["glue-up"])
    assert "Nobody here may do" in found["/plan"]
    assert "milling" in found[f"/bench/{UNA}"]


def test_more_clamps_than_there_are(client: FlaskClient, joinery: Joinery) -> None:
    stages = joinery.add("door", "door", date(2026, 11, 27))
    with joinery.store.writing() as session:
        session.execute(update(PoolCountRow).values(owned=2))
    found = pages(client, stages["put together"])
    assert "wants 3 × 600 mm at once; there are 2" in found["/plan"]


@pytest.mark.parametrize("promised", [date(2036, 11, 25), date(2020, 1, 1), date(2026, 11, 28)])
def test_promised_ten_years_off_in_the_past_and_on_a_saturday(
    client: FlaskClient, joinery: Joinery, promised: date
) -> None:
    stages = joinery.add("tray", "tray", promised)
    found = pages(client, stages["milling"])
    assert "tray" in found["/plan"]


@pytest.mark.parametrize("name", ["\"; <b>&'", "Hocker 🪑 für Zoë", "שולחן", "\u202eevil", "a" * 190])
def test_names_of_any_letters(client: FlaskClient, joinery: Joinery, name: str) -> None:
    stages = joinery.add("tray", name, date(2026, 11, 27))
    with joinery.store.writing() as session:
        session.execute(update(StageRow).values(name=name))
        session.execute(update(PersonRow).where(PersonRow.id == UNA).values(name=name))
    pages(client, stages["milling"])
    assert "<b>&" not in client.get("/plan").text


def test_a_job_of_sixty_stages(client: FlaskClient, joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        stages = [
            PatternStage(
                joinery.kinds["milling"], f"step {n}", per_piece=1, needs=[PatternNeed(n)] if n else []
            )
            for n in range(60)
        ]
        joinery.revisions["long"] = make_pattern(session, "long", stages=stages, now=LONG_AGO).id
    job = joinery.add("long", "long one", date(2026, 11, 27))
    found = pages(client, job["step 59"])
    assert "step 0" in found["/plan"]


def test_two_hundred_open_jobs(client: FlaskClient, joinery: Joinery) -> None:
    for n in range(200):  # four stages each
        job = joinery.add("door", f"door {n}", TODAY + timedelta(days=n % 90))
    pages(client, job["put together"])


@pytest.mark.parametrize(
    "now", [datetime(2026, 10, 30, 18, 0, tzinfo=UTC), datetime(2027, 3, 12, 18, 0, tzinfo=UTC)]
)
def test_the_week_in_which_the_clocks_change(
    client: FlaskClient, bare_app: Flask, joinery: Joinery, now: datetime
) -> None:
    """Work is as long as before; the night of the change is an hour longer or shorter."""
    bare_app.config.update(NOW=lambda: now)
    stages = joinery.add("tray", "tray", now.date() + timedelta(days=9), 12)
    found = pages(client, stages["milling"])
    assert "tray" in found["/plan"]


def test_no_jobs_at_all(client: FlaskClient, joinery: Joinery) -> None:
    assert "No open job" in pages(client)["/plan"]
