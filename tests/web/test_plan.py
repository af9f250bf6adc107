"""The Plan as it is sent: today in large letters, nights, dates, a stage with its pin, a week on paper."""

import re
from datetime import date, timedelta

import pytest
from flask.testing import FlaskClient

from shoptrack.flows.shopfloor import gather
from shoptrack.store.hours import say_day_off, say_week
from shoptrack.web.rights import least_kind
from tests.joinery import NOW, UNA, BusyDay, Joinery
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of

MONDAY = date(2026, 11, 30)


def rows(page: str) -> list[str]:
    """The text of each row of a day."""
    return [text_of(part) for part in re.findall(r'<section class="plan-day.*?</section>', page, re.DOTALL)]


def test_the_plan_says_how_the_dates_stand(client: FlaskClient, day: BusyDay) -> None:
    words = text_of(client.get("/plan").text)
    assert re.search(r"[1-4] of 4 promised dates (is|are) missed, by \d+ days in all", words)
    assert re.search(r"(Found by a simple rule|Proven best), made 13:24, for the log as it is", words)
    assert "Jobs against their dates, in working days" in words
    assert re.search(r"letter tray yesterday .*? \d+ days late", words)


def test_today_leads_with_who_does_what(client: FlaskClient, day: BusyDay) -> None:
    """Una is at the frame since 13:00, and the plan goes on from there; people in the shop's order."""
    page = client.get("/plan").text
    today = rows(page)[0]
    assert today.startswith("Wed today 25 Nov")
    assert today.index("Una") < today.index("Piet")
    assert "frame 13:24 to" in today
    assert "in hand now" in today
    assert "night 15 h" in today
    assert re.search(r"glue-up, 4 clamps", today)
    assert re.search(r"600 mm: \d+ of 12", today)


def test_lengths_are_written_and_each_stage_leads_to_its_page(client: FlaskClient, day: BusyDay) -> None:
    page = client.get("/plan").text
    assert f'href="/plan/stages/{day.hall["frame"]}"' in page
    assert re.search(r"<text[^>]*plan-length[^>]*>(\d+ min|\d+ h( \d\d)?)</text>", page)
    assert "style=" not in page
    assert "<script>" not in page


def test_the_same_stands_in_a_table(client: FlaskClient, day: BusyDay) -> None:
    """For those who have it read aloud: as many lines as pieces drawn."""
    page = client.get("/plan").text
    table = page[page.index("The same as a table") :]
    assert table.count("<tr>") - 1 == page.count('class="plan-label')


