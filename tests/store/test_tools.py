"""Tools, materials and how hard these are on an edge."""

import pytest
from sqlalchemy import select

from shoptrack.errors import BadInput
from shoptrack.store import tools
from shoptrack.store.db import Store
from shoptrack.store.tables import MaterialWearRow
from tests.store.making import MADE_AT, NOW


def test_wear_counts_from_an_instant_and_is_above_nought(store: Store) -> None:
    with store.writing() as session:
        ash = tools.make_material(session, "ash", wear=1.0, from_at=MADE_AT).id
        tools.set_wear(session, ash, from_at=NOW, wear=1.1)
        with pytest.raises(BadInput, match="above nought"):
            tools.set_wear(session, ash, from_at=NOW, wear=0)
        rows = session.scalars(select(MaterialWearRow).order_by(MaterialWearRow.from_at)).all()
    assert [(row.from_at, row.factor) for row in rows] == [(MADE_AT, 1.0), (NOW, 1.1)]
