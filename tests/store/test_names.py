"""Names by number: the retired keep theirs, and are not offered; removed stages are not offered either."""

from datetime import timedelta

from shoptrack.store.db import Store
from shoptrack.store.jobs import job_row
from shoptrack.store.names import (
    material_names,
    material_words,
    people_names,
    stage_names,
    tool_names,
    wear_factors,
)
from shoptrack.store.tables import MaterialRow, PersonRow, ToolRow
from shoptrack.store.tools import make_material, set_wear
from tests.store.making import NOW, furnish, order


def test_people_keep_their_names(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        person = session.get(PersonRow, made.ben)
        assert person is not None
        person.retired_at = NOW
        assert people_names(session) == {made.ann: "Ann", made.ben: "Ben"}


def test_materials_to_choose_have_their_unit(store: Store) -> None:
    with store.writing() as session:
        session.add_all([MaterialRow(name="walnut", unit="board foot"), MaterialRow(name="felt", unit=None)])
        session.add(MaterialRow(name="ebony", retired_at=NOW))
        session.flush()
        assert [words for _, words in material_words(session)] == ["felt", "walnut, by board foot"]
        assert sorted(material_names(session).values()) == ["ebony", "felt", "walnut"]


def test_stages_in_their_order_without_the_removed(store: Store) -> None:
    with store.writing() as session:
        job, stages = order(session, furnish(session))
        job_row(session, job).stages[1].removed_at = NOW
        session.flush()
        assert stage_names(session, job) == ((stages[0], "1 mill"), (stages[2], "3 sand"))


def test_tools_keep_their_names(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        session.get_one(ToolRow, made.bit).retired_at = NOW
        assert tool_names(session)[made.bit] == "quarter-inch bit"


def test_a_wood_is_as_hard_as_was_said_last_by_then(store: Store) -> None:
    with store.writing() as session:
        teak = make_material(session, "teak", wear=1.5, from_at=NOW - timedelta(days=2)).id
        set_wear(session, teak, from_at=NOW, wear=1.8)
        set_wear(session, teak, from_at=NOW + timedelta(days=1), wear=9.0)
        assert wear_factors(session, NOW - timedelta(days=1)) == {teak: 1.5}
        assert wear_factors(session, NOW) == {teak: 1.8}
        assert wear_factors(session, NOW - timedelta(days=3)) == {}
