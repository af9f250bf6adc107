"""The shapes of the documents can't change once made, and each has its schema."""

from dataclasses import FrozenInstanceError, fields, is_dataclass

import pytest

from shoptrack.web import document_shapes
from shoptrack.web.document_shapes import WaitDoc
from shoptrack.web.openapi import document

SHAPES = [s for s in vars(document_shapes).values() if is_dataclass(s) and isinstance(s, type)]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.__name__)
def test_each_shape_is_described_member_by_member(shape: type) -> None:
    schema = document()["components"]["schemas"][shape.__name__]
    assert schema["required"] == [f.name.rstrip("_") for f in fields(shape)]
    assert schema["properties"].keys() == set(schema["required"])
    assert schema["description"].endswith(".")


def test_a_shape_is_frozen() -> None:
    wait = WaitDoc("not done", 11, None, None)
    with pytest.raises(FrozenInstanceError):
        wait.stage = 12  # type: ignore[misc] # that it can't be is the point
