"""Edge wear in quotes: what an hour of each stage takes, drawn with its minutes, kept with the quote."""

from collections.abc import Mapping
from datetime import date

import numpy as np
import pytest
from sqlalchemy import select

from shoptrack.engine.edge_life import Life, learn
from shoptrack.engine.edge_wear import lasting_h
from shoptrack.engine.shapes import EdgeKind
from shoptrack.engine.shapes.quoted import NOTHING
from shoptrack.flows.learning import learned
from shoptrack.flows.quoting import drafts
from shoptrack.flows.quoting.kept import Kept
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.flows.quoting.worn import (
    NOT_WORN,
    KeptEdge,
    ToolWear,
    Worn,
    cents_per_h,
    usually_worn,
    worn_of,
)
from shoptrack.flows.tooling.due import Known
from shoptrack.store.patterns import PatternStage, make_pattern
from shoptrack.store.tables import EdgeKindRow, MaterialWearRow, StationRow
from shoptrack.store.tools import make_edge, make_tool
from tests.flows.quoting.shop import FORM, kept, made, tray, worked_out
from tests.joinery import LONG_AGO, NOW, Joinery, at

SAW = Worn({1: ToolWear("saw", 2_400, 16.0, 3)}, {7: 2.0})


def sharpened(joinery: Joinery, wood: int) -> Mapping[str, int]:
    """A saw (24.00 a sharpening) and a bit (nothing said), a hard wood, a pattern that is sawn and cut."""
    with joinery.store.writing() as session:
        saw = make_tool(session, "panel saw", kind="saw blade").id
        bit = make_tool(session, "V bit", kind="V bit").id
        kind = session.scalars(select(EdgeKindRow).where(EdgeKindRow.name == "saw blade")).one()
        kind.renew_cents, kind.usual_life_h = 2_400, 20.0
        session.add(MaterialWearRow(material_id=wood, from_at=LONG_AGO, factor=2.0))
        router = session.scalars(select(StationRow.id)).one()
        stages = [
            PatternStage(joinery.kinds["milling"], "sawing", tools=[(saw, 0.5)], material=wood),
            PatternStage(
                joinery.kinds["carving"], "carving", tools=[(bit, 1.0), (saw, 0.25)], station=router
            ),
        ]
        joinery.revisions["board"] = make_pattern(session, "board", stages=stages, now=LONG_AGO).id
    return {"saw": saw, "bit": bit}


def board(joinery: Joinery, wood: int, worn: Worn | None = None) -> Kept:
    wanted = tray(joinery, wood, revision=joinery.revisions["board"], bought=())
    known = learned(joinery.store, NOW)
    with joinery.store.reading() as session:
        return work_out(session, known, wanted, form_id=FORM, now=NOW, worn=worn)


def test_an_hour_takes_its_share_of_a_sharpening() -> None:
    """24.00 for 16 hours; half the minutes, in wood twice as hard: 1.50 an hour. By two people, half that."""
    (one,) = SAW.by([(1, 0.5), (9, 1.0)], 7, 1, False)
    assert one == KeptEdge(1, "saw", 0.5, 2.0, 16.0, 2_400, 3, 150.0)
    assert [e.cents_per_h for e in SAW.by([(1, 0.5)], 7, 2, False)] == [75.0]
    assert [e.cents_per_h for e in SAW.by([(1, 0.5)], 7, 2, True)] == [150.0], "a machine runs by itself"
    assert [e.wear for e in SAW.by([(1, 1.0)], None, 1, False)] == [1.0]
    assert cents_per_h(SAW.by([(1, 0.5), (1, 0.25)], 7, 1, False)) == 225.0
    assert NOT_WORN.by([(1, 1.0)], 7, 1, False) == ()


def test_what_nothing_was_learned_of_lasts_as_usual(joinery: Joinery, wood: int) -> None:
    """Only tools whose sharpening costs something count."""
    tools = sharpened(joinery, wood)
    with joinery.store.reading() as session:
        found = usually_worn(session, NOW)
    usual = round(lasting_h(learn((), 20.0)), 2)
    assert found == Worn({tools["saw"]: ToolWear("panel saw", 2_400, usual, 0)}, {wood: 2.0})


