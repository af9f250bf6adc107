from sqlalchemy import select
from sqlalchemy.orm import selectinload

from shoptrack.demo.sequences import PATTERNS
from shoptrack.demo.things import KINDS
from shoptrack.store.db import Store
from shoptrack.store.patterns import list_patterns, newest_revision
from shoptrack.store.tables import PatternRevisionRow, PatternStageRow
from tests.demo.conftest import TUESDAY, Make


def stages(store: Store, name: str) -> list[PatternStageRow]:
    with store.reading() as session:
        pattern = next(p for p in list_patterns(session) if p.name == name)
        newest = newest_revision(session, pattern.id)
        assert newest is not None
        chosen = select(PatternStageRow).where(PatternStageRow.revision_id == newest.id)
        loaded = chosen.options(
            selectinload(PatternStageRow.needs),
            selectinload(PatternStageRow.clamps),
            selectinload(PatternStageRow.tools),
        )
        return list(session.scalars(loaded.order_by(PatternStageRow.position)))


def test_every_sequence_is_a_pattern_with_all_its_stages(short: Make) -> None:
    for name, steps in PATTERNS.items():
        assert [s.name for s in stages(short(TUESDAY), name)] == [s.name for s in steps]


def test_every_kind_of_stage_is_used() -> None:
    used = {step.kind for steps in PATTERNS.values() for step in steps}
    assert used == {name for name, *_ in KINDS}


def test_parts_come_together_somewhere_in_every_piece() -> None:
    """A splice: a stage that waits for two."""
    for name, steps in PATTERNS.items():
        assert any(len(step.after) > 1 for step in steps), name


def test_rounds_clamps_and_tools_go_with_the_stage(short: Make) -> None:
    """An inlay takes one clamp each, and sanding may start on the rounds that are ready."""
    tray = {s.name: s for s in stages(short(TUESDAY), "serving tray")}
    inlay = tray["inlay the rims"]
    assert inlay.rounds
    assert [(c.count, c.per_piece) for c in inlay.clamps] == [(1, True)]
    assert [n.by_rounds for n in tray["sand the trays"].needs] == [True]
    assert [t.share for t in tray["carve the pockets"].tools] == [0.9]
    assert tray["carve the pockets"].attendance == "within earshot"


def test_spraying_carries_its_caution(short: Make) -> None:
    spray = next(s for s in stages(short(TUESDAY), "game board") if s.name == "spray the boards")
    assert "booth" in spray.caution


def test_a_revision_does_not_overwrite_the_one_before(short: Make) -> None:
    with short(TUESDAY).reading() as session:
        pattern = next(p for p in list_patterns(session) if p.name == "serving tray")
        chosen = select(PatternRevisionRow.number).where(PatternRevisionRow.pattern_id == pattern.id)
        assert sorted(session.scalars(chosen)) == [1, 2]
