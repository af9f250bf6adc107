"""In and out, as a person at the office's machine uses it."""

import io
import json
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from shoptrack.flows.bring_in_text import GREATEST_BYTES
from shoptrack.store.db import Store
from shoptrack.store.tables import CustomerRow, PersonRow
from shoptrack.web import files
from tests.joinery import BusyDay, Joinery
from tests.web.conftest import ORIGIN

HEAD = "finished_on,job,pattern,stage,kind,measure,unit,minutes,person"
GOOD = "2026-04-03,tea trays,tray,glue,glue-up,6,joints,85,Una"
BAD = '03/04/2026,tea trays,tray,glue,turning,0,coats,"1,5",Una'


def form_of(data: bytes, name: str = "x.csv") -> dict[str, Any]:
    """A posted form with one file in it, as browsers send it (RFC 7578)."""
    said = name.replace("\\", "").replace('"', "%22").replace("\r", "%0D").replace("\n", "%0A")
    head = f'--edge\r\nContent-Disposition: form-data; name="file"; filename="{said}"\r\n\r\n'
    body = head.encode("utf-8", "replace") + data + b"\r\n--edge--\r\n"
    return {"data": body, "content_type": "multipart/form-data; boundary=edge", "headers": ORIGIN}


def hand(client: FlaskClient, data: bytes | str, to: str = "past-times", name: str = "x.csv") -> TestResponse:
    raw = data if isinstance(data, bytes) else data.encode()
    return client.post(f"/files/{to}", **form_of(raw, name))


def looked(client: FlaskClient, data: bytes | str, to: str = "past-times") -> tuple[str, str]:
    """Hand a file in and follow to the look at it: its address and its page."""
    answer = hand(client, data, to)
    assert answer.status_code == 303, answer.text
    assert answer.location is not None
    page = client.get(answer.location)
    assert page.status_code == 200
    return answer.location, page.text


def bring(client: FlaskClient, address: str, refused: int = 0) -> TestResponse:
    """Tap "Bring in" and wait for the whole page."""
    answer = client.post(address, data={"refused": str(refused)}, headers=ORIGIN)
    assert answer.text
    return answer


def kept_files(joinery: Joinery) -> list[Path]:
    return list((joinery.store.instance / "incoming").glob("*"))


