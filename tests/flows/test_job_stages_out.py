"""Stages taken out of a job and brought back: no open work, but their minutes and late taps count."""

from datetime import datetime

import pytest

from shoptrack.engine.shapes import Need
from shoptrack.errors import Refused
from shoptrack.flows import job_stages as stages
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.flows.shopfloor import gather
from shoptrack.store.edits import history
from shoptrack.store.job_stages import stages_of_job
from shoptrack.store.waits import waits_of
from tests.flows.test_job_stages import after, names, same_as_log, see
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def late(joinery: Joinery, kind: str, when: datetime, *stages: int, **said: object) -> None:
    """A tap of a tablet that was out of reach and comes only now."""
    seq = next(joinery.seqs)
    sent = {"id": f"late-{seq:04d}", "seq": seq, "kind": kind, "person": UNA, "at": when.isoformat(), **said}
    sent |= {"stages": list(stages)} if stages else {}
    envelope = {"device": "away", "sent_at": NOW.isoformat(), "entries": [sent]}
    (answer,) = accept(joinery.store, parse_envelope(envelope), NOW).answers
    assert answer.status == "done", answer.reason


def test_a_stage_taken_out_is_no_open_work_and_what_waited_inherits(joinery: Joinery, day: BusyDay) -> None:
    """Carving is taken out of the board game tray: inlay waits for the glue-up then, and back again."""
    store, job, carving = joinery.store, day.game["job"], day.game["carving the well"]
    for _ in range(2):
        stages.take_out(store, job, carving, UNA, NOW, "the customer wants it flat")
    assert "carving the well" not in names(store, job)
    assert after(store, job, "inlay") == ("glue-up",)
    sight = see(store, job)
    assert carving not in sight.standings
    assert sight.world.stages[day.game["inlay"]].needs == (Need(day.game["glue-up"]),)
    with store.reading() as session:
        (line,) = history(session, "stages", carving)
        rows = stages_of_job(session, job)
        assert waits_of(rows)[day.game["inlay"]] == (Need(day.game["glue-up"]),)
    assert (line.field, line.why) == ("removed_at", "the customer wants it flat")
    stages.bring_back(store, job, carving, UNA, NOW)
    assert names(store, job)[2] == "carving the well"
    assert after(store, job, "inlay") == ("carving the well",)
    same_as_log(store)


def test_minutes_of_a_stage_taken_out_stay_and_a_late_tap_counts(joinery: Joinery, day: BusyDay) -> None:
    """Milling of 75 minutes on two trays is taken out; a tablet that was away brings half an hour more."""
    store, job = joinery.store, day.game["job"]
    before = sum(p.attended_min for p in see(store, job).replayed.passes[day.game["milling"]])
    assert before > 0
    stages.take_out(store, job, day.game["milling"], UNA, NOW, "")
    stages.take_out(store, job, day.game["carving the well"], UNA, NOW, "")
    sight = see(store, job)
    assert [s.name for s in sight.removed_of(job)] == ["milling"], "the log speaks of no carving yet"
    assert sight.replayed.passes[day.game["milling"]][0].attended_min == before
    same_as_log(store)
    late(joinery, "start", at("10:00"), day.game["carving the well"])
    late(joinery, "pause", at("10:30"), day.game["carving the well"])
    sight = see(store, job)
    assert [s.name for s in sight.removed_of(job)] == ["milling", "carving the well"]
    assert sight.replayed.passes[day.game["carving the well"]][0].attended_min == 30
    assert day.game["carving the well"] not in sight.standings
    same_as_log(store)


def test_clamps_of_a_late_tap_on_a_stage_taken_out_are_not_out(joinery: Joinery, day: BusyDay) -> None:
    store, job = joinery.store, day.game["job"]
    free = gather(store, NOW).replayed.free_clamps[1]
    stages.take_out(store, job, day.game["glue-up"], UNA, NOW, "")
    joinery.tap("closed", at("13:20"), day.game["glue-up"], person=PIET)
    assert gather(store, NOW).replayed.free_clamps[1] == free
    joinery.tap("recount", at("13:22"), person=PIET, pool=1, count=2)
    assert gather(store, NOW).replayed.free_clamps[1] == 2
    joinery.tap("unclamp", at("13:23"), day.game["glue-up"], person=PIET)
    assert gather(store, NOW).replayed.free_clamps[1] == 6, (
        "four came off what hung there when it was counted"
    )


@pytest.mark.parametrize(
    ("whose", "stage", "reason"),
    [
        ("hall", "frame", "Una has it in hand"),
        ("elm", "glue-up", "it is in clamps"),
        ("letter", "oiling", "Piet has it in hand"),
        ("letter", "inlay", "its glue or finish still cures"),
    ],
)
def test_a_stage_at_work_stays_and_says_why(
    joinery: Joinery, day: BusyDay, whose: str, stage: str, reason: str
) -> None:
    job = getattr(day, whose)
    with pytest.raises(Refused, match=reason):
        stages.take_out(joinery.store, job["job"], job[stage], UNA, NOW, "")


def test_a_glue_up_that_cures_stays(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("unclamp", at("13:50"), day.elm["glue-up"])
    with pytest.raises(Refused, match="still cures"):
        stages.take_out(joinery.store, day.elm["job"], day.elm["glue-up"], UNA, at("13:55"), "")
