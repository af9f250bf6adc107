"""The Times as they are read: what each kind takes, asked, corrected, and held against what was foretold."""

import re
from html import unescape

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.store.jobs import close_job
from shoptrack.store.tables import LogAnswerRow, ShopRow, StageKindRow
from shoptrack.web.security import CONTENT_POLICY
from shoptrack.web.times.reports import WITH_CHARTS
from tests.crawled import read
from tests.joinery import NOW, Joinery
from tests.times import bring_in, charts_of, mill, text_of
from tests.web.conftest import ORIGIN

WILD = [58.0, 60, 63, 61, 59, 62, 60, 58, 61, 60, 62, 59, 660]


@pytest.mark.parametrize("path", ["/times", "/times/1", "/times/3", "/times/jobs", "/times/record"])
def test_a_shop_with_nothing_logged(office: FlaskClient, path: str) -> None:
    page = office.get(path)
    assert page.status_code == 200
    assert charts_of(page.text) == []
    assert "plotly" not in page.text


def test_a_kind_by_its_rule_of_thumb_alone(client: FlaskClient) -> None:
    words = text_of(client.get("/times").text)
    assert "milling nothing logged yet rule of thumb 15 min set-up, 10 min each" in words
    assert "The rule of thumb answers until the log does." in words
    asked = text_of(client.get("/times/1?quantity=4").text)
    assert "4 boards: " in asked
    assert "Nothing logged yet, from the rule of thumb, scaled by boards: half under 55 min" in asked


def test_what_was_learned_stands_beside_the_rule(client: FlaskClient, joinery: Joinery) -> None:
    """Twelve of 70 min for three joints, where the rule says 10 + 3·20 = 70: what was learned says so too."""
    bring_in(joinery, "glue-up", [70.0] * 12, quantity=3)
    page = client.get("/times")
    words = text_of(page.text)
    assert (
        "glue-up 12 logged, all from before the log rule of thumb 10 min set-up, 20 min each learned" in words
    )
    assert "for 3 joints: half under 1 h 10, 1 in 10 under" in words
    assert '<svg class="span"' in page.text


def test_watched_is_told_apart_from_hands_on(client: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "carving", [70.0])
    words = text_of(client.get("/times").text)
    assert (
        "carving 1 logged, all from before the log · watched: a machine runs, somebody is within earshot"
        in words
    )
    assert words.count("watched") == 1


