"""Glues and finishes on their page: marks with plain forms, versions by date, starting values."""

from datetime import datetime, timedelta

import pytest
from flask.testing import FlaskClient

from shoptrack.engine.shapes import Mark
from shoptrack.errors import BadInput
from shoptrack.flows.shopfloor import gather
from shoptrack.store.recipe_versions import spec_of, versions_of
from shoptrack.store.recipes import MarkSpec, RecipeSpec, make_recipe
from shoptrack.store.tables import RecipeRow
from shoptrack.web.render import Wall
from shoptrack.web.shop.mark_rows import mark_rows, points_field, read_marks, read_points
from shoptrack.web.shop.minutes import minutes_field
from tests.joinery import GLUE, NOW, Joinery, at
from tests.web.posting import form_fields, post, wrong
from tests.web.test_floor import text_of

WALL = Wall(zone="America/New_York", length_unit="mm", temperature_unit="C")
PVA = {
    "name": "yellow glue",
    "kind": "glue",
    "reference": "70",
    "q10": "2.3",
    "lowest": "50",
    "below": "slows",
    "open": "10",
    "rows": "3",
    "m0-role": "clamps off",
    "m0-from": "1 h",
    "m1-role": "scrape",
    "m1-from": "25",
    "m1-until": "50 min",
    "m1-hands": "yes",
    "m2-role": "work",
    "m2-from": "24 h",
    "m2-gates": "yes",
}


def specs(joinery: Joinery, recipe: int) -> list[RecipeSpec]:
    with joinery.store.reading() as session:
        return [spec_of(version) for version in versions_of(session, recipe)]


def test_a_glue_is_written_down(office: FlaskClient, joinery: Joinery) -> None:
    for _ in range(2):
        assert post(office, "/shop/recipes", **PVA)[0] == 303
    (spec,) = specs(joinery, 3)
    assert [m.mark for m in spec.marks] == [
        Mark("clamps off", "clamps off", 60),
        Mark("scrape", "scrape squeeze-out", 25, 50, needs_hands=True),
        Mark("work", "can be worked", 24 * 60, gates=True),
    ]
    assert (spec.reference_c, spec.lowest_c) == pytest.approx((21.11, 10), abs=0.01)
    assert (spec.q10, spec.open_min, spec.below) == (2.3, 10, "slows")
    assert "clamps off 1 h, scrape squeeze-out 25 min until 50 min" in text_of(
        office.get("/shop/recipes").text
    )


def test_another_version_from_a_day_on(office: FlaskClient, joinery: Joinery) -> None:
    sent = form_fields(office.get("/shop/recipes/1").text)
    assert sent["m1-from"] == "1 h"
    later = {**sent, "m1-from": "1 h 30", "from_on": "2026-12-01"}
    for _ in range(2):
        assert post(office, "/shop/recipes/1", **later)[0] == 303
    found = specs(joinery, 1)
    assert found[0] == GLUE
    assert [spec.marks[1].mark.from_min for spec in found] == [60, 90]
    with joinery.store.reading() as session:
        assert versions_of(session, 1)[1].from_at == at("0:00", 6)
    words = text_of(office.get("/shop/recipes/1").text)
    assert "clamps off 1 h, can be worked from 24 h" in words
    assert "Una version" in words


def test_a_mark_is_taken_out_and_rows_are_asked_for(office: FlaskClient, joinery: Joinery) -> None:
    """More rows come without saving and without losing what was typed."""
    sent = form_fields(office.get("/shop/recipes/2").text)
    assert sent["rows"] == "5"
    status, page = post(
        office, "/shop/recipes/2", **{**sent, "m2-role": "handle", "m2-from": "24 h", "more": "yes"}
    )
    assert status == 200
    back = form_fields(page)
    assert (back["rows"], back["m2-role"], back["m2-from"]) == ("8", "handle", "24 h")
    assert len(specs(joinery, 2)) == 1
    assert post(office, "/shop/recipes/2", **back, **{"m0-gone": "yes"})[0] == 303
    assert [m.mark.role for m in specs(joinery, 2)[-1].marks] == ["recoat", "handle"]