def count(joinery: Joinery, table: str = "past_times") -> int:
    with closing(sqlite3.connect(joinery.store.path)) as raw:
        return int(raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


def test_what_goes_in_and_out_is_on_one_page(office: FlaskClient) -> None:
    page = office.get("/files").text
    for path in ("/files/past-times", "/files/customers", "/files/materials", "/files/everything.zip",
                 "/files/lists/times.csv", "/files/tables/entries.csv"):  # fmt: skip
        assert f'"{path}"' in page
    assert "/files/tables/pins.csv" not in page


def test_a_file_is_shown_first_then_brought_in(office: FlaskClient, joinery: Joinery) -> None:
    address, page = looked(office, "\n".join([HEAD, GOOD, BAD, GOOD]))
    assert count(joinery) == 0
    assert len(kept_files(joinery)) == 1
    for words in ("3 rows", "Bring in 2 rows", "leave out the one that is refused", "<td>3</td>",
                  "could be 2026-03-04 or 2026-04-03", "no kind of stage called “turning”"):  # fmt: skip
        assert words in page
    answer = bring(office, address, refused=1)
    assert answer.status_code == 200
    assert "2 rows came in. 1 row was left out." in " ".join(answer.text.split())
    assert '<a class="button" href="/times">See what they teach</a>' in answer.text
    assert answer.text.rstrip().endswith("</html>")
    assert count(joinery) == 2
    assert kept_files(joinery) == []
    assert "2 are in." in office.get("/files").text


def test_the_same_file_again_offers_nothing(office: FlaskClient, joinery: Joinery) -> None:
    address, _ = looked(office, f"{HEAD}\n{GOOD}")
    bring(office, address)
    address, page = looked(office, f"{HEAD}\n{GOOD}")
    assert "All of it is there already." in page
    assert '<button class="main-button">' not in page
    answer = bring(office, address)
    assert "Nothing new came in." in answer.text
    assert count(joinery) == 1


def test_a_double_tap_says_that_the_file_was_brought_in(office: FlaskClient, joinery: Joinery) -> None:
    address, _ = looked(office, f"{HEAD}\n{GOOD}")
    assert "1 row came in." in bring(office, address).text
    second = bring(office, address)
    assert second.status_code == 404
    assert "it was brought in already" in second.text
    assert count(joinery) == 1


def test_a_shop_that_changed_since_the_look_writes_nothing(office: FlaskClient, joinery: Joinery) -> None:
    address, _ = looked(office, f"{HEAD}\n{GOOD}")
    answer = bring(office, address, refused=3)
    assert "look at the rows again" in answer.text
    assert count(joinery) == 0


def test_progress_is_sent_before_the_work_is_done(office: FlaskClient) -> None:
    rows = "\n".join([HEAD, *(GOOD.replace("85", str(n % 900 + 1)) for n in range(6000))])
    answer = hand(office, rows)
    assert answer.location is not None
    with office.get(answer.location, buffered=False) as page:
        pieces = [piece.decode() for piece in page.iter_encoded()]
    assert "<h1>Past times from a file</h1>" in pieces[0]
    assert "will come in" not in pieces[0]
    assert [piece for piece in pieces if piece.startswith("<li>")] == [
        "<li>2,500</li>", "<li>5,000</li>", "<li>6,000</li>"
    ]  # fmt: skip
    assert "Bring in 6,000 rows" in pieces[-1]


def test_many_refused_rows_are_cut_on_the_page_and_whole_in_a_list(office: FlaskClient) -> None:
    address, page = looked(office, "\n".join([HEAD, *[GOOD.replace("glue-up", "=x")] * 1200]))
    assert page.count("<tr><td>") == files.SHOWN
    assert "the first 1,000 of 1,200" in page
    listed = office.get(f"{address}/refused.csv")
    lines = listed.data.decode("utf-8-sig").splitlines()
    assert (len(lines), lines[0]) == (1201, "row,column,why")


def test_customers_and_materials_come_in_too(office: FlaskClient, joinery: Joinery) -> None:
    customers = 'name,phone,address\nOdile Marr,\'+43 555,"4 Mill Lane\nFernbridge"\n'
    address, page = looked(office, customers, "customers")
    assert "Bring in 1 row" in page
    bring(office, address)
    address, _ = looked(office, "material;price;wear\nelm;9,50;1,2\n", "materials")
    bring(office, address)
    out = office.get("/files/lists/customers.csv").data.decode("utf-8-sig")
    assert (
        out
        == 'name,contact,email,phone,address,notes\r\nOdile Marr,,,\'+43 555,"4 Mill Lane\nFernbridge",\r\n'
    )
    assert "elm,,9.50,1.2" in office.get("/files/lists/materials.csv").text
    with closing(sqlite3.connect(joinery.store.path)) as raw:
        assert raw.execute("SELECT phone FROM customers").fetchall() == [("+43 555",)]
        whys = raw.execute(
            "SELECT DISTINCT person_id FROM edits WHERE why = 'brought in from a file'"
        ).fetchall()
    assert whys == [(1,)]


def test_what_is_brought_out_of_a_list_is_known_again(
    office: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    for name, to in (("times", "past-times"), ("customers", "customers"), ("materials", "materials")):
        out = office.get(f"/files/lists/{name}.csv").data
        if out.count(b"\n") > 1:
            assert "All of it is there already." in looked(office, out, to)[1]
    assert day is not None


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty."),
        (b"PK\x03\x04" + bytes(99), "spreadsheet’s own file or a zip"),
        (b"%PDF-1.7", "printed page"),
        (b"\x00\x01\x02\x03\x00", "not a text file"),
        (b"hello", "no column called finished_on, kind, measure or minutes"),
        (HEAD.encode(), "no rows below"),
        (b"x" * (GREATEST_BYTES + 1), "larger than 5 MB"),
        (b"x" * (GREATEST_BYTES + files.ENVELOPE_BYTES + 1), "larger than 5 MB"),
        (f"{HEAD}\n".encode() + b"a\n" * 50_001, "more than 50,000 rows"),
        (f'{HEAD}\n"a'.encode(), "never closed"),
    ],
)
def test_a_file_that_is_no_table_is_told_beside_the_field(
    office: FlaskClient, joinery: Joinery, data: bytes, said: str
) -> None:
    answer = hand(office, data)
    assert answer.status_code == 400
    assert 'id="wrong-file"' in answer.text
    assert said in answer.text
    assert kept_files(joinery) == []


