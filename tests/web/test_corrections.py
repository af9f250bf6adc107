"""The page of one person's taps, and the book of a job, on which wrong lines are put right."""

import re

from flask.testing import FlaskClient

from tests.joinery import PIET, BusyDay, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


def send(client: FlaskClient, path: str, **data: str) -> tuple[int, str]:
    answer = client.post(path, data={"id": "form-0001", **data}, headers=ORIGIN)
    return answer.status_code, answer.headers.get("Location", answer.text)


def test_two_taps_and_the_time(client: FlaskClient, joinery: Joinery) -> None:
    """Choose the line, give the time, press: one form, one field."""
    sweep = joinery.tap("start", at("12:40"), text="sweeping")
    page = client.get("/bench/1/taps").text
    assert f'name="of" value="{sweep}"' in page
    assert page.count("<form") == 2, "this one, and the choice of paper"
    status, where = send(client, "/bench/1/taps", of=sweep, do="move", clock="12:31")
    assert (status, where) == (303, "/bench/1/taps")
    assert "12:31 start: “sweeping” moved from 12:40" in text_of(client.get("/bench/1/taps").text)


def test_strike_lunch_until_and_whose_it_was(client: FlaskClient, joinery: Joinery) -> None:
    sweep = joinery.tap("start", at("11:50"), text="sweeping")
    assert send(client, "/bench/1/taps", of=sweep, do="lunch")[0] == 303
    assert "answer, worked-through" in text_of(client.get("/bench/1/taps").text)
    assert send(client, "/bench/1/taps", id="form-0002", of=sweep, do="was-2")[0] == 303
    assert "struck by Piet" in text_of(client.get("/bench/1/taps").text)
    assert "start: “sweeping”" in text_of(client.get(f"/bench/{PIET}/taps").text)


def test_what_is_wrong_comes_back_with_what_was_chosen(client: FlaskClient, joinery: Joinery) -> None:
    sweep = joinery.tap("start", at("12:40"), text="<i>sweeping")
    status, page = send(client, "/bench/1/taps", of=sweep, do="move", clock="")
    assert status == 400
    assert "Give the time it really was." in page
    assert re.search(rf'value="{sweep}" required checked', page)
    assert "<i>sweeping" not in page
    for data in ({"do": "strike"}, {"of": sweep}, {"of": sweep, "do": "was-x"}, {"of": sweep, "do": "dance"}):
        assert send(client, "/bench/1/taps", **data)[0] == 400
    assert client.get("/bench/9/taps").status_code == 404
    assert client.get("/bench/1/taps?on=soon").status_code == 400


def test_the_book_of_a_job_in_one_form(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.letter["job"]
    note = joinery.tap("note", at("13:22"), day.letter["inlay"], person=PIET, text="wrong tray")
    status, where = send(client, f"/jobs/{job}/log", of=note, do="move", clock="11:05", person="1")
    assert (status, where) == (303, f"/jobs/{job}#log")
    assert "11:05 Piet note inlay: “wrong tray” moved from 13:22" in text_of(client.get(f"/jobs/{job}").text)
    assert send(client, f"/jobs/{job}/log", id="form-0002", of=note, do="was", was="1")[0] == 303
    words = text_of(client.get(f"/jobs/{job}").text)
    assert "11:05 Una note inlay: “wrong tray”" in words
    book = client.get(f"/jobs/{job}").text.split('id="log"')[1]
    assert book.count("<form") == 2