@pytest.mark.parametrize(
    "path", ["/times/99", "/times/9999999999999999999999", "/times/x", "/times/1?page=2"]
)
def test_what_is_not_there(client: FlaskClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_wild_time_counts_after_one_tap(office: FlaskClient, joinery: Joinery) -> None:
    """Eleven hours among twelve of one: asked on the list; "it counts" takes the question away, twice tapped
    once, and "leave it out" on the kind's page turns it round."""
    bring_in(joinery, "glue-up", WILD)
    page = office.get("/times")
    assert "1 set aside: do" in text_of(page.text)
    (form,) = [f for f in read("/times", page.text).forms if f.action == "/times/answers"]
    assert form.buttons == [("counts", "yes"), ("counts", "no")]
    for _ in range(2):
        answer = office.post("/times/answers", data=dict([*form.fields, ("counts", "yes")]), headers=ORIGIN)
        assert (answer.status_code, answer.headers["Location"]) == (303, "/times#odd")
    assert "set aside" not in text_of(office.get("/times").text)
    assert "it counts, somebody said" in text_of(office.get("/times/2").text)
    (form,) = [f for f in read("/times/2", office.get("/times/2").text).forms if f.action == "/times/answers"]
    assert form.buttons == [("counts", "no")]
    office.post("/times/answers", data=dict([*form.fields, *form.buttons]), headers=ORIGIN)
    assert "left out, somebody said" in text_of(office.get("/times/2").text)
    with joinery.store.reading() as session:
        (row,) = session.query(LogAnswerRow)
        assert (row.counts, row.person_id) == (False, 1)


@pytest.mark.parametrize("said", [{}, {"key": "p1"}, {"key": "p1", "counts": "maybe"}, {"counts": "yes"}])
def test_a_half_said_answer_is_refused(office: FlaskClient, said: dict[str, str]) -> None:
    assert office.post("/times/answers", data=said, headers=ORIGIN).status_code == 400


@pytest.mark.parametrize("key", ["p99", "s99", "x1", "s", "p-1", "s99999999999999999999", "🪵"])
def test_an_answer_of_no_time(office: FlaskClient, key: str) -> None:
    answer = office.post("/times/answers", data={"key": key, "counts": "yes"}, headers=ORIGIN)
    assert answer.status_code == 404


def test_only_the_pages_with_charts_have_another_policy(office: FlaskClient, app_of: Flask) -> None:
    """Of all the pages of the Times those three; what it gains: tests/web/test_chart_script.py."""
    for path in ("/times/1", "/times/jobs", "/times/record"):
        assert "blob:" in office.get(path).headers["Content-Security-Policy"]
    for path in ("/times", "/jobs", "/shop", "/times/99/learned"):
        assert office.get(path).headers["Content-Security-Policy"] == CONTENT_POLICY
    assert set(app_of.view_functions) >= WITH_CHARTS


@pytest.fixture
def app_of(office: FlaskClient) -> Flask:
    return office.application


def test_where_the_hours_of_jobs_go(client: FlaskClient, joinery: Joinery) -> None:
    job = mill(joinery, "a tray", 60, -3)
    with joinery.store.writing() as session:
        close_job(session, job, NOW)
    page = client.get("/times/jobs")
    words = text_of(page.text)
    assert "1 order, 1 h of hands each." in words
    assert "milling 100 % 1 h 1 1 h" in words
    assert charts_of(page.text)[0]["lying"] is True
    assert "No order was done since 25 Nov 2025 of this pattern." in text_of(
        client.get("/times/jobs?pattern=2").text
    )
    assert client.get("/times/jobs?pattern=99").status_code == 404
    assert client.get("/times/jobs?pattern=x").status_code == 400


def test_the_record_says_when_there_are_too_few(client: FlaskClient, joinery: Joinery) -> None:
    """Five finished: nothing is said. Forty: how often 8 in 10 held, and between what the true share lies."""
    bring_in(joinery, "milling", [60.0] * 5)
    words = text_of(client.get("/times/record").text)
    assert "5 finished so far: too few to say. From 20 on this page answers." in words
    bring_in(joinery, "glue-up", [50.0, 70, 90, 60, 55] * 8, quantity=3)
    page = client.get("/times/record")
    words = text_of(page.text)
    assert re.search(r"“8 in 10” held \d+ times out of 45: \d+ %", words)
    assert "19 times in 20" in words
    assert "milling 5" in words
    assert "too few to say" in words
    assert [len(s["low"]) for s in charts_of(page.text)[0]["series"]] == [0, 3]  # type: ignore[attr-defined]


def test_in_a_shop_with_odd_names(office: FlaskClient, joinery: Joinery) -> None:
    """Quotes, tags and emoji in the names of kinds, jobs and people are shown as they were written."""
    odd = '<script>alert(1)</script> “6" × 2” =1+1 🪵'
    with joinery.store.writing() as session:
        for row in session.query(StageKindRow):
            row.name, row.unit = f"{odd} {row.id}", odd
    bring_in(joinery, "glue-up", WILD * 3, pattern=1, job=odd, person=odd)
    for path in ("/times", "/times/2", "/times/2/learned", "/times/jobs?over=all", "/times/record"):
        page = office.get(path)
        assert page.status_code == 200
        assert "<script>alert" not in page.text
        assert odd in unescape(page.text)


def test_in_millimetres_with_a_twelve_hour_clock(office: FlaskClient, joinery: Joinery) -> None:
    bring_in(joinery, "glue-up", WILD * 3)
    with joinery.store.writing() as session:
        shop = session.get(ShopRow, 1)
        assert shop is not None
        shop.length_unit, shop.temperature_unit, shop.clock_24h = "mm", "C", False
    assert office.get("/times/2").status_code == 200


def test_a_tablet_of_the_bench_reads_and_changes_nothing(
    client: FlaskClient, joinery: Joinery, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Times hold no money: the bench may read them all, and finds no form that writes."""
    bring_in(joinery, "glue-up", WILD)
    monkeypatch.setattr("shoptrack.web.rights.device_kind", lambda: "bench")
    client.application.jinja_env.globals["device_kind"] = lambda: "bench"
    for path in ("/times", "/times/2", "/times/jobs", "/times/record"):
        page = client.get(path)
        assert page.status_code == 200
        assert {f.method for f in read(path, page.text).forms if not f.action.endswith("/look")} <= {"get"}
    for path, said in (("/times/2/rule", {"rate": "5"}), ("/times/answers", {"key": "p1", "counts": "no"})):
        assert client.post(path, data=said, headers=ORIGIN).status_code == 403
    assert client.get("/times/2/learned").status_code == 403
