"""The calendar's text, held against RFC 5545 by hand and read back by two readers that know nothing of us."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime

import icalendar
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.calendar import Due, Feed, Turn
from shoptrack.web.ics import calendar_text, plain

WRITTEN = datetime(2026, 11, 25, 18, 20, 31, 250_000, tzinfo=UTC)
CLAMPS = Due("mark 2 tap-0001 clamps off 0 from", "from", "K7", "glue-up", "clamps off",
             at=datetime(2026, 11, 25, 18, 48, 0, 700_000, tzinfo=UTC))  # fmt: skip
COAT = Due("mark 5 tap-0009 recoat 0 by", "by", "B4", "oiling", "recoat", 2, 3,
           at=datetime(2026, 11, 27, 6, 19, tzinfo=UTC))  # fmt: skip
PROMISED = Due("promised 4", "promised", "D2", must_keep=True, on=date(2026, 12, 4))
ASIDE = Due("look again 4 2026-12-31", "look again", "D2", "carving the well", on=date(2026, 12, 31))
FEED = Feed(
    "Sedge Lane Joinery", datetime(2025, 1, 1, tzinfo=UTC), WRITTEN, 41, (CLAMPS, COAT, PROMISED, ASIDE)
)
AWKWARD = "glue, clamp; wait \\ then\nplane 🪚 «ölen» " + "very " * 20 + "long"


def lines(text: bytes) -> list[bytes]:
    """The content lines as they are sent, folds and all."""
    assert text.endswith(b"\r\n")
    return text.removesuffix(b"\r\n").split(b"\r\n")


def summaries(text: bytes) -> list[str]:
    return [str(e["summary"]) for e in icalendar.Calendar.from_ical(text).walk("VEVENT")]


def with_stage(name: str) -> Feed:
    return replace(FEED, shop=name, dues=(replace(CLAMPS, stage=name),))


def check_by_hand(text: bytes) -> None:
    """RFC 5545: lines of 75 octets at most, ended by CRLF (3.1); what a calendar must hold (3.6, 3.6.1)."""
    for line in lines(text):
        assert len(line) <= 75
        assert not re.search(rb"[\x00-\x08\x0a-\x1f\x7f]", line)
        line.decode("utf-8")  # no fold inside a letter
    unfolded = text.replace(b"\r\n ", b"").decode()
    assert unfolded.startswith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert unfolded.count("\r\nPRODID:") == 1
    for event in unfolded.split("\r\nBEGIN:VEVENT")[1:]:
        for once in ("UID:", "DTSTAMP:", "DTSTART", "SUMMARY:"):
            assert event.count(f"\r\n{once}") == 1, once


def test_what_a_phone_shows() -> None:
    assert summaries(calendar_text(FEED)) == [
        "K7 glue-up: clamps may come off",
        "B4 oiling, 2 of 3: last moment to recoat",
        "D2: promised, must be kept",
        "D2 carving the well: look again",
    ]
    doubtful = replace(FEED, dues=(replace(CLAMPS, role="work", doubtful=True),))
    assert summaries(calendar_text(doubtful)) == ["K7 glue-up: can be worked, joint in doubt"]


def test_instants_are_utc_and_days_are_days() -> None:
    text = calendar_text(FEED).decode()
    assert "DTSTART:20261125T184800Z\r\n" in text
    assert "DTSTART;VALUE=DATE:20261204\r\n" in text
    assert "DTEND;VALUE=DATE:20261205\r\n" in text
    assert "DTEND;VALUE=DATE:20270101\r\n" in text
    assert text.count("DTSTAMP:20261125T182031Z") == text.count("LAST-MODIFIED:20261125T182031Z") == 4
    assert text.count("SEQUENCE:41") == text.count("TRANSP:TRANSPARENT") == 4


def test_the_form_is_that_of_the_standard() -> None:
    for feed in (FEED, with_stage(AWKWARD), replace(FEED, dues=())):
        check_by_hand(calendar_text(feed))


def test_two_readers_read_what_was_meant() -> None:
    text = calendar_text(with_stage(AWKWARD))
    meant = f"K7 {AWKWARD}: clamps may come off"
    assert summaries(text) == [meant]
    other = vobject.readOne(text.decode())
    assert other.vevent.summary.value == meant
    assert other.vevent.dtstart.value == datetime(2026, 11, 25, 18, 48, tzinfo=UTC)
    whole_day = vobject.readOne(calendar_text(replace(FEED, dues=(PROMISED,))).decode())
    assert whole_day.vevent.dtstart.value == date(2026, 12, 4)


@pytest.mark.parametrize(
    "name",
    [
        AWKWARD,
        "=1+1",
        "<script>alert(1)</script>",
        "BEGIN:VEVENT\nEND:VCALENDAR",
        "\x00\x07\r\t\x7f",
        ";:,\\n",
    ],
)
def test_no_name_breaks_out_of_its_line(name: str) -> None:
    text = calendar_text(with_stage(name))
    check_by_hand(text)
    assert len(icalendar.Calendar.from_ical(text).walk("VEVENT")) == 1
    assert len(vobject.readOne(text.decode()).vevent_list) == 1


@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=120))
def test_any_name_comes_back(name: str) -> None:
    text = calendar_text(with_stage(name))
    check_by_hand(text)
    assert summaries(text) == [f"{f'K7 {name}'.strip()}: clamps may come off"]


def test_equal_feeds_give_equal_bytes_and_a_line_keeps_its_uid() -> None:
    text = calendar_text(FEED)
    assert calendar_text(replace(FEED)) == text
    moved = replace(FEED, revision=42, dues=(replace(CLAMPS, at=COAT.at, tag="X9"), *FEED.dues[1:]))
    assert uids(calendar_text(moved)) == uids(text)
    assert len(set(uids(text))) == 4
    assert not set(uids(calendar_text(replace(FEED, made_at=WRITTEN)))) & set(uids(text))


def uids(text: bytes) -> list[str]:
    return [str(e["uid"]) for e in icalendar.Calendar.from_ical(text).walk("VEVENT")]


def test_the_last_day_there_is_has_no_day_after() -> None:
    text = calendar_text(replace(FEED, dues=(replace(PROMISED, on=date.max),)))
    assert b"DTSTART;VALUE=DATE:99991231" in text
    assert b"DTEND" not in text


def test_control_characters_become_spaces() -> None:
    assert plain("a\x07b\tc\nd\x7f") == "a b c\nd "


def test_what_is_planned_is_marked_as_a_plan_and_keeps_its_name_when_it_moves() -> None:
    """Una's glue-up on Thursday from 9 to 10, then moved to Friday: the same event."""
    turn = Turn("plan 1 2  1", "K7", "glue-up", "", datetime(2026, 11, 26, 14, tzinfo=UTC),
                datetime(2026, 11, 26, 15, tzinfo=UTC))  # fmt: skip
    moved = replace(turn, from_at=datetime(2026, 11, 27, 14, tzinfo=UTC), part="round 1 of 2")
    own = replace(FEED, dues=(), whose="Una", turns=(turn,))
    (first,) = icalendar.Calendar.from_ical(calendar_text(own)).walk("VEVENT")
    (second,) = icalendar.Calendar.from_ical(calendar_text(replace(own, turns=(moved,)))).walk("VEVENT")
    assert str(first["uid"]) == str(second["uid"])
    assert (str(first["summary"]), str(first["status"])) == ("Plan: K7 glue-up", "TENTATIVE")
    assert str(second["summary"]) == "Plan: K7 glue-up, round 1 of 2"
    assert str(first["transp"]) == "TRANSPARENT"
    assert (first["dtstart"].dt, first["dtend"].dt) == (turn.from_at, turn.to_at)
    assert summaries(calendar_text(own)) != summaries(calendar_text(FEED))
