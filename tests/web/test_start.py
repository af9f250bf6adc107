"""The guided first day as its pages, without a script: from an empty database to a job on the Floor."""

from collections.abc import Callable
from datetime import time

from flask.testing import FlaskClient
from sqlalchemy import event, func, select

from shoptrack.flows.first_day.steps import STEPS
from shoptrack.store.db import Store
from shoptrack.store.hours import say_week, weeks_of
from shoptrack.store.tables import (
    JobRow,
    PatternRow,
    PersonRow,
    PoolRow,
    RecipeRow,
    RoomRow,
    ShopRow,
    StageKindRow,
    StationRow,
)
from tests.first_day import filled_in, words_of
from tests.joinery import NOW
from tests.web.conftest import ORIGIN

ADDED = (PersonRow, RoomRow, StationRow, PoolRow, RecipeRow, StageKindRow, PatternRow, JobRow)


Walk = Callable[..., str]


def counts(store: Store) -> list[int]:
    with store.reading() as session:
        return [session.scalar(select(func.count()).select_from(t)) or 0 for t in ADDED]


def shop_of(store: Store) -> ShopRow:
    with store.reading() as session:
        return session.get_one(ShopRow, 1)


def test_a_stranger_comes_from_nothing_to_a_job_on_the_floor(
    stranger: FlaskClient, unset: Store, walk: Walk
) -> None:
    """Nine steps, each sent as it came but for the names and the customer; the Floor has the first stage."""
    answer = stranger.get("/", follow_redirects=True)
    assert answer.request.path == "/start/shop"
    assert walk() == "/"
    floor = words_of(stranger.get("/").text)
    assert "A2 rough milling" in floor
    assert "The first day is not finished" not in floor
    assert "start" in words_of(stranger.get("/bench/1").text)
    shop = shop_of(unset)
    assert (shop.zone, shop.length_unit, shop.first_day) == ("America/New_York", "in", None)
    assert counts(unset) == [2, 1, 5, 5, 2, 13, 1, 1]


def test_a_step_sent_twice_counts_once(stranger: FlaskClient, unset: Store, walk: Walk) -> None:
    """Every form of the first day is posted again, from the page as it was before."""
    for step in STEPS:
        walk(step)
        said = filled_in(stranger.get(f"/start/{step}").text)
        said |= {"names": "Nel\nOskar"} if step == "people" else {}
        said |= {"customer": "the Fernside inn"} if step == "job" else {}
        first = stranger.post(f"/start/{step}", data=said, headers=ORIGIN)
        once = counts(unset)
        again = stranger.post(f"/start/{step}", data=said, headers=ORIGIN)
        assert (first.status_code, again.status_code) == (303, 303)
        assert again.headers["Location"] == first.headers["Location"]
        assert counts(unset) == once, step


def test_while_nothing_is_set_up_every_page_leads_to_the_start(stranger: FlaskClient) -> None:
    """Pages lead there; programs, taps and unknown addresses get one plain sentence; nothing breaks."""
    for path in ("/", "/floor", "/bench", "/bench/1", "/jobs", "/jobs/new", "/set-aside"):
        answer = stranger.get(path)
        assert (answer.status_code, answer.headers.get("Location")) == (303, "/start"), path
    assert stranger.get("/start").headers["Location"] == "/start/shop"
    assert stranger.get("/start/kinds").headers["Location"] == "/start/shop"
    assert stranger.get("/nowhere").status_code == 404
    for path in ("/api/floor", "/api/jobs"):
        answer = stranger.get(path)
        assert (answer.status_code, answer.get_json()["detail"]) == (404, "The shop isn't set up yet.")
    tap = {"id": "a", "kind": "start", "person": "1", "stages": "1"}
    for path, body in (("/bench/tap", tap), ("/start/people", {"names": "Nel"}), ("/start/rooms/skip", {})):
        answer = stranger.post(path, data=body, headers=ORIGIN)
        assert answer.status_code in (400, 404, 409), path
        assert "Something broke" not in answer.text


def test_taps_of_a_tablet_before_the_set_up_break_nothing(stranger: FlaskClient, unset: Store) -> None:
    at = NOW.isoformat()
    entry = {"id": "tap-0001", "seq": 1, "kind": "start", "person": 1, "stages": [1], "at": at}
    body = {"device": "tablet", "sent_at": at, "entries": [entry]}
    answer = stranger.post("/api/entries", json=body, headers=ORIGIN)
    assert answer.status_code < 500
    assert counts(unset) == [0] * len(ADDED)


def test_the_check_costs_a_page_no_query(stranger: FlaskClient, unset: Store, walk: Walk) -> None:
    """A page reads the shop's row once, to write its foot, and not again to see that it is there."""
    walk("people")
    asked: list[str] = []
    event.listen(unset._reader, "before_cursor_execute", lambda *said: asked.append(said[2]))
    for _ in range(2):
        asked.clear()
        assert stranger.get("/set-aside").status_code == 200
        assert sum("FROM shop" in statement for statement in asked) == 1


def test_every_step_can_be_left_out(stranger: FlaskClient, unset: Store) -> None:
    """Nine times "leave this out": a shop with nothing in it, and a Floor that is there."""
    for place, step in enumerate(STEPS, start=1):
        answer = stranger.post(f"/start/{step}/skip", headers=ORIGIN)
        later = f"/start/{[*STEPS][place]}" if place < len(STEPS) else "/"
        assert (answer.status_code, answer.headers["Location"]) == (303, later)
    assert counts(unset) == [0] * len(ADDED)
    assert stranger.get("/").status_code == 200
    assert shop_of(unset).first_day is None


