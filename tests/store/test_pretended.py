"""Stages that no row has: what they are held against is the job made of the same quote (flows/planning)."""

from shoptrack.store.pretended import Offered, stages_like, stages_said
from tests.joinery import Joinery


def test_measures_are_of_so_many_pieces_and_some_said_otherwise(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        stages = stages_like(session, joinery.revisions["tray"], {1: 5.0}, 2, -1, -1000)
    assert [stage.id for stage in stages] == list(range(-1000, -1000 + len(stages)))
    assert stages[0].quantity == 5.0
    assert {stage.job for stage in stages} == {-1}
    assert all(need.stage < stage.id for stage in stages for need in stage.needs)


def test_no_such_revision_has_no_stages(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert stages_like(session, 9999, {}, 1, -1, -1000) == ()
        assert stages_said(session, (), -1, -1000) == ()


def test_stages_said_one_by_one_take_what_their_kinds_say(joinery: Joinery) -> None:
    said = (Offered(joinery.kinds["milling"], "", 4.0), Offered(joinery.kinds["glue-up"], "the top", 2.0, 1))
    with joinery.store.reading() as session:
        milled, glued = stages_said(session, said, -2, -2000)
    assert (milled.name, milled.unit, milled.needs) == ("milling", milled.unit, ())
    assert (glued.name, glued.interruption, glued.station) == ("the top", "none", 1)
    assert [need.stage for need in glued.needs] == [milled.id]
    assert glued.rule