def test_a_starting_value_wears_its_mark_until_it_is_the_shops_own(
    office: FlaskClient, joinery: Joinery
) -> None:
    with joinery.store.writing() as session:
        make_recipe(session, "hide glue", kind="glue", from_at=at("8:00"), spec=GLUE, starting=True)
    said = "Starting value – your data sheet wins."
    page = office.get("/shop/recipes/3").text
    assert said in page
    assert "starting value" in office.get("/shop/recipes").text
    sent = form_fields(page)
    post(office, "/shop/recipes/3", **sent)
    assert said in office.get("/shop/recipes/3").text
    post(office, "/shop/recipes/3", **sent, checked="yes")
    assert said not in office.get("/shop/recipes/3").text


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("m0-role", "lick", "can’t be that"),
        ("m0-from", "", "Say from when"),
        ("m1-until", "20", "end after it begins"),
        ("m0-from", "soon", "not a length of time"),
        ("m2-role", "clamps off", "two marks"),
        ("m0-q10", "0.5", "from 1 to 10"),
        ("m0-points", "50", "each temperature"),
        ("m0-points", "50 = 2 h; 50 = 1 h", "twice"),
        ("m0-points", "50 = 0", "can’t be meant"),
        ("reference", "", "for which temperature"),
        ("below", "", "missing"),
        ("open", "3 days", "can’t be meant"),
        ("lowest", "cold", "not a temperature"),
        ("kind", "paint", "can’t be that"),
        ("from_on", "1066-10-14", "must lie between"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(
    office: FlaskClient, joinery: Joinery, field: str, value: str, said: str
) -> None:
    assert said in wrong(office, "/shop/recipes", **{**PVA, field: value})
    assert post(office, "/shop/recipes", **{**PVA, field: value})[1].count('value="25"') == 1
    with joinery.store.reading() as session:
        assert session.get(RecipeRow, 3) is None


def test_a_recipe_without_marks_is_refused(office: FlaskClient) -> None:
    bare = {name: value for name, value in PVA.items() if not name.startswith("m")}
    assert "at least one mark" in wrong(office, "/shop/recipes", **bare)


def test_a_marks_own_table() -> None:
    table = ((10.0, 120.0), (20.0, 60.0))
    assert read_points({"p": "20 = 1 h; 10=2 h"}, "p", WALL) == table
    assert read_points({"p": points_field(table, WALL)}, "p", WALL) == table
    assert read_points({}, "p", WALL) == ()
    with pytest.raises(BadInput, match="at most"):
        read_points({"p": ";".join(f"{c} = 1 h" for c in range(13))}, "p", WALL)


def test_rows_are_never_without_end() -> None:
    sent = {"rows": "999999", "m0-role": "work", "m0-from": "1", "more": "yes"}
    assert len(mark_rows((), sent, WALL)) <= 60
    assert len(read_marks(sent, WALL)) == 1
    assert len(mark_rows((MarkSpec(Mark("work", "work", 5)),), {}, WALL)) == 4


def test_minutes_are_read_as_they_are_shown() -> None:
    assert [minutes_field(m) for m in (None, 0, 7.5, 65, 2880, 12 * 60)] == [
        "",
        "0 min",
        "7.5 min",
        "1 h 05",
        "2 days",
        "12 h",
    ]


def test_marks_of_a_job_follow_a_version_said_for_earlier(office: FlaskClient, joinery: Joinery) -> None:
    """Glue closed this morning; the sheet, read again, says 48 h and has said so since the first."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["glue-up"], insisted=True)
    joinery.tap("closed", at("9:10"), tray["glue-up"])
    joinery.tap("finish", at("9:15"), tray["glue-up"])
    before = worked_from(joinery, tray["glue-up"])
    sent = form_fields(office.get("/shop/recipes/1").text)
    assert post(office, "/shop/recipes/1", **{**sent, "m2-from": "48 h", "from_on": "2026-11-01"})[0] == 303
    assert worked_from(joinery, tray["glue-up"]) - before > timedelta(hours=20)


def worked_from(joinery: Joinery, stage: int) -> datetime:
    ((_, cured),) = gather(joinery.store, NOW).standings[stage].cures
    found = next(mark.from_at for mark in cured.marks if mark.mark.role == "work")
    assert found is not None
    return found
