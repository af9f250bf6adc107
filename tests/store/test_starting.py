from sqlalchemy import select

from shoptrack.engine.shapes import Rule
from shoptrack.store.db import Store
from shoptrack.store.shop import make_kind
from shoptrack.store.starting import kind_names
from shoptrack.store.tables import StageKindRow
from tests.store.conftest import NOW


def test_a_retired_kind_still_has_its_name(store: Store) -> None:
    with store.writing() as session:
        made = make_kind(session, "Bending", unit="pieces", rule=Rule(0, 1), from_at=NOW)
        made.retired_at = NOW
    with store.reading() as session:
        assert session.scalars(select(StageKindRow)).one().retired_at is not None
        assert kind_names(session) == {"bending"}
