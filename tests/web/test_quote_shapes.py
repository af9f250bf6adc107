"""The shapes of the quotes' documents can't change once made, and each is described member by member."""

from dataclasses import FrozenInstanceError, fields, is_dataclass

import pytest

from shoptrack.web import quote_shapes
from shoptrack.web.openapi import document
from shoptrack.web.quote_shapes import RangeDoc

SHAPES = [s for s in vars(quote_shapes).values() if is_dataclass(s) and isinstance(s, type)]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.__name__)
def test_each_shape_is_described_member_by_member(shape: type) -> None:
    schema = document()["components"]["schemas"][shape.__name__]
    assert schema["required"] == [f.name.rstrip("_") for f in fields(shape)]
    assert schema["properties"].keys() == set(schema["required"])
    assert schema["description"].endswith(".")


def test_a_shape_is_frozen() -> None:
    found = RangeDoc(1, 2, 3, 4)
    with pytest.raises(FrozenInstanceError):
        found.p10 = 0  # type: ignore[misc] # that it can't be is the point
