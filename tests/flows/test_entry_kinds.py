"""Taps are read by the registry of kinds, or refused with a sentence."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import FIELDS
from shoptrack.flows.entry_kinds import KINDS, read_tap
from tests.flows.taps import NOW, made

WRONG = [
    (made("start", 1, stages=[11]), "The tap doesn't say who it was."),
    (made("start", 1, person=1), "A start is either on stages or, with a name for it, shop time."),
    (made("start", 1, person=1, stages=[11], text="sweeping"), "A start is either on stages or"),
    (made("start", 1, person=True, stages=[11]), "A person's number is not a number."),
    (made("start", 1, person=1.5, stages=[11]), "A person's number is not a whole number."),
    (made("start", 1, person=1, stages=[11, 11]), "The same stage is named twice."),
    (made("start", 1, person=1, stages=list(range(1, 22))), "More than 20 stages can't be done together."),
    (made("start", 1, person=1, stages="11"), "The stages are not a list."),
    (made("start", 1, person=1, stages=[11], stage=12), "The stage is said twice."),
    (made("start", 1, person=1, stages=[10**400]), "A stage's number is not a number."),
    (made("start", 1, person=1, stages=[11], limit_min=5), "A tap of kind “start” can't carry “limit_min”."),
    (made("start", 1, person=1, stages=[11], ago_min=20161), "How long ago is not from 0 to 20,160."),
    (made("start", 1, person=1, stages=[11], ago_min=-1), "How long ago is not from 0 to 20,160."),
    (made("finish", 1, person=1), "The tap doesn't say which stage."),
    (made("finish", 1, person=1, stages=[11], count=0), "The count is not more than 0."),
    (made("finish", 1, person=1, stages=[11], count=float("inf")), "The count is not a number."),
    (made("closed", 1, person=1, stages=[11, 21], count=3), "A count can be given for one stage only."),
    (made("closed", 1, person=1, stages=[11], told="x" * 301), "What was told is longer than 300 letters."),
    (made("round", 1, person=1, stages=[13]), "The tap doesn't say how many."),
    (made("tended", 1, person=1, stages=[13], choice="polish"), "What was seen to is not one of"),
    (made("help", 1, person=1, stages=[11], helper=1, minutes=20), "Nobody can help themselves."),
    (
        made("help", 1, person=1, stages=[11], helper=2, minutes=6001),
        "The number of minutes is not from 0 to 6,000.",
    ),
    (made("mend", 1, person=1, stages=[11, 12], minutes=5), "This can be said of one stage only."),
    (
        made("spoil", 1, stages=[13], count=3, out_of=2, way_back=12, cause="wood"),
        "More pieces are spoiled than there are.",
    ),
    (
        made("spoil", 1, stages=[13], count=2, out_of=20, way_back=12, cause="gnomes"),
        "The cause is not one of",
    ),
    (made("edge", 1, choice="found dull"), "The tap doesn't say which tool."),
    (made("edge", 1, tool=1, choice="blunt"), "What is said of the edge is not one of: fitted, taken off,"),
    (made("edge", 1, tool=1, choice="fitted"), "The tap doesn't say which edge."),
    (made("edge", 1, tool=1, choice="meter"), "The tap doesn't say what the meter showed."),
    (made("edge", 1, tool=1, choice="meter", minutes=6_000_001), "What the meter showed is not from 0"),
    (made("edge", 1, tool=1, choice="sharpened", minutes=30), "Only a meter is read."),
    (
        made("edge", 1, tool=1, choice="back", look_again_on="2025-03-10"),
        "Only an edge that was sent is expected back.",
    ),
    (made("edge", 1, tool=1, choice="back", stages=[11]), "A tap of kind “edge” can't carry “stages”."),
    (made("strike", 1), "The tap doesn't say which entry it means."),
    (made("put-aside", 1, job=1, stages=[11], reason="lumber"), "The tap means either a whole job or stages"),
    (made("put-aside", 1, job=1, reason="lumber", look_again_on="2025-02-30"), "There is no such day"),
    (made("recount", 1, pool=1, count=2.5), "Clamps are counted whole."),
    (made("temperature", 1, room=1, value_c=151), "The temperature is not from -60 to 150."),
    (made("note", 1, job=1, text="half \ud83d a letter"), "The text has signs in it that can't be kept."),
    (made("note", 1, job=1, text="a\0b"), "The text has signs in it that can't be kept."),
    (made("note", 1, job=1, text="x" * 2001), "The text is longer than 2,000 letters."),
    ({**made("note", 1, job=1, text="x"), "at": "yesterday"}, "A time is not written like"),
    ({**made("note", 1, job=1, text="x"), "at": "2025-02-30T10:00:00Z"}, "There is no such time"),
    ({**made("note", 1, job=1, text="x"), "at": "2025-03-04T10:00:00"}, "A time is not written like"),
    ({**made("note", 1, job=1, text="x"), "id": "short"}, "The tap has no id of 8 to 64"),
    ({**made("note", 1, job=1, text="x"), "seq": -1}, "The tablet's own count is not from 0"),
]


@pytest.mark.parametrize(("sent", "reason"), WRONG, ids=[reason[:40] for _, reason in WRONG])
def test_reasons_are_plain(sent: dict[str, object], reason: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_tap(sent)
    assert str(refused.value).startswith(reason)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize("kind", [None, 5, [], "nap", "x" * 1000, "\ud800"])
def test_a_kind_that_is_none_is_refused(kind: object) -> None:
    with pytest.raises(BadInput, match="is no kind of tap that the book has"):
        read_tap({**made("start", 1, person=1, stages=[11]), "kind": kind})


@pytest.mark.parametrize("name", ["id", "seq", "kind", "at"])
def test_what_every_tap_must_have_is_asked_for(name: str) -> None:
    sent = made("note", 1, job=1, text="x")
    del sent[name]
    with pytest.raises(BadInput):
        read_tap(sent)


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_each_kind_must_have_what_it_must(kind: object) -> None:
    """Taking away any one of a kind's own members that it must have makes it unreadable."""
    assert set(KINDS) == {k.name for k in KINDS.values()}
    for member in KINDS[kind.name].must:  # type: ignore[attr-defined]
        with pytest.raises(BadInput):
            read_tap(made(kind.name, 1, **{m: 1 for m in KINDS[kind.name].must if m != member}))  # type: ignore[attr-defined]


def test_every_member_that_a_kind_allows_can_be_read() -> None:
    for kind in KINDS.values():
        assert kind.allowed - {"kind"} <= FIELDS.keys()


def test_members_are_read_into_their_shapes() -> None:
    """An instant with an offset becomes UTC, a day a date, one stage a list of one, what is empty nothing."""
    sent = made("put-aside", 1, stage=11, reason="lumber", look_again_on="2025-03-10", text="", job=None)
    zone = timezone(timedelta(hours=-5))
    said = read_tap({**sent, "at": datetime(2025, 3, 4, 4, 0, tzinfo=zone).isoformat(), "ago_min": 10.5})
    assert (said.at, said.at.tzinfo) == (NOW, UTC)
    assert (said.stages, said.look_again_on, said.text, said.job) == ((11,), date(2025, 3, 10), "", None)
    assert said.ago_min == 10.5


def test_a_whole_number_may_be_written_with_a_point() -> None:
    assert read_tap(made("start", 1, person=1.0, stages=[11.0])).stages == (11,)
