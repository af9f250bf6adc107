"""The forms of the first day as they are refused: a wrong answer comes back filled, beside its field."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from shoptrack.store.db import Store
from shoptrack.store.tables import RoomTempRow, ShopRow, StationRow
from tests.first_day import filled_in, words_of
from tests.web.conftest import ORIGIN

Walk = Callable[..., str]


def wrong(stranger: FlaskClient, step: str, **changed: str) -> str:
    """The sentence that a step's form is refused with when it is sent so changed; it comes back filled."""
    said = filled_in(stranger.get(f"/start/{step}").text) | changed
    answer = stranger.post(f"/start/{step}", data=said, headers=ORIGIN)
    assert answer.status_code == 400
    again = filled_in(answer.text)
    assert {n: v for n, v in said.items() if v and n != "names"}.items() <= again.items()
    return " ".join(unescape("".join(re.findall(r'class="wrong"[^>]*>([^<]*)', answer.text))).split())


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": " "}, "The shop’s name is missing."),
        ({"name": "x" * 61}, "The shop’s name is longer than 60 letters."),
        ({"closes": "07:00"}, "Work must begin before it ends."),
        ({"lunch_from": ""}, "Give both ends of lunch, or leave both empty."),
        ({"lunch_from": "06:00"}, "Lunch must lie within the working day."),
        ({"opens": "dawn"}, "When work begins is not a time of day; one looks like 13:05."),
    ],
)
def test_a_wrong_answer_about_the_shop_comes_back(
    stranger: FlaskClient, changed: dict[str, str], sentence: str
) -> None:
    said = filled_in(stranger.get("/start/shop").text) | changed
    answer = stranger.post("/start/shop", data=said, headers=ORIGIN)
    assert answer.status_code == 400
    assert sentence in words_of(answer.text)


@pytest.mark.parametrize("field", ["zone", "currency", "length_unit", "temperature_unit", "clock"])
def test_a_choice_that_is_none_is_refused(stranger: FlaskClient, unset: Store, field: str) -> None:
    said = filled_in(stranger.get("/start/shop").text)
    for value in ("", "Middle/Earth", "../../etc/passwd", "<script>"):
        answer = stranger.post("/start/shop", data=said | {field: value}, headers=ORIGIN)
        assert answer.status_code == 400
        assert "<script>" not in answer.text
    with unset.reading() as session:
        assert session.get(ShopRow, 1) is None


def test_wrong_figures_come_back_beside_their_fields(stranger: FlaskClient, walk: Walk) -> None:
    walk("people")
    assert wrong(stranger, "people") == "Write at least one name."
    assert "longer than 60 letters" in wrong(stranger, "people", names="x" * 61)
    walk("rooms")
    assert wrong(stranger, "rooms", **{"night-workshop": ""}) == "Give a usual warmth; a guess will do."
    assert "is not a temperature" in wrong(stranger, "rooms", **{"day-workshop": "warm"})
    walk("stations")
    assert "is not a length" in wrong(stranger, "stations", **{"greatest_width_mm-planer": "wide"})
    assert "can’t be meant" in wrong(stranger, "stations", **{"greatest_width_mm-planer": "0"})
    walk("clamps")
    assert "must be a whole number" in wrong(stranger, "clamps", **{"count-2": "-3"})
    assert wrong(stranger, "clamps", **{"reach-2": ""}) == "How far do these clamps reach?"
    walk("kinds")
    assert wrong(stranger, "kinds", **{"rate-sanding": "0"}) == "Say how long one takes; a guess will do."
    assert "is missing" in wrong(stranger, "kinds", **{"unit-sanding": ""})
    walk("pattern")
    assert wrong(stranger, "pattern", **{"amount-2": ""}) == "Say how much of it there is."
    assert "above nought" in wrong(stranger, "pattern", **{"amount-2": "0"})
    said = filled_in(stranger.get("/start/pattern").text) | {"kind-3": "99999"}
    answer = stranger.post("/start/pattern", data=said, headers=ORIGIN)
    assert (answer.status_code, "is not there any more" in answer.text) == (400, True)
    walk("job")
    assert wrong(stranger, "job", customer="", title="x") == "The customer is missing."
    assert "whole number" in wrong(stranger, "job", pieces="0", customer="y")
    assert "is not a date" in wrong(stranger, "job", promised_on="soon", customer="y")


def test_a_shop_in_millimetres_reads_and_shows_them(stranger: FlaskClient, unset: Store, walk: Walk) -> None:
    """Vienna: limits in millimetres, warmth in °C, boards instead of board feet."""
    said = filled_in(stranger.get("/start/shop").text)
    said |= {
        "zone": "Europe/Vienna",
        "length_unit": "mm",
        "temperature_unit": "C",
        "currency": "JPY",
        "clock": "24",
    }
    stranger.post("/start/shop", data=said, headers=ORIGIN)
    stranger.post("/start/people", data={"names": "Nel"}, headers=ORIGIN)
    rooms = filled_in(stranger.get("/start/rooms").text)
    assert (rooms["day-workshop"], rooms["night-workshop"]) == ("20", "15")
    stranger.post("/start/rooms", data=rooms | {"night-workshop": "8,5"}, headers=ORIGIN)
    stations = filled_in(stranger.get("/start/stations").text)
    assert stations["greatest_width_mm-planer"] == "380"
    stranger.post("/start/stations", data=stations | {"greatest_width_mm-planer": "41 cm"}, headers=ORIGIN)
    clamps = filled_in(stranger.get("/start/clamps").text)
    assert [clamps[f"reach-{n}"] for n in range(1, 6)] == ["150", "300", "600", "900", "1200"]
    assert filled_in(stranger.get("/start/kinds").text)["unit-rough-milling"] == "boards"
    with unset.reading() as session:
        planer = session.scalars(select(StationRow).where(StationRow.name == "planer")).one()
        night = {t.unheated_c for t in session.scalars(select(RoomTempRow))}
        shop = session.get_one(ShopRow, 1)
    assert (planer.greatest_width_mm, night) == (410.0, {8.5})
    assert shop.currency == "JPY"


def test_strange_words_are_kept_as_words(stranger: FlaskClient, walk: Walk) -> None:
    """Quotes, an emoji, a script and a formula as names: shown as they were typed, run by nobody."""
    walk("people")
    names = 'O\'Dell "Chip"\n<script>alert(1)</script>\n=1+1\n🪵\n\n  nel \nNel'
    stranger.post("/start/people", data={"names": names}, headers=ORIGIN)
    page = stranger.get("/start/people").text
    assert "<script>alert" not in page
    assert 'There already: O\'Dell "Chip", <script>alert(1)</script>, =1+1, 🪵, nel.' in unescape(
        words_of(page.replace("<strong>", "").replace("</strong>", ""))
    )
