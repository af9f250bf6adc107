"""Members of taps are read, or refused with a sentence."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import FIELDS, number, read_day, read_id, read_instant, text, whole

INSTANTS = {
    # the five examples of RFC 3339 section 5.8; the last, of the year 1937, is before any tablet
    "1985-04-12T23:20:50.52Z": datetime(1985, 4, 12, 23, 20, 50, 520000, tzinfo=UTC),
    "1996-12-19T16:39:57-08:00": datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC),
    "1990-12-31T23:59:60Z": datetime(1991, 1, 1, tzinfo=UTC),
    "1990-12-31T15:59:60-08:00": datetime(1991, 1, 1, tzinfo=UTC),
    # a tablet's own, and small letters and a blank, which section 5.6 allows
    "2025-03-04T09:00:00.123Z": datetime(2025, 3, 4, 9, 0, 0, 123000, tzinfo=UTC),
    "2025-03-04 09:00:00.123456789z": datetime(2025, 3, 4, 9, 0, 0, 123456, tzinfo=UTC),
}
NO_INSTANTS = [
    "1937-01-01T12:00:27.87+00:20",
    "2025-03-04T09:00:00",
    "2025-03-04",
    "2025-03-04T24:00:00Z",
    "2025-02-29T09:00:00Z",
    "2025-03-04T09:00:61Z",
    "2025-03-04T09:00:00+24:00",
    "2025-03-04T09:00Z",
    "20250304T090000Z",
    "2025-03-04T09:00:00Z\n",
    "٢٠٢٥-03-04T09:00:00Z",
    1741078800,
    None,
]


@pytest.mark.parametrize(("written", "meant"), INSTANTS.items())
def test_instants_are_read_as_rfc_3339_says(written: str, meant: datetime) -> None:
    """Source: RFC 3339, sections 5.6 and 5.8."""
    assert read_instant(written) == meant


@pytest.mark.parametrize("written", NO_INSTANTS)
def test_what_is_no_instant_is_refused(written: object) -> None:
    with pytest.raises(BadInput):
        read_instant(written)


@given(st.integers(365, 376_000), st.integers(0, 86_399_999), st.integers(-23 * 60, 23 * 60))
def test_an_instant_is_the_same_in_every_zone(day: int, ms: int, offset_min: int) -> None:
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=day, milliseconds=ms)
    sign, minutes = "-" if offset_min < 0 else "+", abs(offset_min)
    written = f"{at.isoformat()[:-6]}{sign}{minutes // 60:02d}:{minutes % 60:02d}"
    assert read_instant(written) == at - timedelta(minutes=offset_min)


@pytest.mark.parametrize("written", ["2025-02-30", "2025-3-4", "04.03.2025", "", 5])
def test_what_is_no_day_is_refused(written: object) -> None:
    with pytest.raises(BadInput):
        read_day(written)


def test_numbers_stay_within_their_bounds() -> None:
    read = number("the minutes", 0, 10, above=True)
    assert read(10) == 10
    for value in (0, 10.1, -1, float("nan"), float("-inf"), True, "5", 10**400):
        with pytest.raises(BadInput, match="The minutes is not"):
            read(value)
    with pytest.raises(BadInput, match="is not a whole number"):
        whole("the cost", 0, 9)(1.5)


@given(st.text(max_size=20))
def test_text_that_is_taken_can_be_written_to_a_file(value: str) -> None:
    try:
        assert text("the text", 20)(value).encode("utf-8").find(b"\0") == -1
    except BadInput:
        assert any(ord(c) < 32 or 0xD800 <= ord(c) <= 0xDFFF for c in value)


@pytest.mark.parametrize("value", ["aaaaaaa", "a" * 65, "has blank", "späne-123", "aaaaaaaa\n", 12345678])
def test_ids_are_eight_to_sixty_four_plain_signs(value: object) -> None:
    with pytest.raises(BadInput):
        read_id(value)


def test_every_field_has_a_schema() -> None:
    assert all(field.schema and field.name == name for name, field in FIELDS.items())
