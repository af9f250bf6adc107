"""The shapes of the plan's documents: each described member by member."""

from dataclasses import fields, is_dataclass

import pytest

from shoptrack.web import plan_shapes
from shoptrack.web.openapi import document

SHAPES = [s for s in vars(plan_shapes).values() if is_dataclass(s) and isinstance(s, type)]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.__name__)
def test_each_shape_is_described_member_by_member(shape: type) -> None:
    schema = document()["components"]["schemas"][shape.__name__]
    assert schema["required"] == [f.name.rstrip("_") for f in fields(shape)]
    assert schema["properties"].keys() == set(schema["required"])
    assert schema["description"].endswith(".")
