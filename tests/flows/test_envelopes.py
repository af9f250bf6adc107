"""What is posted becomes an envelope, or is refused as a whole."""

from datetime import UTC, date, datetime

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.envelopes import FORM, fingerprint, parse_envelope, plain, read
from tests.flows.taps import NOW, made

SENT = {"device": "t", "sent_at": "2025-03-04T09:00:00Z", "entries": []}
BROKEN = {
    "nothing": None,
    "a list": [],
    "empty": {},
    "no entries": {k: v for k, v in SENT.items() if k != "entries"},
    "entries no list": {**SENT, "entries": {}},
    "no time": {**SENT, "sent_at": "soon"},
    "no zone": {**SENT, "sent_at": "2025-03-04T09:00:00"},
    "no name": {**SENT, "device": ""},
    "a long name": {**SENT, "device": "x" * 65},
    "a number for a name": {**SENT, "device": 5},
    "the form's name": {**SENT, "device": FORM},
    "too many": {**SENT, "entries": [{}] * 501},
    "one member more": {**SENT, "more": 1},
    "too deep": {**SENT, "entries": [[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]},
}


@pytest.mark.parametrize("body", BROKEN.values(), ids=list(BROKEN))
def test_a_broken_envelope_is_refused(body: object) -> None:
    with pytest.raises(BadInput):
        parse_envelope(body)


def test_an_envelope_is_read_and_may_be_empty() -> None:
    envelope = parse_envelope({**SENT, "sent_at": "2025-03-04T10:00:00+01:00"})
    assert (envelope.device, envelope.sent_at, envelope.entries) == ("t", NOW, ())


def test_what_is_no_object_is_still_an_entry() -> None:
    assert parse_envelope({**SENT, "entries": [5, {"id": "x"}]}).entries == ({"sent": 5}, {"id": "x"})


def test_fingerprints_go_by_content_and_not_by_its_order() -> None:
    tap = made("finish", 1, person=1, stages=[11], count=18)
    assert fingerprint(dict(reversed(tap.items()))) == fingerprint(tap)
    assert all(fingerprint({**tap, k: "other"}) != fingerprint(tap) for k in tap)


def test_a_tablets_time_is_part_of_its_tap_and_a_forms_is_not() -> None:
    one, other = made("start", 1, person=1), {**made("start", 2, person=1), "id": "tap-00001"}
    assert read(one, "t").print != read(other, "t").print
    assert read(one, FORM).print == read(other, FORM).print


def test_a_tap_may_name_its_own_tablet_and_no_other() -> None:
    tap = made("start", 1, person=1, stages=[11])
    assert read({**tap, "device": "t"}, "t").said is not None
    assert read({**tap, "device": "u"}, "t").reason.startswith("The tap names another tablet")


def test_plain_values_can_be_kept_anywhere() -> None:
    odd = {"a\ud800": ["\0", float("inf"), "x" * 5000, date(2025, 3, 4), datetime(2025, 3, 4, tzinfo=UTC)]}
    kept = {"a\ufffd": ["\ufffd", "inf", "x" * 4000 + "…", "2025-03-04", "2025-03-04T00:00:00+00:00"]}
    assert plain(odd) == kept
