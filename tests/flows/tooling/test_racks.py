"""Taps → the hours of the shop's edges: they follow what is logged, struck, moved, and said of the shop."""

import random
from datetime import timedelta

import pytest
from sqlalchemy import event, update

from shoptrack.engine.edge_life import Life
from shoptrack.engine.shapes import EdgeStands, Rack
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling import racks
from shoptrack.flows.tooling.racks import cuts_since, gather_rack, lives_of
from shoptrack.store import tools
from shoptrack.store.db import Store
from shoptrack.store.tables import EdgeRow, StageRow, StageToolRow
from tests.flows.conftest import BIT, KNIVES
from tests.flows.taps import LATER, NOW, differences, made, send, statuses

A, B, C = 1, 2, 3
MILL, SAND = 11, 13


def tap(store: Store, seq: int, minutes: float, kind: str, **said: object) -> None:
    at = NOW + timedelta(minutes=minutes)
    receipt = send(store, made(kind, seq, at, person=said.pop("person", 1), **said), now=at)
    assert statuses(receipt) == ["done"], receipt


def the_rack(store: Store) -> Rack:
    sight = gather(store, LATER)
    with store.reading() as session:
        return gather_rack(store, session, sight)


def edge(store: Store, tool: int, number: int) -> EdgeStands:
    return next(e for e in the_rack(store).tools[tool].edges if e.edge.id == number)


def milled(store: Store) -> None:
    """A is on the planer; the table's boards are milled for an hour, B put on after forty minutes."""
    tap(store, 1, 0, "edge", tool=KNIVES, edge=A, choice="fitted")
    tap(store, 2, 0, "start", stages=[MILL])
    tap(store, 3, 40, "edge", tool=KNIVES, edge=B, choice="fitted")
    tap(store, 4, 60, "finish", stages=[MILL])


def test_a_finished_stage_gives_its_minutes_to_what_was_on_the_tool(store: Store) -> None:
    milled(store)
    assert edge(store, KNIVES, A).run_h == pytest.approx(40 / 60)
    assert edge(store, KNIVES, B).run_h == pytest.approx(20 / 60)
    assert differences(store) == []


def test_a_stage_s_share_and_its_wood_count(store: Store) -> None:
    """Half of the sanding is the bit's, in wood that is twice as hard on it."""
    with store.writing() as session:
        teak = tools.make_material(session, "teak", wear=2.0, from_at=NOW - timedelta(days=1))
        session.execute(update(StageRow).where(StageRow.id == SAND).values(material_id=teak.id))
    tap(store, 1, 0, "edge", tool=BIT, edge=C, choice="fitted")
    tap(store, 2, 0, "start", stages=[SAND])
    tap(store, 3, 60, "pause", stages=[SAND])
    assert (edge(store, BIT, C).run_h, edge(store, BIT, C).effective_h) == (0.5, 1.0)


def test_two_stages_of_one_bit_both_count(store: Store) -> None:
    """The pockets and the inlays of one piece are cut with the same bit."""
    tap(store, 1, 0, "edge", tool=BIT, edge=C, choice="fitted")
    for seq, stage in ((2, SAND), (3, 23)):
        tap(store, seq * 10, 60 * seq, "start", stages=[stage])
        tap(store, seq * 10 + 1, 60 * seq + 30, "finish", stages=[stage])
    assert edge(store, BIT, C).run_h == pytest.approx(0.5)


def test_strikes_and_moves_of_work_move_the_hours(store: Store) -> None:
    milled(store)
    tap(store, 5, 61, "retime", of="tap-00004", to_at=(NOW + timedelta(minutes=50)).isoformat())
    assert (edge(store, KNIVES, A).run_h, edge(store, KNIVES, B).run_h) == pytest.approx((40 / 60, 10 / 60))
    tap(store, 6, 62, "strike", of="tap-00002")
    assert (edge(store, KNIVES, A).run_h, edge(store, KNIVES, B).run_h) == (0, 0)
    assert differences(store) == []