def test_a_weekend_is_a_line_and_a_holiday_says_its_name(
    client: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    on = date(2026, 11, 26)
    with joinery.store.writing() as session:
        say_day_off(session, first_on=on, last_on=on, person=None, reason="Thanksgiving", who=UNA, now=NOW)
    words = text_of(client.get("/plan").text)
    assert "Thu 26 Nov the shop is closed: Thanksgiving" in words
    assert "Sat 28 Nov – Sun 29 Nov nobody at work" in words


def test_what_is_not_planned_is_said_with_the_way_out(client: FlaskClient, day: BusyDay) -> None:
    words = text_of(client.get("/plan").text)
    assert "Not planned, and why" in words
    assert "“panel glue-up” may not hold: test the joint, and what follows it can be planned." in words


def test_later_sheets_and_a_day_that_is_none(client: FlaskClient, day: BusyDay) -> None:
    later = client.get("/plan?from=2026-12-07").text
    assert "Plan from Mon 7 Dec" in text_of(later)
    assert 'href="/plan"' in later
    refused = client.get("/plan?from=yesterday")
    assert refused.status_code == 400
    assert "is not a date" in refused.text


def test_an_empty_shop_is_said_plainly(client: FlaskClient, joinery: Joinery) -> None:
    words = text_of(client.get("/plan").text)
    assert "No open job." in words
    assert "Wed today 25 Nov" in words
    with joinery.store.writing() as session:
        say_week(session, from_on=date(2026, 11, 25), days=((),) * 7, person=None, who=UNA, now=NOW)
    words = text_of(client.get("/plan").text)
    assert "nobody at work" in words
    assert "Wed today" not in words


def test_a_shop_without_people(bare: FlaskClient) -> None:
    words = text_of(bare.get("/plan", follow_redirects=True).text)
    assert "Nobody has hours of work in the coming weeks" in words


def test_sixty_jobs_are_still_read(client: FlaskClient, joinery: Joinery) -> None:
    """Long lists stop and say how much more there is."""
    for n in range(60):
        joinery.add("door", f"door {n}", date(2026, 12, 1) + timedelta(days=n % 9))
    page = client.get("/plan")
    words = text_of(page.text)
    assert page.status_code == 200
    assert "and 36 more, none of them later than these" in words
    assert re.search(r"and \d+ more", rows(page.text)[3])
    assert len(page.data) < 400_000


def test_a_stage_is_pinned_and_let_go(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """Without a script: a form, a redirect, and the page says it."""
    path = f"/plan/stages/{day.letter['glue-up']}"
    assert "Pin it to a day" in client.get(path).text
    answer = client.post(f"{path}/pin", data={"on": "2026-11-30", "person": "2"}, headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, path)
    words = text_of(client.get(path).text)
    assert "Mon 30 Nov" in words
    assert "It is pinned to Mon 30 Nov, Piet." in words
    pinned = rows(client.get("/plan").text)
    assert any("pinned" in row for row in pinned if row.startswith("Mon 30 Nov"))
    client.post(f"{path}/unpin", headers=ORIGIN)
    assert gather(joinery.store, NOW).world.pins == {}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"on": ""}, "The day is missing."),
        ({"on": "soon"}, "is not a date"),
        ({"on": "2026-11-01"}, "That day is over."),
        ({"on": "2026-11-30", "person": "77"}, "nobody of that name"),
        ({"on": "2026-11-30", "person": "x"}, "must be a whole number"),
    ],
)
def test_what_is_wrong_with_a_pin_stands_beside_its_field(
    client: FlaskClient, day: BusyDay, said: dict[str, str], words: str
) -> None:
    answer = client.post(f"/plan/stages/{day.letter['glue-up']}/pin", data=said, headers=ORIGIN)
    assert answer.status_code == 400
    field = "person" if "person" in said else "on"
    assert words in answer.text
    assert f'id="wrong-{field}"' in answer.text


def test_a_job_is_put_aside_from_its_stage_through_the_log(client: FlaskClient, day: BusyDay) -> None:
    """The form is the Bench's own; afterwards the plan says why nothing of the job is in it."""
    page = client.get(f"/plan/stages/{day.hall['put together']}").text
    (form,) = re.findall(
        r'<form method="post" action="/bench/tap"[^>]*id="say-put-aside">(.*?)</form>', page, re.DOTALL
    )
    fields = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
    reason = re.findall(r'<button name="reason" value="([^"]+)"', form)[0]
    answer = client.post("/bench/tap", data={**fields, "reason": reason}, headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/plan")
    words = text_of(client.get("/plan").text)
    assert re.search(r"hall door, ash Fri 4 Dec – not in the plan", words)


def test_a_stage_that_is_not_there_or_done(client: FlaskClient, day: BusyDay) -> None:
    assert client.get("/plan/stages/9999").status_code == 404
    assert "This stage is done." in client.get(f"/plan/stages/{day.elm['milling']}").text


def test_a_week_on_paper(client: FlaskClient, day: BusyDay) -> None:
    """Times, minutes, where, what cures, and room to write."""
    page = client.get("/plan/week/1")
    words = text_of(page.text)
    assert "Una Week of Mon 23 Nov 2026" in words
    assert "Wed 25 Nov 2026 8:00–12:00, 12:30–17:00" in words
    assert re.search(r"13:24–\d\d:\d\d B2 frame", words)
    assert "overnight" in words
    assert 'class="pencil plan-week-write"' in page.text
    assert "Sat 28 Nov 2026 not at work" in words
    assert client.get("/plan/week/77").status_code == 404
    assert "Mon 30 Nov 2026" in text_of(client.get("/plan/week/2?from=2026-12-02").text)


def test_the_wall_may_not_open_it() -> None:
    """A screen that was paired as a wall shows the Floor alone."""
    assert {least_kind(e) for e in ("plan.show", "plan.set_pin", "plan_if.show")} == {"bench"}


def test_the_navigation_has_it(client: FlaskClient, day: BusyDay) -> None:
    assert '<a href="/plan" aria-current="page">Plan</a>' in client.get("/plan").text
    assert '<a href="/plan" aria-current="true">Plan</a>' in client.get("/plan/what-if").text