def test_what_was_left_out_can_be_gone_back_to(stranger: FlaskClient, unset: Store, walk: Walk) -> None:
    """All but the shop is left out; each page still opens and says what is missing; then one is done."""
    walk("people")
    for step in [*STEPS][1:-1]:
        stranger.post(f"/start/{step}/skip", headers=ORIGIN)
    assert "there is none yet" in stranger.get("/start/job").text
    assert "There is no kind of stage yet" in stranger.get("/start/pattern").text
    said = filled_in(stranger.get("/start/rooms").text)
    assert stranger.post("/start/rooms", data=said, headers=ORIGIN).headers["Location"] == "/start/job"
    assert counts(unset)[1] == 1
    page = words_of(stranger.get("/start/rooms").text)
    assert "There already: workshop" in page


def test_the_floor_says_that_the_first_day_is_not_over(stranger: FlaskClient, walk: Walk) -> None:
    """Left in the middle: the Floor leads back to the next step, the list of steps knows it too."""
    walk("clamps")
    floor = stranger.get("/").text
    assert 'href="/start/clamps"' in floor
    assert "Go on: clamps" in words_of(floor)
    steps = stranger.get("/start").text
    assert 'href="/start/clamps"' in steps
    assert 'href="/start/kinds"' not in steps
    assert "The first day is not finished" not in stranger.get("/bench/1").text


def test_a_step_that_is_done_shows_what_is_there(stranger: FlaskClient, unset: Store, walk: Walk) -> None:
    walk()
    before = counts(unset)
    for step, words in (
        ("people", "Nel, Oskar"),
        ("rooms", "workshop"),
        ("stations", "table saw, jointer"),
        ("clamps", '6", 12", 24"'),
        ("recipes", "wiping oil, yellow PVA glue"),
        ("kinds", "drawing and programs"),
        ("pattern", "serving board"),
    ):
        page = stranger.get(f"/start/{step}").text
        assert words in words_of(page), step
        said = {} if step == "pattern" else filled_in(page)
        if said:
            answer = stranger.post(f"/start/{step}", data=said, headers=ORIGIN)
            assert answer.headers["Location"] == "/start"
    assert counts(unset) == before
    assert filled_in(stranger.get("/start/shop").text)["name"] == "Our shop"
    assert "Finished." in stranger.get("/start").text


def test_the_first_name_goes_on_in_the_office(stranger: FlaskClient, walk: Walk) -> None:
    """With two people nobody is asked who it is in the middle of the first day."""
    walk("rooms")
    assert stranger.get("/start/rooms").status_code == 200


def test_a_step_that_is_none_is_not_there(stranger: FlaskClient, walk: Walk) -> None:
    walk("people")
    assert stranger.get("/start/paint").status_code == 404
    assert stranger.post("/start/paint", headers=ORIGIN).status_code == 404
    assert stranger.post("/start/paint/skip", headers=ORIGIN).status_code == 404


def test_a_shop_that_was_never_on_its_first_day_is_left_alone(client: FlaskClient) -> None:
    """A shop set up by hand, or the demo: no line on the Floor, and the steps are all there to look at."""
    assert "first day" not in client.get("/").text


def test_a_whole_shop_can_be_brought_in_instead_and_there_is_a_way_back(stranger: FlaskClient) -> None:
    """Offered while there is no shop; once there is one it is not."""
    page = stranger.get("/start/shop").text
    assert '<a class="button" href="/files/restore">bring it in</a>' in page
    bring = stranger.get("/files/restore", follow_redirects=True)
    assert bring.request.path == "/files/restore"
    assert 'href="/start"' in bring.text
    stranger.post("/start/shop", data=filled_in(page), headers=ORIGIN)
    assert "/files/restore" not in stranger.get("/start/shop").text


def test_days_that_differ_are_shown_one_by_one_and_stay(stranger: FlaskClient, unset: Store) -> None:
    """Friday ends at one, Saturday is worked too: gone back to, the step shows that week and leaves it."""
    stranger.post("/start/shop", data=filled_in(stranger.get("/start/shop").text), headers=ORIGIN)
    long, short = ((time(7), time(12)), (time(12, 30), time(16))), ((time(7), time(13)),)
    with unset.writing() as session:
        days = (long, long, long, long, short, short, ())
        say_week(session, from_on=NOW.date(), days=days, person=None, who=None, now=NOW)
    page = stranger.get("/start/shop").text
    words = words_of(page)
    assert "Thu 7:00 am–12:00 pm, 12:30 pm–4:00 pm Fri 7:00 am–1:00 pm" in words
    assert "Sun no work" in words
    assert 'href="/shop/hours"' in page
    said = {**filled_in(page), "name": "Fernside"}
    assert "opens" not in said
    assert stranger.post("/start/shop", data=said, headers=ORIGIN).status_code == 303
    with unset.reading() as session:
        assert weeks_of(session, None)[-1].days == days
    assert shop_of(unset).name == "Fernside"


def test_hours_can_not_be_kept_that_were_never_said(stranger: FlaskClient, unset: Store) -> None:
    said = {**filled_in(stranger.get("/start/shop").text), "hours": "kept"}
    answer = stranger.post("/start/shop", data=said, headers=ORIGIN)
    assert answer.status_code == 400
    assert 'id="wrong-opens"' in answer.text
