"""The plan and what is next as programs get them: instants, people, dates; one tag, one document."""

from datetime import datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.web.plan_document import nexts_doc, plan_doc
from shoptrack.web.render import Wall
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def test_every_stage_in_its_place(client: FlaskClient, day: BusyDay) -> None:
    """Una is at the frame; the glue-up of the letter tray says when the job goes on."""
    plan = client.get("/api/plan").get_json()
    stages = {(s["stage"], s["part"]): s for s in plan["stages"]}
    frame = stages[day.hall["frame"], 0]
    assert (frame["people"], frame["in_hand"], frame["from"]) == ([UNA], True, "2026-11-25T18:24:00Z")
    glue = stages[day.letter["glue-up"], 0]
    assert datetime.fromisoformat(glue["next_from"]) > datetime.fromisoformat(glue["until"])
    assert day.elm["milling"] not in {s["stage"] for s in plan["stages"]}
    assert (plan["made_at"], plan["stale"]) == ("2026-11-25T18:24:00Z", False)


def test_days_are_the_shops_and_stretches_lie_in_them(client: FlaskClient, day: BusyDay) -> None:
    days = client.get("/api/plan").get_json()["days"]
    assert days[0]["on"] == "2026-11-25"
    assert {w["person"] for w in days[0]["work"]} == {UNA, PIET}
    assert all(
        datetime.fromisoformat(w["from"]) < datetime.fromisoformat(w["until"]) and w["minutes"] > 0
        for each in days
        for w in each["work"]
    )


def test_jobs_and_what_is_not_planned(client: FlaskClient, day: BusyDay) -> None:
    plan = client.get("/api/plan").get_json()
    jobs = {j["job"]: j for j in plan["jobs"]}
    assert jobs[day.letter["job"]]["late"]
    assert jobs[day.letter["job"]]["days"] > 0
    assert jobs[day.larder["job"]]["whole"] is False
    (told,) = plan["not_planned"]
    assert told["stages"] == [day.larder["panel glue-up"]]


def test_what_is_next_and_why(joinery: Joinery, day: BusyDay) -> None:
    sight = gather(joinery.store, NOW)
    planned = plan_now(joinery.store, sight)
    doc = nexts_doc(sight, planned, Wall(zone="America/New_York"))
    assert [(p.person, p.name) for p in doc.people] == [(UNA, "Una"), (PIET, "Piet")]
    una = doc.people[0]
    assert una.stage is not None
    assert una.stage != day.hall["frame"]
    assert una.why
    assert una.stage_name == sight.world.stages[una.stage].name
    assert plan_doc(sight, planned).number == doc.number


def test_nobody_has_anything_next_in_a_shop_without_jobs(client: FlaskClient, joinery: Joinery) -> None:
    people = client.get("/api/next").get_json()["people"]
    assert [(p["name"], p["stage"], p["why"]) for p in people] == [("Una", None, None), ("Piet", None, None)]


@pytest.mark.parametrize("path", ["/api/plan", "/api/next"])
def test_the_same_tag_is_the_same_document(
    bare_app: Flask, client: FlaskClient, joinery: Joinery, day: BusyDay, path: str
) -> None:
    """Unchanged: 304. A minute later, or after a tap, another."""
    first = client.get(path)
    known = {"If-None-Match": first.headers["ETag"]}
    assert client.get(path, headers=known).status_code == 304
    assert client.get(path).data == first.data
    bare_app.config["NOW"] = lambda: NOW + timedelta(minutes=1)
    assert client.get(path, headers=known).status_code == 200
    bare_app.config["NOW"] = lambda: NOW
    joinery.tap("pause", at("13:23"), day.hall["frame"], person=UNA)
    assert client.get(path, headers=known).status_code == 200
