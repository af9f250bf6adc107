"""The Floor as it is sent: the same validator means the same sheet, few queries, no script needed."""

import re
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from shoptrack.flows.learning import learned
from shoptrack.flows.planning.plan import offer, plan_now
from shoptrack.flows.shopfloor import gather, shown_at
from shoptrack.store.backup import note_failure
from shoptrack.store.db import Store
from shoptrack.store.log import set_aside
from tests.flows.worked import mill
from tests.joinery import NOW, PIET, BusyDay, Joinery, at
from tests.web.conftest import ORIGIN


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_busy_day_can_be_read(client: FlaskClient, day: BusyDay) -> None:
    """13:24: oil to wipe by 13:39, trays in clamps until 13:48, a joint in doubt, Una at the frame."""
    words = text_of(client.get("/").text)
    assert "oiling, 1 of 3 wipe off by 13:39" in words
    assert "clamps off 13:48" in words
    assert "panel glue-up test or redo" in words
    assert "Una" in words
    assert "frame" in words
    assert "24 min · usual 55 min" in words
    assert "Oily rags heat themselves" in words
    assert "The maker’s data sheet, local codes and licensed practice decide." in words


def test_the_plan_says_what_is_next_and_why(client: FlaskClient, day: BusyDay) -> None:
    """Una's next is the hall door's panel, whose glue has the night; each that is ready has its hour."""
    words = text_of(client.get("/").text)
    assert "then 14:00 B2 panel glue-up" in words
    assert "it cures overnight; keeps B2’s date" in words
    assert "Ready, in the plan’s order" in words
    assert "14:00 Una" in words


