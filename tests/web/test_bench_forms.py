"""What a plain form of the Bench says, under the names that the record reads."""

from datetime import UTC, datetime

import pytest
from werkzeug.datastructures import MultiDict

from shoptrack.errors import BadInput
from shoptrack.web.bench_forms import number, read_form, read_when, whole

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)


def read(*pairs: tuple[str, str]) -> dict[str, object]:
    return read_form(MultiDict(list(pairs)), NOW, "USD", "F")


def test_a_start_of_two_stages_together() -> None:
    said = read(
        ("id", "form-0001"),
        ("kind", "start"),
        ("person", "2"),
        ("stage", "7"),
        ("stage", "9"),
        ("stage", "7"),
    )
    assert said == {"id": "form-0001", "kind": "start", "person": 2, "stages": (7, 9), "ago_min": 0.0}


def test_counts_costs_and_ticks() -> None:
    said = read(("count", "7,5"), ("minutes", "20"), ("cost", "4.50"), ("insisted", "1"), ("helper", "3"))
    assert {n: said[n] for n in ("count", "minutes", "cents", "insisted", "helper")} == {
        "count": 7.5,
        "minutes": 20.0,
        "cents": 450,
        "insisted": True,
        "helper": 3,
    }


def test_a_number_button_wins_over_the_counter() -> None:
    assert read(("count", "3"), ("count_is", "5"))["count"] == 5.0


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("", 0.0), ("10", 10.0), ("2026-11-25T17:24:00Z", 60.0), ("2026-11-25T19:00:00Z", 0.0)],
)
def test_when(text: str, minutes: float) -> None:
    """Now, ten minutes ago, an instant; one that is still to come is now."""
    assert read_when(text, NOW) == minutes


@pytest.mark.parametrize("text", ["", "seven", "1e999x", "½"])
def test_no_number_is_said_beside_its_field(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        number({"count": text}, "count")
    assert wrong.value.field == "count"


@pytest.mark.parametrize("text", ["", "-1", "1.5", "٣", "9" * 12, "x"])
def test_no_person(text: str) -> None:
    with pytest.raises(BadInput):
        whole({"person": text}, "person")


def test_a_thermometer_is_read_in_the_shops_own_degrees() -> None:
    """68 in a shop of °F is 20 °C; 20 °C may be written out; no clamp on the wall is a count too."""
    said = read(("warmth", "68"), ("room", "2"))
    assert (said["room"], said["value_c"]) == (2, 20.0)
    assert read(("warmth", "20 °C"))["value_c"] == 20.0
    assert read(("count", "0"), ("pool", "1"))["count"] == 0.0
    with pytest.raises(BadInput) as wrong:
        read(("warmth", "warm"))
    assert wrong.value.field == "warmth"
