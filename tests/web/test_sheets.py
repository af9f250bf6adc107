"""Paper: the printed sheet of a job, the code on it and where it leads, and the list of what cures."""

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.flows.jobs import set_closed
from shoptrack.store.last_times import Said, keep
from shoptrack.store.tables import JobRow, ShopRow, StageRow
from shoptrack.web.codes import code_svg
from tests.joinery import NOW, BusyDay, Joinery
from tests.web.test_floor import text_of


def sheet(client: FlaskClient, job: int) -> str:
    answer = client.get(f"/jobs/{job}/sheet")
    assert answer.status_code == 200
    return answer.text


def change(joinery: Joinery, job: int, stage: int, **stage_fields: object) -> None:
    with joinery.store.writing() as session:
        row = session.get(StageRow, stage)
        assert row is not None
        for field, value in stage_fields.items():
            setattr(row, field, value)
        priced = session.get(JobRow, job)
        assert priced is not None
        priced.price_cents = 987_654
        priced.must_keep = True


def metric(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = session.get(ShopRow, 1)
        assert row is not None
        row.length_unit, row.temperature_unit = "mm", "C"


def test_the_title_block_and_every_stage_with_all_it_needs(client: FlaskClient, day: BusyDay) -> None:
    words = text_of(sheet(client, day.elm["job"]))
    for said in (
        "six trays, elm",
        "customer Odile Marr",
        "pieces 6",
        "promised Fri 27 Nov 2026",
        "Sedge Lane Joinery, printed Wed 25 Nov 13:24",
        "1 milling · 12 boards",
        "2 glue-up · 6 joints after 1 milling · clamps 4 × 600 mm · once begun, finish it · usual 2 h 10",
        "glue bone white · spread and close within 10 min · scrape from 30 min, by 1 h · clamps off 1 h · "
        "work from 24 h (after closing, at 68 °F; not under 50 °F)",
        "set cauls waxed",
        "after 2 glue-up · at the router · stay within earshot, hands needed after 10, 25 min",
        "clamps 1 × 600 mm for each piece",
        "after 4 inlay, round by round",
        "Oily rags heat themselves: spread them out to dry outside. "
        "The maker’s data sheet, local codes and licensed practice decide.",
    ):
        assert said in words, said


def test_times_of_what_is_done_are_printed_and_the_rest_is_left_to_the_pencil(
    client: FlaskClient, day: BusyDay
) -> None:
    """Milled with another job's from 8:05 to 9:20; glued up from 12:32 to 12:55; the rest is to come."""
    page = sheet(client, day.elm["job"])
    assert "Wed 25 Nov 8:05 Wed 25 Nov 9:20" in text_of(page)
    assert "Wed 25 Nov 12:32 Wed 25 Nov 12:55 23" in text_of(page)
    assert page.count('<td class="pencil"></td><td class="pencil"></td>') == 1 + 3 + 3
    for box in ("round 1", "round 3", "coat 1", "coat 3"):
        assert f">{box}<" in page


def test_last_times_trouble_is_printed(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """The game tray's milling went wrong; the letter tray is the next of the same pattern."""
    with joinery.store.writing() as session:
        keep(session, day.game["milling"], Said(35, 2, "one board cupped <badly>"), None, NOW)
    words = text_of(sheet(client, day.letter["job"]))
    assert "last time 35 min for 2 boards · one board cupped &lt;badly&gt;" in words
    assert "cupped" not in sheet(client, day.hall["job"])


def test_no_price_is_printed(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    change(joinery, day.elm["job"], day.elm["milling"])
    page = sheet(client, day.elm["job"])
    assert not re.search(r"9,?876|USD", page)
    assert "must be kept" in page


def test_the_sheet_speaks_the_units_of_the_shop(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    change(joinery, day.elm["job"], day.elm["milling"], width_mm=304.8, length_mm=914.4)
    inches = text_of(sheet(client, day.elm["job"]))
    assert 'work 12" wide, 36" long' in inches.replace("&#34;", '"').replace("&quot;", '"')
    metric(joinery)
    metres = text_of(sheet(client, day.elm["job"]))
    assert "work 304.8 mm wide, 914.4 mm long" in metres
    assert "at 20 °C; not under 10 °C" in metres


def test_what_people_typed_stays_text(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    odd = '<script>alert("x")</script> =1+1 🪚'
    change(
        joinery,
        day.elm["job"],
        day.elm["carving the well"],
        name=odd,
        settings=odd + "\n\n" + odd,
        caution=odd,
    )
    page = sheet(client, day.elm["job"])
    assert "<script>alert" not in page
    assert page.count("&lt;script&gt;alert") == 5  # the name here and where it is followed, settings, caution


def test_a_tag_of_many_signs_is_still_one_address(
    client: FlaskClient, joinery: Joinery, day: BusyDay
) -> None:
    with joinery.store.writing() as session:
        row = session.get(JobRow, day.elm["job"])
        assert row is not None
        row.tag = "K/7?"
    page = sheet(client, day.elm["job"])
    assert "http://localhost/j/K%2F7%3F" in page
    drawn = client.get(f"/jobs/{day.elm['job']}/code.svg")
    assert drawn.data == code_svg("http://localhost/j/K%2F7%3F")


def test_a_closed_job_can_be_printed(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    set_closed(joinery.store, day.elm["job"], True, None, NOW)
    assert "six trays, elm" in sheet(client, day.elm["job"])


NOT_THERE = ("/jobs/99/sheet", "/jobs/99/code.svg", "/jobs/0/sheet", "/jobs/-1/sheet", "/jobs/x/sheet")
HUGE = ("/jobs/99999999999999999999/sheet", "/j/" + "K" * 3000)


@pytest.mark.parametrize("path", [*NOT_THERE, *HUGE, "/j/Z9", "/j/%00", "/j/"])
def test_what_is_not_there(client: FlaskClient, day: BusyDay, path: str) -> None:
    assert client.get(path).status_code == 404


def test_the_code_leads_to_the_open_job_by_the_host_that_was_asked(
    client: FlaskClient, bare_app: Flask, joinery: Joinery, day: BusyDay
) -> None:
    bare_app.config["EXTRA_HOSTS"] = ("shop.test",)
    with joinery.store.reading() as session:
        row = session.get(JobRow, day.elm["job"])
        assert row is not None
        tag = row.tag
    there = client.get(f"/jobs/{day.elm['job']}/code.svg", base_url="http://shop.test:8750")
    assert there.data == code_svg(f"http://shop.test:8750/j/{tag}")
    for said in (tag, tag.lower()):
        answer = client.get(f"/j/{said}")
        assert (answer.status_code, answer.headers["Location"]) == (302, f"/jobs/{day.elm['job']}")
        assert answer.headers["Cache-Control"] == "no-store"  # the tag is another job's one day


def test_the_list_of_what_cures(client: FlaskClient, day: BusyDay) -> None:
    words = text_of(client.get("/curing").text)
    for said in (
        "printed Wed 25 Nov 13:24",
        "Joint in doubt: ",
        "wipe off by Wed 25 Nov 13:39",
        "glue-up since Wed 25 Nov 12:48",
        "4 clamps Wed 25 Nov 13:48",
        "inlay, 7 of 10",
        "oiling, 1 of 3",
    ):
        assert said in words, said
    assert words.index("Joint in doubt") < words.index("wipe off by") < words.index("4 clamps")


def test_nothing_cures(client: FlaskClient) -> None:
    assert "Nothing is curing." in client.get("/curing").text
    assert "/curing" not in client.get("/").text


def test_the_floor_and_the_jobs_page_lead_to_paper(client: FlaskClient, day: BusyDay) -> None:
    assert 'href="/curing">print</a>' in client.get("/").text
    page = client.get(f"/jobs/{day.elm['job']}").text
    for path in ("sheet", "code.svg"):
        assert f'href="/jobs/{day.elm["job"]}/{path}"' in page


def test_paper_is_for_every_tablet_and_needs_no_name(client: FlaskClient, day: BusyDay) -> None:
    """The sheet and the list have no money on them: a bench tablet prints them too."""
    for path in (f"/jobs/{day.elm['job']}/sheet", "/curing", f"/jobs/{day.elm['job']}/code.svg"):
        assert client.get(path).status_code == 200
