"""Each question of the log: where it is asked, that a tap there answers it, that a late tap removes it."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import pytest
from flask.testing import FlaskClient

from shoptrack.engine.shapes import Question
from shoptrack.flows.entry_fields import ASKS
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.flows.shopfloor import gather
from shoptrack.store.tables import StageToolRow
from shoptrack.store.tools import make_tool
from tests.joinery import NOW, PIET, UNA, Joinery, at
from tests.web.conftest import ORIGIN


@dataclass(frozen=True)
class Case:
    """A question, the taps that bring it up, where it is asked, and the late tap that answers it."""

    asks: str
    told: Callable[[Joinery], None]
    late: Callable[[Joinery], None]
    page: str = "/"


def late(joinery: Joinery, kind: str, when: datetime, *stages: int, **said: object) -> None:
    """A tap of a tablet that was out of reach and comes only now."""
    seq = next(joinery.seqs)
    sent = {"id": f"late-{seq:04d}", "seq": seq, "kind": kind, "person": UNA, "at": when.isoformat(), **said}
    sent |= {"stages": list(stages)} if stages else {}
    envelope = {"device": "away", "sent_at": NOW.isoformat(), "entries": [sent]}
    (answer,) = accept(joinery.store, parse_envelope(envelope), NOW).answers
    assert answer.status == "done", answer.reason


def asked(joinery: Joinery, asks: str) -> list[Question]:
    return [q for q in gather(joinery.store, NOW).questions if q.asks == asks]


def tray(joinery: Joinery) -> dict[str, int]:
    return joinery.add("tray", "tray", None)


def left_glued(joinery: Joinery) -> None:
    """The first tray: glue-up left for sweeping without a word about the clamps."""
    ids = tray(joinery)
    joinery.tap("start", at("12:32"), ids["glue-up"], insisted=True)
    joinery.tap("start", at("13:00"), text="sweeping")


def finished_only(joinery: Joinery) -> None:
    joinery.tap("finish", at("13:10"), tray(joinery)["milling"])


def left_on(joinery: Joinery) -> None:
    """Milling two boards usually takes 35 minutes; it is on since 8:05."""
    joinery.tap("start", at("8:05"), tray(joinery)["milling"])


def over_lunch(joinery: Joinery) -> None:
    ids = tray(joinery)
    joinery.tap("start", at("11:40"), ids["milling"])
    joinery.tap("pause", at("12:50"), ids["milling"])


def after_closing(joinery: Joinery) -> None:
    ids = tray(joinery)
    joinery.tap("start", at("16:30", -1), ids["milling"])
    joinery.tap("pause", at("18:00", -1), ids["milling"])


def came_over(joinery: Joinery) -> None:
    """Piet leaves the door's frame to help Una with the stock, which she finishes."""
    door = joinery.add("door", "door", None)
    joinery.tap("start", at("12:31"), door["frame"], person=PIET)
    joinery.tap("start", at("12:32"), door["panel stock"])
    joinery.tap("start", at("12:50"), door["panel stock"], person=PIET)
    joinery.tap("finish", at("13:10"), door["panel stock"])


def read_in_fahrenheit(joinery: Joinery) -> None:
    joinery.tap("temperature", at("13:00"), room=1, value_c=72)


def spoiled_dull(joinery: Joinery) -> None:
    ids = tray(joinery)
    with joinery.store.writing() as session:
        tool = make_tool(session, "round nose bit", kind="bit")
        session.add(StageToolRow(stage_id=ids["carving the well"], tool_id=tool.id, share=1.0))
    carving = ids["carving the well"]
    joinery.tap("start", at("12:40"), carving, insisted=True)
    joinery.tap("spoil", at("13:05"), carving, count=1, out_of=1, way_back=ids["milling"], cause="dull edge")


def glued_cold(joinery: Joinery) -> None:
    """Closed at 16:35 of a November evening, in a room that falls to 9 °C after 17:00."""
    ids = tray(joinery)
    joinery.tap("start", at("15:55", -1), ids["glue-up"], insisted=True)
    joinery.tap("closed", at("16:35", -1), ids["glue-up"])
    joinery.tap("finish", at("16:45", -1), ids["glue-up"])


def closed_slowly(joinery: Joinery) -> None:
    """Ten minutes of open time, and twenty from spread to closed."""
    ids = tray(joinery)
    joinery.tap("start", at("12:32"), ids["glue-up"], insisted=True)
    joinery.tap("spread", at("12:38"), ids["glue-up"])
    joinery.tap("closed", at("12:58"), ids["glue-up"])
    joinery.tap("finish", at("13:00"), ids["glue-up"])