def test_what_was_learned_counts(joinery: Joinery, wood: int) -> None:
    tools = sharpened(joinery, wood)
    fit = learn([Life(9.0, True), Life(11.0, True), Life(10.0, True)], 20.0)
    with joinery.store.reading() as session:
        known = {tools["saw"]: Known("panel saw", EdgeKind(1, "saw blade", 20.0), 20.0, fit)}
        found = worn_of(session, known, NOW).tools[tools["saw"]]
    assert found.dull == 3
    assert 8.0 < found.lasting_h < 12.0


def test_wear_is_a_line_of_its_own_in_the_cost(joinery: Joinery, wood: int) -> None:
    """Sawing by hand, and the saw's quarter of the carving; the bit costs nothing. Drawn with the minutes."""
    sharpened(joinery, wood)
    plain, worn = board(joinery, wood, NOT_WORN), board(joinery, wood)
    assert plain.worked.wear_cents == NOTHING
    assert [[e.name for e in s.edges] for s in worn.made.stages] == [["panel saw"], ["panel saw"]]
    assert [s.wear_cents_per_h for s in worn.asked.stages] == [
        pytest.approx(2_400 * share * wear / worn.made.stages[0].edges[0].lasting_h)
        for share, wear in ((0.5, 2.0), (0.25, 1.0))
    ]
    assert 0 < worn.worked.wear_cents.p10 < worn.worked.wear_cents.p90
    assert [s.cents for s in worn.worked.stages] == [s.cents for s in plain.worked.stages]
    more = np.subtract(worn.worked.cost_cents, plain.worked.cost_cents)
    assert more.min() > 0
    assert worn.worked.wear_cents.p10 < more[len(more) // 2] < worn.worked.wear_cents.p90
    assert worn.worked.price_p50_cents > plain.worked.price_p50_cents


def test_a_kept_quote_keeps_its_wear(joinery: Joinery, wood: int) -> None:
    """A sharpening is twice as dear by now; what was quoted stays, a new one has the new price."""
    sharpened(joinery, wood)
    quote = made(joinery, tray(joinery, wood, revision=joinery.revisions["board"], bought=()))
    before = kept(joinery, quote)
    with joinery.store.writing() as session:
        session.scalars(select(EdgeKindRow).where(EdgeKindRow.name == "saw blade")).one().renew_cents = 4_800
    assert kept(joinery, quote) == before
    anew = worked_out(joinery, tray(joinery, wood, revision=joinery.revisions["board"], bought=()))
    assert anew.worked.wear_cents.p50 == pytest.approx(2 * before.worked.wear_cents.p50, abs=1.5)
    assert before.made.on == date(2026, 11, 25)


def test_a_draft_is_reckoned_with_what_was_learned(joinery: Joinery, wood: int) -> None:
    """Once the blade was found dull after an hour's work, sawing costs more, shown and kept alike."""
    tools = sharpened(joinery, wood)
    wanted = tray(joinery, wood, revision=joinery.revisions["board"], bought=())
    before = drafts.preview(joinery.store, wanted, FORM, NOW)
    with joinery.store.writing() as session:
        blade = make_edge(session, tools["saw"], "blade A", LONG_AGO).id
    joinery.tap("edge", at("7:00", -30), tool=tools["saw"], edge=blade, choice="fitted")
    for n in range(4):
        job = joinery.add("board", f"board {n}", None)
        joinery.tap("start", at("9:00", -28 + 7 * n), job["sawing"])
        joinery.tap("finish", at("11:00", -28 + 7 * n), job["sawing"])
        joinery.tap("edge", at("11:05", -28 + 7 * n), tool=tools["saw"], choice="found dull")
        joinery.tap("edge", at("11:30", -28 + 7 * n), tool=tools["saw"], choice="sharpened")
    after = drafts.preview(joinery.store, wanted, FORM, NOW)
    (blade_before,), (blade_after,) = (k.made.stages[0].edges for k in (before, after))
    assert (blade_before.dull, blade_after.dull) == (0, 4)
    assert blade_after.lasting_h < blade_before.lasting_h / 2
    quote = made(joinery, wanted)
    assert kept(joinery, quote).worked == after.worked