def test_without_a_plan_dates_say_what_is_next(
    client: FlaskClient, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shoptrack.flows.planning.plan.check", lambda problem, plan: ("It breaks a rule.",))
    words = text_of(client.get("/").text)
    assert "Ready, by promised date" in words
    assert "then E2 milling" in words


def test_a_better_plan_is_another_sheet(client: FlaskClient, bare_store: Store, day: BusyDay) -> None:
    """The head and the minute stand; the worker proved the plan. Once asked again it is a 304 again."""
    before = client.get("/").headers["ETag"]
    planned = plan_now(bare_store, gather(bare_store, NOW))
    assert offer(bare_store, planned.laid, replace(planned.plan, proven=True), NOW)
    after = client.get("/", headers={"If-None-Match": before})
    assert (after.status_code, after.headers["ETag"] == before) == (200, False)
    assert client.get("/", headers={"If-None-Match": after.headers["ETag"]}).status_code == 304


def test_no_part_is_drawn_empty(client: FlaskClient, joinery: Joinery) -> None:
    """A shop with no job has people and the title block only."""
    page = client.get("/").text
    for heading in ("Not to be missed", "Curing", "Running", "Ready", "Waiting", "Somebody must say"):
        assert heading not in page
    assert "No open job." in page


def test_unchanged_is_304_by_one_query(client: FlaskClient, bare_store: Store, day: BusyDay) -> None:
    tag = client.get("/").headers["ETag"]
    asked = count_queries(bare_store)
    answer = client.get("/", headers={"If-None-Match": tag})
    assert answer.status_code == 304
    assert answer.data == b""
    assert answer.headers["ETag"] == tag
    assert len(asked) == 1


def test_the_servers_clock_comes_along(bare_app: Flask, day: BusyDay) -> None:
    """A tablet whose clock is wrong counts down by it; the sheet itself is drawn for the minute."""
    bare_app.config["NOW"] = lambda: NOW + timedelta(seconds=31, milliseconds=250)
    client = bare_app.test_client()
    first = client.get("/")
    again = client.get("/", headers={"If-None-Match": first.headers["ETag"]})
    assert first.headers["Shop-Clock"] == again.headers["Shop-Clock"] == "2026-11-25T18:24:31.250+00:00"


def test_the_whole_sheet_takes_eight_queries(
    client: FlaskClient, bare_store: Store, day: BusyDay, joinery: Joinery
) -> None:
    """As many with one job as with sixty."""
    for n in range(55):
        joinery.add("tray", f"tray {n}", date(2026, 12, 1))
    asked = count_queries(bare_store)
    page = client.get("/")
    assert page.status_code == 200
    assert len(asked) <= 8, asked


def count_queries(store: Store) -> list[str]:
    asked: list[str] = []
    event.listen(
        store._reader,
        "before_cursor_execute",
        lambda _c, _cursor, statement, *_: asked.append(statement) if statement != "BEGIN" else None,
    )
    return asked


def test_sixty_jobs_are_still_one_sheet(client: FlaskClient, joinery: Joinery) -> None:
    """Lists stop and say how many more there are."""
    for n in range(60):
        joinery.add("tray", f"tray {n}", date(2026, 12, 1) + timedelta(days=n))
    page = client.get("/")
    assert "and 54 more ready" in text_of(page.text)
    assert len(page.data) < 40_000


def test_a_tap_changes_the_validator(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    before = client.get("/").headers["ETag"]
    joinery.tap("pause", at("13:23"), day.letter["oiling"], person=PIET)
    after = client.get("/", headers={"If-None-Match": before})
    assert after.status_code == 200
    assert after.headers["ETag"] != before


def test_another_paper_is_another_sheet(client: FlaskClient, day: BusyDay) -> None:
    before = client.get("/").headers["ETag"]
    client.set_cookie("look", "glare")
    assert client.get("/").headers["ETag"] != before


@given(st.lists(st.integers(0, 3 * 24 * 3600), min_size=2, max_size=6))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_equal_validators_mean_equal_sheets(bare_app: Flask, day: BusyDay, seconds: list[int]) -> None:
    """At random instants of three days, some of them seconds apart, ids of forms included."""
    client, seen = bare_app.test_client(), {}
    for second in [*seconds, *(s + 7 for s in seconds)]:
        bare_app.config["NOW"] = lambda moment=NOW + timedelta(seconds=second): moment
        answer = client.get("/")
        assert seen.setdefault(answer.headers["ETag"], answer.data) == answer.data


def test_a_tap_within_the_minute_counts_at_once() -> None:
    def moment(text: str) -> datetime:
        return datetime.fromisoformat(f"2026-11-25T18:{text}+00:00")

    assert shown_at(moment("24:40"), moment("24:30")) == moment("24:30")
    assert shown_at(moment("24:40"), moment("20:30")) == moment("24:00")
    assert shown_at(moment("24:40"), moment("24:50")) == moment("24:00")
    assert shown_at(moment("24:40"), None) == moment("24:00")


def test_a_clock_that_is_behind_says_so(bare_app: Flask, day: BusyDay) -> None:
    """Somebody set the server's clock back to the morning."""
    client = bare_app.test_client()
    assert "clock is behind" not in client.get("/").text
    bare_app.config["NOW"] = lambda: at("9:00")
    assert "clock is behind" in client.get("/").text


def test_a_failed_backup_says_so(client: FlaskClient, bare_store: Store, day: BusyDay) -> None:
    before = client.get("/").headers["ETag"]
    note_failure(bare_store.instance, at("12:00"), "the disk is full")
    answer = client.get("/", headers={"If-None-Match": before})
    assert answer.status_code == 200
    assert "The backup failed 12:00: the disk is full" in answer.text


def test_taps_set_aside_are_counted(client: FlaskClient, bare_store: Store, day: BusyDay) -> None:
    assert "set aside" not in client.get("/").text
    with bare_store.writing() as session:
        set_aside(
            session, id="x", device="t", body={"kind": "?"}, body_hash="h", reason="No such.", received_at=NOW
        )
    page = client.get("/")
    assert "1 tap could not be taken" in text_of(page.text)
    assert 'href="/set-aside"' in page.text


def test_a_question_is_answered_with_a_plain_form(client: FlaskClient, day: BusyDay) -> None:
    """The doubtful joint: the form that the page itself holds is posted as it is, twice, and counts once."""
    page = client.get("/").text
    forms = re.findall(r'<form method="post" action="/bench/tap">.*?</form>', page, re.S)
    sound = next(f for f in forms if 'value="sound"' in f)
    fields = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', sound))
    for _ in range(2):
        answer = client.post("/bench/tap", data=fields, headers=ORIGIN)
        assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    assert "panel glue-up test or redo" not in text_of(client.get("/").text)


def test_a_machine_left_alone_comes_first(bare_app: Flask, joinery: Joinery, day: BusyDay) -> None:
    """Una starts the router on the game tray and the day ends with nobody saying anything."""
    joinery.tap("finish", at("13:25"), day.game["glue-up"])
    joinery.tap("start", at("13:30"), day.game["carving the well"], insisted=True)
    bare_app.config["NOW"] = lambda: at("13:35")
    words = text_of(bare_app.test_client().get("/").text)
    assert "needs hands at 13:40, 13:55" in words
    assert "nobody here" not in words
    joinery.tap("pause", at("13:45"), day.game["carving the well"], goes_on=True)
    joinery.tap("pause", at("13:46"), day.letter["oiling"], person=PIET)
    bare_app.config["NOW"] = lambda: at("13:50")
    assert "router running, nobody here" in text_of(bare_app.test_client().get("/").text)


@pytest.mark.parametrize("look", ["glare", "paper", ""])
def test_a_paper_is_chosen_by_a_form(client: FlaskClient, look: str) -> None:
    answer = client.post("/look", data={"look": look, "back": "/jobs"}, headers=ORIGIN)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/jobs")
    assert f'class="{look}"' in client.get("/jobs").text


def test_what_is_learned_meanwhile_makes_another_sheet(
    client: FlaskClient, bare_store: Store, joinery: Joinery
) -> None:
    """The head and the minute stand; what is usual is said otherwise, so the validator differs."""
    mill(joinery, [60, 61, 59, 60])
    joinery.add("tray", "tray", None)
    before = client.get("/")
    learned(bare_store, NOW)
    after = client.get("/", headers={"If-None-Match": before.headers["ETag"]})
    assert (after.status_code, after.headers["ETag"] == before.headers["ETag"]) == (200, False)
    assert "usual 35 min" in text_of(before.text)
    assert "usual 35 min" not in text_of(after.text)
    assert client.get("/", headers={"If-None-Match": after.headers["ETag"]}).status_code == 304


def test_at_night_the_sheet_says_when_the_shop_opens(bare_app: Flask, day: BusyDay) -> None:
    """22:00: Una never tapped off her frame. Nobody is here, and her name says why."""
    bare_app.config["NOW"] = lambda: at("22:00")
    words = text_of(bare_app.test_client().get("/").text)
    assert "Nobody is here. The shop opens tomorrow 8:00." in words
    assert "was left on since 13:00" in words
    assert "nothing in hand" not in words


def test_only_our_papers_and_pages(client: FlaskClient) -> None:
    assert client.post("/look", data={"look": "neon"}, headers=ORIGIN).status_code == 400
    away = {"look": "glare", "back": "//elsewhere.example"}
    assert client.post("/look", data=away, headers=ORIGIN).status_code == 400


def test_nothing_on_the_sheet_is_inline(client: FlaskClient, day: BusyDay) -> None:
    """The content policy would refuse it."""
    page = client.get("/").text
    assert not re.search(r"\sstyle=|<style|<script(?! src)|\son[a-z]+=|javascript:", page)
    assert '<noscript><meta http-equiv="refresh"' in page


def test_the_page_says_which_sheet_it_came_with(client: FlaskClient, day: BusyDay) -> None:
    """The script asks with the validator of its own page, so that an unchanged sheet is not sent a second
    time."""
    page = client.get("/floor")
    tag, _ = page.get_etag()
    assert f'data-tag="{tag}"' in page.text
    assert client.get("/floor", headers={"If-None-Match": f'"{tag}"'}).status_code == 304
