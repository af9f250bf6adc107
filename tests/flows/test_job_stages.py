"""Stages of a job changed while it is under way: what the Floor, the tally and the history say then."""

from dataclasses import replace

import pytest

from shoptrack.engine.shapes import ClampNeed, Need
from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows import job_stages as stages
from shoptrack.flows.shopfloor import Sight, gather, gather_job
from shoptrack.flows.stages_view import one_stage, stages_view
from shoptrack.store import worked
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.inspection import replay_check
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.jobs import close_job
from shoptrack.store.tables import TallyRow
from shoptrack.store.tools import make_tool
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at

RING = (
    "They would wait for each other: “milling”, which waits for “inlay”, which waits for "
    "“carving the well”, which waits for “glue-up”, which waits for “milling”."
)


def names(store: Store, job: int) -> list[str]:
    return [s.name for s in stages_view(store, job, NOW).stages]


def after(store: Store, job: int, name: str) -> tuple[str, ...]:
    return next(s.after for s in stages_view(store, job, NOW).stages if s.name == name)


def same_as_log(store: Store) -> None:
    with store.reading() as session:
        assert replay_check(session, NOW) == []


def see(store: Store, job: int) -> Sight:
    return gather_job(store, job, NOW)


def say(store: Store, job: int, stage: int, **what: object) -> None:
    one = one_stage(store, job, stage, NOW)
    assert one.said is not None
    stages.change(store, job, stage, replace(one.said, **what), one.stamp, UNA, NOW)  # type: ignore[arg-type]


def add(joinery: Joinery, job: int, kind: str = "inlay", newest: int | None = None, **what: object) -> int:
    view = stages_view(joinery.store, job, NOW)
    said = StageSaid(joinery.kinds[kind], "patch", 2.0)
    said = replace(said, **what)  # type: ignore[arg-type]
    return stages.add(joinery.store, job, said, view.newest if newest is None else newest, True, UNA, NOW)


def test_a_stage_is_added_after_what_it_waits_for_and_once(joinery: Joinery) -> None:
    """A patch between glue-up and carving; the form is sent twice."""
    tray = joinery.add("tray", "tray", None)
    job, newest = tray["job"], stages_view(joinery.store, tray["job"], NOW).newest
    ids = {add(joinery, job, newest=newest, needs=(Need(tray["glue-up"]),)) for _ in range(2)}
    assert len(ids) == 1
    assert names(joinery.store, job) == ["milling", "glue-up", "patch", "carving the well", "inlay", "oiling"]
    assert after(joinery.store, job, "patch") == ("glue-up",)
    assert set(after(joinery.store, job, "carving the well")) == {"glue-up", "patch"}
    with joinery.store.reading() as session:
        (made,) = history(session, "stages", ids.pop())
    assert (made.field, made.person_id, made.at) == ("made", UNA, NOW)


def test_a_stage_in_two_lines_of_a_job_makes_no_ring(joinery: Joinery) -> None:
    """After panel stock and put together: the panel glue-up, which comes before the one, does not wait."""
    door = joinery.add("door", "door", None)
    add(joinery, door["job"], needs=(Need(door["panel stock"]), Need(door["put together"])))
    assert after(joinery.store, door["job"], "panel glue-up") == ("panel stock",)
    assert after(joinery.store, door["job"], "patch") == ("panel stock", "put together")


def test_a_measure_of_a_stage_in_progress_moves_the_tally(joinery: Joinery, day: BusyDay) -> None:
    """Ten inlays become twelve while seven are in clamps; what is done together is shared anew."""
    store = joinery.store
    say(store, day.letter["job"], day.letter["inlay"], quantity=12.0, settings="knife deeper")
    with store.reading() as session:
        row = session.get(TallyRow, (day.letter["inlay"], 0))
        lines = history(session, "stages", day.letter["inlay"])
    assert row is not None
    assert row.quantity == 12
    assert [(e.field, e.before, e.after) for e in lines] == [
        ("quantity", 10.0, 12.0),
        ("settings", "", "knife deeper"),
    ]
    same_as_log(store)
    with pytest.raises(BadInput, match="7 are done already"):
        say(store, day.letter["job"], day.letter["inlay"], quantity=6.0)


def test_the_share_of_work_done_together_on_a_closed_job_is_counted_again(
    joinery: Joinery, day: BusyDay
) -> None:
    """Milling of two trays was one stint; one job was closed, the other's measure changes."""
    store = joinery.store
    joinery.tap("strike", at("13:22"), of=_finish_of(joinery, day.elm["milling"]))
    with store.writing() as session:
        close_job(session, day.game["job"], NOW)
    say(store, day.elm["job"], day.elm["milling"], quantity=40.0)
    same_as_log(store)


def _finish_of(joinery: Joinery, stage: int) -> str:
    sight = gather(joinery.store, NOW)
    return next(e.id for e in sight.entries if e.kind == "finish" and stage in e.stages)


def test_a_done_stage_is_not_changed(joinery: Joinery, day: BusyDay) -> None:
    with pytest.raises(Refused, match="It is done"):
        say(joinery.store, day.elm["job"], day.elm["milling"], name="planing")


