"""The forms of the Tools screen as they are read, and where they lead."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shoptrack.errors import BadInput
from shoptrack.web.tools_forms import as_shown, back_to, read_deed

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)


def said(**fields: str) -> dict[str, object]:
    form = {"kind": "edge", "id": "a-form-of-una", "tool": "3", "choice": "cleaned", **fields}
    read = read_deed(form, NOW, "USD")
    return {name: value for name, value in read.items() if value not in (None, "", 0.0)}


def test_all_that_can_be_said_of_an_edge() -> None:
    typed = {"edge": "7", "choice": "sent", "person": "2", "cost": "36.50", "look_again_on": "2026-12-02"}
    assert said(**typed, text=" two nicks ", when="30") == {
        "id": "a-form-of-una",
        "kind": "edge",
        "person": 2,
        "tool": 3,
        "edge": 7,
        "choice": "sent",
        "cents": 3650,
        "look_again_on": date(2026, 12, 2),
        "text": "two nicks",
        "ago_min": 30.0,
    }


def test_a_meter_is_typed_in_hours() -> None:
    assert said(choice="meter", hours="1204,5")["minutes"] == 72_270
    assert said(choice="meter", when=(NOW - timedelta(hours=1)).isoformat())["ago_min"] == 60


def test_taking_back_says_which() -> None:
    assert read_deed({"kind": "strike", "id": "x" * 8, "of": "y" * 8}, NOW, "USD") == {
        "id": "x" * 8,
        "kind": "strike",
        "person": None,
        "of": "y" * 8,
    }


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"kind": "finish"}, "kind"),
        ({"choice": ""}, "choice"),
        ({"choice": "kissed"}, "choice"),
        ({"tool": "x"}, "tool"),
        ({"edge": "-1"}, "edge"),
        ({"person": "Una"}, "person"),
        ({"hours": "long"}, "hours"),
        ({"hours": "-3"}, "hours"),
        ({"cost": "a lot"}, "cost"),
        ({"look_again_on": "soon"}, "look_again_on"),
        ({"when": "yesterday"}, "when"),
        ({"when": "99999"}, "when"),
        ({"text": "x" * 4001}, "text"),
    ],
)
def test_what_can_not_be_read_names_its_field(fields: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        said(**fields)
    assert wrong.value.field == field


def test_what_the_book_finds_wrong_is_told_of_the_form_s_own_field() -> None:
    fields = [as_shown(BadInput("No.", member)).field for member in ("cents", "minutes", "ago_min", "edge")]
    assert fields == ["cost", "hours", "when", "edge"]


@pytest.mark.parametrize(
    ("back", "done", "leads"),
    [
        ("", "e1", "/tools?did=e1"),
        ("/tools/3", "e1", "/tools/3?did=e1"),
        ("/tools?by=2#t3", "e1", "/tools?by=2&did=e1#t3"),
        ("/tools?by=2#t3", "", "/tools?by=2#t3"),
    ],
)
def test_where_a_tap_leads(back: str, done: str, leads: str) -> None:
    assert back_to({"back": back}, done) == leads


def test_a_form_leads_nowhere_else() -> None:
    with pytest.raises(BadInput, match="leads away"):
        back_to({"back": "//elsewhere.example"}, "")
