"""What a tablet posted → an envelope of taps, each with its fingerprint and what it says."""

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import read_device, read_instant
from shoptrack.flows.entry_kinds import Said, read_tap

MOST_ENTRIES = 500
DEEPEST = 16
LONGEST_KEPT = 4000
FORM = "form"
"""The device that taps made by plain forms belong to."""


@dataclass(frozen=True)
class Envelope:
    """What one device sent at one time; ``sent_at`` is by its own clock."""

    device: str
    sent_at: datetime
    entries: tuple[Mapping[str, object], ...]


@dataclass(frozen=True)
class Answer:
    """What became of one tap."""

    id: str
    status: Literal["done", "set aside"]
    reason: str = ""


@dataclass(frozen=True)
class Receipt:
    """What became of an envelope, and the head of the database after it."""

    database_id: str
    revision: int
    now: datetime
    answers: tuple[Answer, ...]


@dataclass(frozen=True)
class Tap:
    """One tap as it came: its id, its fingerprint, what it says, or else why that can't be read.

    ``field`` is the member that can't be read, empty for the whole.
    """

    sent: Mapping[str, object]
    id: str
    print: str
    said: Said | None
    reason: str
    field: str = ""


def parse_envelope(body: object) -> Envelope:
    """A decoded JSON value → the envelope. Raises BadInput where the envelope itself is broken.

    What is wrong inside one entry is no matter of the envelope: that entry is set aside later.
    """
    if not isinstance(body, dict) or set(body) != {"device", "sent_at", "entries"}:
        raise BadInput("The message is not {device, sent_at, entries}.")
    entries = body["entries"]
    if not isinstance(entries, list):
        raise BadInput("The entries are not a list.", "entries")
    if len(entries) > MOST_ENTRIES:
        raise BadInput(f"More than {MOST_ENTRIES} entries came in one message.", "entries")
    if _deeper(entries, DEEPEST):
        raise BadInput("The message is nested too deeply.", "entries")
    device = read_device(body["device"])
    if device == FORM:
        raise BadInput(f"No tablet may call itself “{FORM}”.", "device")
    sent = tuple(e if isinstance(e, dict) else {"sent": e} for e in entries)
    return Envelope(device, read_instant(body["sent_at"]), sent)


def read(sent: Mapping[str, object], device: str) -> Tap:
    """One entry of an envelope → a tap, its fingerprint taken over all that was sent.

    A form's tap is the same tap however often the form is sent: its time and number are the server's.
    """
    form = device == FORM
    own = {k: v for k, v in sent.items() if not (form and k in ("at", "seq"))}
    said, reason, field = None, "", ""
    try:
        if sent.get("device", device) != device:
            raise BadInput("The tap names another tablet than the one that sent it.", "device")
        said = read_tap({k: v for k, v in sent.items() if k != "device"})
    except BadInput as problem:
        reason, field = str(problem), problem.field
    id = sent.get("id")
    return Tap(sent, id if isinstance(id, str) else "", fingerprint(own), said, reason, field)


def fingerprint(sent: Mapping[str, object]) -> str:
    """SHA-256 of the canonical JSON of what was sent."""
    text = json.dumps(sent, sort_keys=True, separators=(",", ":"), default=_shown)
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def plain(value: object) -> object:
    """A value as it can be kept for people to read: no half letters, no endless numbers, long text cut."""
    if isinstance(value, str):
        kept = "".join(
            "\ufffd" if c == "\0" or 0xD800 <= ord(c) <= 0xDFFF else c for c in value[:LONGEST_KEPT]
        )
        return kept + "…" if len(value) > LONGEST_KEPT else kept
    if isinstance(value, Mapping):
        return {str(plain(k)): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return _shown(value) if isinstance(value, date) else value


def _shown(value: object) -> str:
    """Dates and instants, which forms give as such, as text."""
    if isinstance(value, date):  # a datetime is one too
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} can't be said in a tap")


def _deeper(value: object, levels: int) -> bool:
    layer = [value]
    while layer and levels > 0:
        lists = [v for v in layer if isinstance(v, list)]
        layer = [x for v in layer if isinstance(v, dict) for x in v.values()] + [x for v in lists for x in v]
        levels -= 1
    return bool(layer)