def test_strikes_and_moves_of_deeds_move_the_hours(store: Store) -> None:
    milled(store)
    tap(store, 5, 61, "retime", of="tap-00003", to_at=(NOW + timedelta(minutes=10)).isoformat())
    assert edge(store, KNIVES, A).run_h == pytest.approx(10 / 60)
    tap(store, 6, 62, "strike", of="tap-00003")
    assert edge(store, KNIVES, A).run_h == pytest.approx(1)
    tap(store, 7, 63, "strike", of="tap-00006")
    assert edge(store, KNIVES, B).run_h == pytest.approx(50 / 60)


def test_a_deed_that_comes_late_and_twice_counts_once_where_it_belongs(store: Store) -> None:
    """A tablet out of reach: the swap at 9:40 is told of at noon, and sent again."""
    tap(store, 1, 0, "edge", tool=KNIVES, edge=A, choice="fitted")
    tap(store, 2, 0, "start", stages=[MILL])
    tap(store, 4, 60, "finish", stages=[MILL])
    late = made("edge", 9, NOW + timedelta(minutes=40), tool=KNIVES, edge=B, choice="fitted")
    for _ in range(2):
        receipt = send(store, late, device="away", now=NOW + timedelta(hours=3))
        assert statuses(receipt) == ["done"]
    assert edge(store, KNIVES, B).run_h == pytest.approx(20 / 60)


def test_a_deed_long_past_is_still_known_when_little_else_is_read(store: Store) -> None:
    """Fitted in the spring, and nothing open since: the log of open work begins much later."""
    tap(store, 1, 0, "edge", tool=KNIVES, edge=A, choice="fitted")
    tap(store, 2, 5, "edge", tool=KNIVES, choice="sharpened")
    for seq, days in enumerate((150, 151), start=3):
        then = NOW + timedelta(days=days)
        send(store, made("note", seq, then, job=1, text="swept"), now=then)
    later = NOW + timedelta(days=152)
    assert [d.did for d in gather(store, later).replayed.deeds] == ["fitted", "sharpened"]
    send(store, made("strike", 5, later, of="tap-00002"), now=later)
    assert [d.did for d in gather(store, later).replayed.deeds] == ["fitted"]


def test_lives_are_those_of_all_edges_of_a_tool(store: Store) -> None:
    """A found dull after forty minutes; B goes on, which is left out: its age is in the question. A spare
    that never ran teaches nothing.
    """
    tap(store, 1, 0, "edge", tool=KNIVES, edge=A, choice="fitted")
    tap(store, 2, 0, "start", stages=[MILL])
    tap(store, 3, 40, "edge", tool=KNIVES, choice="found dull")
    tap(store, 4, 40, "edge", tool=KNIVES, edge=B, choice="fitted")
    tap(store, 5, 60, "finish", stages=[MILL])
    found = the_rack(store)
    lives = lives_of(found, KNIVES)
    assert lives == (Life(pytest.approx(40 / 60), True),)
    assert lives_of(found, BIT) == lives_of(found, 99) == ()


def test_a_retired_edge_still_teaches(store: Store) -> None:
    milled(store)
    with store.writing() as session:
        session.get_one(EdgeRow, A).retired_at = NOW + timedelta(minutes=70)
    found = the_rack(store)
    assert [e.edge.id for e in found.tools[KNIVES].edges] == [B]
    assert [e.edge.id for e in found.tools[KNIVES].past] == [A]
    # cut short: nobody knows how long it would have lasted
    assert lives_of(found, KNIVES) == (Life(pytest.approx(40 / 60), False),)


def test_it_is_read_once_for_each_head(store: Store) -> None:
    """Minutes that pass and looks that repeat ask the database nothing; a tap does."""
    milled(store)
    with store.reading() as session:
        asked: list[str] = []
        event.listen(session.get_bind(), "before_cursor_execute", lambda *a: asked.append(a[2]))
        first = gather_rack(store, session, gather(store, LATER))
        assert sum("worked" in sql for sql in asked) <= 1
        asked.clear()
        again = gather_rack(store, session, gather(store, LATER + timedelta(minutes=5)))
        assert sum("worked" in sql for sql in asked) == 0
    assert again.tools == first.tools
    assert again.now > first.now
    tap(store, 5, 70, "edge", tool=KNIVES, choice="found dull")
    assert edge(store, KNIVES, B).dull