def test_a_page_out_of_date_says_so_and_a_second_post_is_nothing(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    job, stage = tray["job"], tray["inlay"]
    one = one_stage(joinery.store, job, stage, NOW)
    assert one.said is not None
    first, second = replace(one.said, name="stringing"), replace(one.said, name="banding")
    stages.change(joinery.store, job, stage, first, one.stamp, UNA, NOW)
    stages.change(joinery.store, job, stage, first, one.stamp, UNA, NOW)
    with pytest.raises(BadInput, match="Somebody changed this stage"):
        stages.change(joinery.store, job, stage, second, one.stamp, PIET, NOW)
    with joinery.store.reading() as session:
        assert len(history(session, "stages", stage)) == 1


def test_stages_that_would_wait_for_each_other_are_refused_by_name(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with pytest.raises(BadInput, match=RING):
        say(joinery.store, tray["job"], tray["milling"], needs=(Need(tray["inlay"]),))
    with pytest.raises(BadInput, match="same job"):
        say(joinery.store, tray["job"], tray["milling"], needs=(Need(9999),))
    assert after(joinery.store, tray["job"], "milling") == ()


def test_clamps_and_waits_changed_are_told_in_the_history(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    clamps = (ClampNeed(1, 6),)
    say(joinery.store, tray["job"], tray["oiling"], needs=(Need(tray["milling"]),), clamps=clamps)
    with joinery.store.reading() as session:
        found = {e.field: (e.before, e.after) for e in history(session, "stages", tray["oiling"])}
    assert found["waits for"] == (["inlay"], ["milling"])
    assert found["clamps"][1] == [["6", 1, False]]
    assert see(joinery.store, tray["job"]).world.stages[tray["oiling"]].clamps == clamps


def test_the_order_changes_without_the_waits_and_a_double_tap_moves_once(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    job, inlay = tray["job"], tray["inlay"]
    for _ in range(2):
        stages.move(joinery.store, job, inlay, True, 4, UNA, NOW)
    assert names(joinery.store, job) == ["milling", "glue-up", "inlay", "carving the well", "oiling"]
    assert after(joinery.store, job, "inlay") == ("carving the well",)
    stages.move(joinery.store, job, tray["milling"], True, 1, UNA, NOW)
    stages.move(joinery.store, job, tray["oiling"], False, 5, UNA, NOW)
    assert names(joinery.store, job)[0] == "milling"
    assert names(joinery.store, job)[4] == "oiling"


def test_a_split_keeps_what_is_done_with_the_first(joinery: Joinery, day: BusyDay) -> None:
    """Ten inlays, seven of them in clamps: eight stay, two become a stage; oiling waits for both."""
    store, job, inlay = joinery.store, day.letter["job"], day.letter["inlay"]
    newest = stages_view(store, job, NOW).newest
    with pytest.raises(BadInput, match="7 are done already"):
        stages.split(store, job, inlay, 6.0, newest, UNA, NOW)
    for wrong in (0.0, 10.0, 11.0):
        with pytest.raises(BadInput, match="less than 10"):
            stages.split(store, job, inlay, wrong, newest, UNA, NOW)
    for _ in range(2):
        stages.split(store, job, inlay, 8.0, newest, UNA, NOW)
    view = stages_view(store, job, NOW)
    assert [(s.name, s.quantity, s.done) for s in view.stages[3:5]] == [("inlay", 8, 7), ("inlay", 2, 0)]
    assert view.stages[4].after == ("carving the well",)
    assert view.stages[5].after == ("inlay", "inlay")
    second = see(store, job).world.stages[view.stages[4].id]
    assert second.clamps == (ClampNeed(1, 1, True),)
    assert second.rounds
    same_as_log(store)


def test_coats_split_in_two_go_on_one_after_the_other(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    newest = stages_view(joinery.store, tray["job"], NOW).newest
    stages.split(joinery.store, tray["job"], tray["oiling"], 1.0, newest, UNA, NOW)
    view = stages_view(joinery.store, tray["job"], NOW)
    assert [(s.quantity, s.after) for s in view.stages[4:]] == [(1, ("inlay",)), (2, ("oiling",))]


def test_a_closed_job_and_what_is_not_there_are_refused(joinery: Joinery) -> None:
    tray, other = joinery.add("tray", "tray", None), joinery.add("door", "door", None)
    for call in (stages.bring_back,):
        with pytest.raises(NotFound):
            call(joinery.store, tray["job"], other["frame"], UNA, NOW)
        with pytest.raises(NotFound):
            call(joinery.store, 999, tray["milling"], UNA, NOW)
    with joinery.store.writing() as session:
        close_job(session, tray["job"], NOW)
    with pytest.raises(Refused, match="Open it again first"):
        stages.take_out(joinery.store, tray["job"], tray["milling"], UNA, NOW, "")


def test_a_stage_added_to_a_job_put_aside_is_aside_too(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("put-aside", at("9:00"), job=tray["job"], reason="deposit")
    new = add(joinery, tray["job"], needs=(Need(tray["oiling"]),))
    assert see(joinery.store, tray["job"]).standings[new].state == "put aside"


def test_a_tool_that_is_named_while_the_stage_is_in_hand_gets_its_hours(joinery: Joinery) -> None:
    """Forty minutes were milled before somebody says that the saw cuts half of them; then it was not so."""
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        saw = make_tool(session, "saw blade", kind="blade").id
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("pause", at("9:40"), tray["milling"])

    def cut_min() -> list[float]:
        with joinery.store.reading() as session:
            return [cut.run_min for cut in worked.cuts(session)]

    assert cut_min() == []
    say(joinery.store, tray["job"], tray["milling"], tools=((saw, 0.5),))
    assert cut_min() == [20]
    same_as_log(joinery.store)
    say(joinery.store, tray["job"], tray["milling"], tools=((saw, 1.0),))
    assert cut_min() == [40]
    say(joinery.store, tray["job"], tray["milling"], tools=())
    assert cut_min() == []
    same_as_log(joinery.store)