@pytest.mark.parametrize("form", [{}, {"file": "words"}, {"file": (io.BytesIO(b""), "")}])
def test_no_file_at_all(office: FlaskClient, form: dict[str, Any]) -> None:
    answer = office.post("/files/past-times", data=form, headers=ORIGIN)
    assert answer.status_code == 400
    assert "Choose a file first." in answer.text


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.one_of(
        st.binary(max_size=400),
        st.text(max_size=200).map(lambda text: f"{HEAD}\n{text}".encode("utf-8", "replace")),
        st.lists(st.text(max_size=12), max_size=9).map(
            lambda cells: f"{HEAD}\n{','.join(cells)}".encode("utf-16", "replace")
        ),
    ),
    st.sampled_from(["past-times", "customers", "materials"]),
    st.text(max_size=20),
)
def test_any_bytes_give_a_page_with_a_sentence(office: FlaskClient, data: bytes, to: str, name: str) -> None:
    answer = hand(office, data, to, name)
    if answer.status_code == 303:
        assert answer.location is not None
        answer = office.get(answer.location)
        assert answer.status_code == 200
        assert "in the file" in answer.text
    else:
        assert answer.status_code == 400
        assert 'id="wrong-file"' in answer.text
    assert answer.text.rstrip().endswith("</html>")


@pytest.mark.parametrize(
    "path",
    ["/files/nothing", "/files/past-times/" + "0" * 64, "/files/past-times/x", "/files/nothing/x",
     "/files/past-times/x/refused.csv", "/files/lists/nothing.csv", "/files/tables/pins.csv",
     "/files/tables/head.csv", "/files/past-times/..%2Fshop.db"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(office: FlaskClient, path: str) -> None:
    assert office.get(path).status_code == 404


def test_names_that_were_typed_are_only_shown(office: FlaskClient) -> None:
    row = GOOD.replace("glue-up", "<script>alert(1)</script>")
    _, page = looked(office, f"{HEAD},<b>own</b>\n{row}")
    assert "<script>alert" not in page
    assert "<b>own" not in page
    assert "&lt;script&gt;" in page


def test_everything_is_one_zip(office: FlaskClient, day: BusyDay) -> None:
    answer = office.get("/files/everything.zip")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="shop-2026-11-25.zip"'
    with zipfile.ZipFile(io.BytesIO(answer.data)) as bundle:
        assert bundle.testzip() is None
        document = json.loads(bundle.read("shop.json"))
    assert document == json.loads(office.get("/files/everything.json").data)
    assert len(document["tables"]["entries"]["rows"]) > 5
    assert day is not None


def test_a_table_alone_is_a_download(office: FlaskClient) -> None:
    answer = office.get("/files/tables/people.csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="people-2026-11-25.csv"'
    assert answer.mimetype == "text/csv"
    assert answer.data.startswith(b"\xef\xbb\xbfid,name,position,retired_at\r\n1,Una,1,\r\n")


@pytest.mark.parametrize(
    "path",
    ["/files", "/files/past-times", "/files/everything.zip", "/files/lists/customers.csv", "/files/restore"],
)
def test_only_for_the_office(client: FlaskClient, bare_app: Flask, path: str) -> None:
    """Nobody has said who they are: the page leads to the door, and nothing is handed out."""
    answer = client.get(path)
    assert answer.status_code == 303
    assert answer.location is not None
    assert answer.location.startswith("/office?back=")


def test_handing_in_is_for_the_office_too(client: FlaskClient, joinery: Joinery) -> None:
    assert hand(client, f"{HEAD}\n{GOOD}").status_code == 403
    assert kept_files(joinery) == []


def test_a_person_of_the_office_is_written_beside_what_came_in(
    office: FlaskClient, bare_store: Store
) -> None:
    with bare_store.reading() as session:
        assert session.get_one(PersonRow, 1).name == "Una"
    address, _ = looked(office, "name\n'=cmd\n", "customers")
    bring(office, address)
    with bare_store.reading() as session:
        assert session.get_one(CustomerRow, 1).name == "=cmd"