def asked_of_worked(store: Store) -> list[str]:
    """What is asked of the rows of when tools were at work, for one look at the rack."""
    sight, asked = gather(store, LATER), list[str]()
    with store.reading() as session:
        event.listen(session.get_bind(), "before_cursor_execute", lambda *a: asked.append(a[2]))
        gather_rack(store, session, sight)
    return [sql for sql in asked if "FROM worked" in sql]


def test_after_a_tap_only_the_stages_that_it_changed_are_read(store: Store) -> None:
    milled(store)
    the_rack(store)
    tap(store, 5, 70, "start", stages=[21])
    assert asked_of_worked(store) == []
    tap(store, 6, 90, "finish", stages=[21])
    (sql,) = asked_of_worked(store)
    assert "worked.stage_id IN" in sql
    assert edge(store, KNIVES, B).run_h == pytest.approx(40 / 60)


def test_what_is_not_a_tap_has_all_read_again(store: Store) -> None:
    """The knives cut half of the milling only; the same head, by another store of this file, sees it too."""
    milled(store)
    the_rack(store)
    with store.writing() as session:
        session.execute(update(StageToolRow).where(StageToolRow.stage_id == MILL).values(share=0.5))
    tap(store, 5, 70, "start", stages=[21])
    (sql,) = asked_of_worked(store)
    assert "worked.stage_id IN" not in sql
    assert edge(store, KNIVES, A).run_h == pytest.approx(20 / 60)


def test_what_was_cut_lately(store: Store) -> None:
    milled(store)
    sight = gather(store, LATER)
    with store.reading() as session:
        found = cuts_since(store, session, sight, NOW + timedelta(minutes=59))
        assert [(cut.tool, cut.stage, cut.run_min) for cut in found] == [(KNIVES, MILL, 60)]
        assert cuts_since(store, session, sight, NOW + timedelta(minutes=60)) == []


@pytest.mark.parametrize("seed", range(6))
def test_read_bit_by_bit_it_is_as_read_anew(store: Store, seed: int) -> None:
    """Random taps, some late, struck or moved; some edits between; now and then a look, and a look afresh."""
    rng, seq, ids = random.Random(seed), 0, list[str]()
    for step in range(40):
        seq, at = seq + 1, NOW + timedelta(minutes=7 * step)
        what = rng.choice(("start", "start", "pause", "finish", "edge", "strike", "retime", "share"))
        said: dict[str, object] = {"stages": [rng.choice((11, 13, 21, 23))], "person": rng.choice((1, 2))}
        if what == "edge":
            fitted = rng.choice((A, B))
            said = {"tool": KNIVES, "edge": fitted, "choice": rng.choice(("fitted", "found dull", "sent"))}
        elif what in ("strike", "retime") and ids:
            moved = (at - timedelta(minutes=rng.randint(0, 30))).isoformat()
            said = {"of": rng.choice(ids), **({"to_at": moved} if what == "retime" else {})}
        elif what == "share":
            with store.writing() as session:
                share = rng.choice((0.25, 0.5, 1.0))
                session.execute(update(StageToolRow).where(StageToolRow.stage_id == 21).values(share=share))
            continue
        if what in ("strike", "retime") and "of" not in said:
            continue
        send(store, made(what, seq, at, **said), now=at)
        if what not in ("strike", "retime"):
            ids.append(f"tap-{seq:05d}")
        if rng.random() < 0.5:
            seen = the_rack(store)
            racks._LAST.pop(store)
            assert the_rack(store) == seen
    assert differences(store) == []
    assert sum(stands.run_h for stands in the_rack(store).tools[KNIVES].edges) >= 0


def test_a_shop_without_edges_has_an_empty_rack(store: Store) -> None:
    with store.writing() as session:
        session.execute(update(EdgeRow).values(retired_at=NOW))
    milled_before = the_rack(store)
    assert all(tool.edges == () and tool.fitted is None for tool in milled_before.tools.values())