def stage(joinery: Joinery, name: str) -> int:
    return next(s.id for s in gather(joinery.store, NOW).world.stages.values() if s.name == name)


def of(joinery: Joinery, kind: str) -> str:
    return next(e.id for e in reversed(gather(joinery.store, NOW).entries) if e.kind == kind)


CASES = (
    Case("in-clamps", left_glued, lambda j: late(j, "closed", at("12:58"), stage(j, "glue-up"))),
    Case("in-clamps", left_glued, lambda j: late(j, "unclamp", at("13:20"), stage(j, "glue-up"))),
    Case("in-clamps", left_glued, lambda j: late(j, "round", at("13:20"), stage(j, "glue-up"), count=1)),
    Case("no-start", finished_only, lambda j: late(j, "start", at("12:40"), stage(j, "milling"))),
    Case("still-on", left_on, lambda j: late(j, "pause", at("9:00"), stage(j, "milling"))),
    Case("lunch", over_lunch, lambda j: late(j, "pause", at("11:58"), stage(j, "milling")), "/bench/1"),
    Case(
        "closing", after_closing, lambda j: late(j, "pause", at("16:59", -1), stage(j, "milling")), "/bench/1"
    ),
    Case("back", came_over, lambda j: late(j, "start", at("13:11"), stage(j, "frame"), person=PIET)),
    Case(
        "temperature", read_in_fahrenheit, lambda j: late(j, "temperature", at("13:04"), room=1, value_c=22)
    ),
    Case("found-dull", spoiled_dull, lambda j: late(j, "strike", at("13:20"), of=of(j, "spoil"))),
    Case("found-dull", spoiled_dull, lambda j: late(j, "edge", at("13:06"), tool=1, choice="found dull")),
    Case(
        "doubtful-joint",
        glued_cold,
        lambda j: late(j, "retime", at("13:20"), of=of(j, "closed"), to_at=at("13:00", -1).isoformat()),
    ),
    Case(
        "open-time",
        closed_slowly,
        lambda j: late(j, "retime", at("13:20"), of=of(j, "closed"), to_at=at("12:46").isoformat()),
    ),
)
NAMES = [f"{case.asks} {n}" for n, case in enumerate(CASES)]


@pytest.mark.parametrize("case", CASES, ids=NAMES)
def test_it_is_asked_and_a_tap_there_answers_it(client: FlaskClient, joinery: Joinery, case: Case) -> None:
    case.told(joinery)
    (question,) = asked(joinery, case.asks)
    page = client.get(case.page).text
    form = next(
        f for f in re.findall(r"<form.*?</form>", page, re.S) if f'name="asks" value="{case.asks}"' in f
    )
    said = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
    assert said["of"] == question.of
    answer = client.post("/bench/tap", data={"minutes": "20", **said}, headers=ORIGIN)
    assert answer.status_code == 303, answer.text
    assert asked(joinery, case.asks) == []


@pytest.mark.parametrize("case", CASES, ids=NAMES)
def test_a_late_tap_removes_it(joinery: Joinery, case: Case) -> None:
    case.told(joinery)
    assert asked(joinery, case.asks)
    case.late(joinery)
    assert asked(joinery, case.asks) == []


def test_the_tool_is_a_button_and_tells_of_its_edge(client: FlaskClient, joinery: Joinery) -> None:
    """On the Floor and on the Bench: no answer is posted but an entry of the tool, and the question goes."""
    spoiled_dull(joinery)
    for page in ("/", "/bench/1"):
        found = re.findall(r"<form.*?</form>", client.get(page).text, re.S)
        (form,) = (f for f in found if 'value="found dull"' in f)
        said = dict(re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form))
        assert (said["kind"], said["tool"], said["choice"]) == ("edge", "1", "found dull")
        assert "asks" not in said
        assert "the round nose bit" in form
        answer = client.post("/bench/tap", data=said, headers=ORIGIN)
        assert answer.status_code == 303, answer.text
        (deed,) = gather(joinery.store, NOW).replayed.deeds
        assert (deed.did, deed.tool, deed.person) == ("found dull", 1, UNA)
        assert asked(joinery, "found-dull") == []
        joinery.tap("strike", NOW, of=deed.entry)


def test_the_cases_are_all_that_is_ever_asked() -> None:
    assert {case.asks for case in CASES} == set(ASKS)
