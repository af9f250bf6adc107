"""What is worth doing, on Floor and Bench: set-ups shared, and what to see to before going."""

from datetime import date, datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.worthwhile import keep_hints, try_all
from shoptrack.flows.shopfloor import gather
from tests.joinery import UNA, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_floor import text_of


@pytest.fixture
def clock(bare_app: Flask) -> list[datetime]:
    """The pages' clock, to be moved."""
    times = [at("9:00")]
    bare_app.config["NOW"] = lambda: times[0]
    return times


def tried(joinery: Joinery, now: datetime) -> None:
    sight = gather(joinery.store, now)
    keep_hints(joinery.store, try_all(sight, plan_now(joinery.store, sight)))


def test_two_trays_are_milled_together_by_one_tap(
    client: FlaskClient, joinery: Joinery, clock: list[datetime]
) -> None:
    """The Floor says it, the sheet changes for it, the Bench starts both."""
    first, second = (joinery.add("tray", f"tray {n}", date(2026, 12, 20)) for n in (1, 2))
    before = client.get("/floor")
    assert "Do these together" not in text_of(before.text)
    tried(joinery, clock[0])
    after = client.get("/floor", headers={"If-None-Match": before.headers["ETag"]})
    assert after.status_code == 200
    assert "Do these together" in text_of(after.text)
    assert "saves 15 min of set-up, no date moves" in " ".join(text_of(after.text).split())
    bench = client.get(f"/bench/{UNA}").text
    assert "together" in text_of(bench)
    form = bench[bench.index('data-says="Una: milling together"') :]
    stages = {first["milling"], second["milling"]}
    assert all(f'name="stage" value="{stage}"' in form[:900] for stage in stages)
    said = {"id": "b" * 32, "kind": "start", "person": str(UNA), "stage": sorted(map(str, stages))}
    assert client.post("/bench/tap", data=said, headers=ORIGIN).status_code == 303
    assert set(gather(joinery.store, clock[0]).replayed.people[UNA].stages) == stages


def test_before_you_go(client: FlaskClient, joinery: Joinery, clock: list[datetime]) -> None:
    """In the last hour and a half, and only then; on the Bench too."""
    joinery.add("door", "door", date(2026, 12, 20))
    assert "Before you go" not in text_of(client.get("/floor").text)
    clock[0] = at("16:00")
    tried(joinery, clock[0])
    for page in ("/floor", f"/bench/{UNA}"):
        words = text_of(client.get(page).text)
        assert "Before you go" in words
        assert "Machines off, dust bins emptied, rags outside." in words
