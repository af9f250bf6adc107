"""Minutes of first passes and of passes done again, by kind, from the tally."""

from datetime import timedelta
from typing import Any

from shoptrack.store.spoiled import first_and_again_min
from shoptrack.store.tables import TallyRow
from tests.joinery import LONG_AGO, NOW, Joinery


def line(stage: int, redo: int, hands: float, machine: float = 0.0, **said: Any) -> TallyRow:
    finished = said.get("finished_at", NOW)
    return TallyRow(
        stage_id=stage,
        redo=redo,
        standing="done" if finished else "in hand",
        quantity=1,
        attended_min=hands,
        elapsed_min=hands,
        machine_min=machine,
        mend_min=0,
        mend_cents=0,
        finished_at=finished,
        teaches=redo == 0,
    )


def test_nothing_was_finished_yet(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert first_and_again_min(session, LONG_AGO) == {}


def test_minutes_are_summed_by_kind(joinery: Joinery) -> None:
    """A first pass that goes on still is not counted; doing it again counts as far as it came."""
    one, two = joinery.add("tray", "one", None), joinery.add("tray", "two", None)
    with joinery.store.writing() as session:
        session.add_all(
            [
                line(one["milling"], 0, 40),
                line(one["milling"], 1, 10, finished_at=None),
                line(two["milling"], 0, 35),
                line(two["milling"], 1, 5),
                line(one["carving the well"], 0, 20, 50),
                line(two["carving the well"], 0, 20, 30, finished_at=None),
            ]
        )
    with joinery.store.reading() as session:
        found = first_and_again_min(session, LONG_AGO)
        later = first_and_again_min(session, NOW + timedelta(hours=1))
    assert found == {joinery.kinds["milling"]: (75, 15), joinery.kinds["carving"]: (70, 0)}
    assert later == {joinery.kinds["milling"]: (0, 10), joinery.kinds["carving"]: (0, 0)}
