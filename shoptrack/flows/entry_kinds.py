"""The registry of kinds of taps: what a tap of each kind must and may say, and a sent tap read by it."""

from collections.abc import Mapping
from dataclasses import dataclass

from shoptrack.errors import BadInput
from shoptrack.flows.entry_checks import (
    CHECKED,
    COUNTED,
    Check,
    Said,
    a_deed,
    a_mark,
    another_helper,
    answer_says_it,
    away_until,
    count_above_nothing,
    fits_an_edge,
    job_or_stages,
    reads_a_meter,
    share_spoiled,
    whole_clamps,
    work_or_shop_time,
)
from shoptrack.flows.entry_fields import FIELDS, METER, Field, capital

__all__ = ["KINDS", "LACKS", "Kind", "Said", "read_tap"]


@dataclass(frozen=True)
class Kind:
    """A kind of tap: the members it must and may carry beside those of every tap, and its rules.

    ``stages`` is how many it may speak of; a ``must`` of "stages" means at least one. ``own`` are members
    that are read otherwise here than in other kinds.
    """

    name: str
    means: str
    must: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    stages: int = 20
    checks: tuple[Check, ...] = ()
    own: tuple[Field, ...] = ()
    version: int = 1

    @property
    def allowed(self) -> frozenset[str]:
        """Every member that a tap of this kind may carry."""
        own = {*self.must, *self.may}
        return frozenset({*EVERY_TAP, *own, *({"stage"} if "stages" in own else ())})

    def field(self, name: str) -> Field:
        """How one of its members is read."""
        return next((field for field in self.own if field.name == name), FIELDS[name])


EVERY_TAP = ("id", "seq", "kind", "at", "ago_min", "person")

LACKS = {
    "person": "The tap doesn't say who it was.",
    "stages": "The tap doesn't say which stage.",
    "of": "The tap doesn't say which entry it means.",
    "to_at": "The tap doesn't say when it was.",
    "count": "The tap doesn't say how many.",
    "out_of": "The tap doesn't say out of how many.",
    "minutes": "The tap doesn't say how many minutes.",
    "text": "There is nothing written yet.",
    "tool": "The tap doesn't say which tool.",
    "at": "The tap doesn't say when it was made.",
    "id": "The tap has no id.",
    "seq": "The tap lacks the tablet's own count.",
}


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "start",
            "begins stages, several done together, or shop time; ends the person's other hands-on work",
            ("person",),
            ("stages", "text", "insisted"),
            checks=(work_or_shop_time,),
        ),
        Kind("spread", "glue is being spread: the open time runs", ("stages",)),
        Kind(
            "closed",
            "in the clamps, or the coat is on: the cure begins",
            ("stages",),
            ("count", "told"),
            checks=COUNTED,
        ),
        Kind("round", "a round of it is done", ("stages", "count"), checks=COUNTED),
        Kind(
            "pause",
            "leaves one's own work, or shop time when no stage is named",
            ("person",),
            ("stages", "goes_on"),
        ),
        Kind(
            "finish",
            "the stage is done; the count confirms its measure",
            ("stages",),
            ("count",),
            checks=COUNTED,
        ),
        Kind("unclamp", "clamps off, all or some", ("stages",), ("count",), checks=COUNTED),
        Kind("tended", "a mark that needs hands was seen to", ("stages", "choice"), checks=(a_mark,)),
        Kind(
            "help",
            "minutes that a helper gave",
            ("stages", "helper", "minutes"),
            checks=(another_helper,),
        ),
        Kind(
            "mend",
            "extra minutes and cost, nothing made again",
            ("stages", "minutes"),
            ("cents", "text"),
            stages=1,
        ),
        Kind(
            "spoil",
            "pieces to make again from an earlier stage",
            ("stages", "count", "out_of", "way_back", "cause"),
            ("text",),
            stages=1,
            checks=(count_above_nothing, share_spoiled),
        ),
        Kind(
            "answer",
            "answers a question",
            ("of", "asks", "choice"),
            ("minutes", "to_at", "text"),
            checks=(answer_says_it,),
        ),
        Kind("retime", "moves an entry", ("of", "to_at")),
        Kind("strike", "strikes an entry; a strike can be struck", ("of",)),
        Kind(
            "put-aside",
            "a decision to leave it for now",
            ("reason",),
            ("job", "stages", "look_again_on", "text"),
            checks=(job_or_stages,),
        ),
        Kind("take-up", "no longer put aside", (), ("job", "stages"), checks=(job_or_stages,)),
        Kind("recount", "how many clamps are on the wall", ("pool", "count"), checks=(whole_clamps,)),
        Kind("temperature", "a temperature read in a room", ("room", "value_c")),
        Kind(
            "edge",
            "what was done to an edge of a tool or found of it; without an edge, of the one that was on it",
            ("tool", "choice"),
            ("edge", "minutes", "cents", "look_again_on", "text"),
            checks=(a_deed, fits_an_edge, reads_a_meter, away_until),
            own=(METER,),
        ),
        Kind("note", "a note to a job or to stages", ("text",), ("job", "stages"), checks=(job_or_stages,)),
    )
}
"""Every kind of tap by name; the one list of what the log may hold."""


def read_tap(sent: Mapping[str, object]) -> Said:
    """A tap as it was sent → its members read. Raises BadInput with the sentence for the first thing wrong.

    A member that is null, an empty text or an empty list says nothing and counts as not sent.
    """
    kind = _kind_of(sent)
    given = {k: v for k, v in sent.items() if k == "kind" or not (v is None or v == "" or v == [])}
    _refuse_unknown(kind, given)
    values = {name: _value(kind, name, value) for name, value in given.items() if name != "kind"}
    _gather_stages(values)
    for name in ("id", "seq", "at", *kind.must):
        if name not in values:
            raise BadInput(LACKS.get(name, f"The tap doesn't say {name.replace('_', ' ')}."), name)
    said = Said(kind=kind.name, **values)  # type: ignore[arg-type] # each was read by the field's own reader
    _check(kind, said)
    return said


def _value(kind: Kind, name: str, value: object) -> object:
    try:
        return kind.field(name).read(value)
    except BadInput as problem:
        raise BadInput(str(problem), name) from problem


def _kind_of(sent: Mapping[str, object]) -> Kind:
    name = sent.get("kind")
    kind = KINDS.get(name) if isinstance(name, str) else None
    if kind is None:
        shown = f"“{name}”" if isinstance(name, str) and name.isascii() and 0 < len(name) <= 30 else "this"
        raise BadInput(f"{capital(shown)} is no kind of tap that the book has.", "kind")
    return kind


def _refuse_unknown(kind: Kind, given: Mapping[str, object]) -> None:
    for name in sorted(given):
        if name not in kind.allowed:
            shown = f"“{name}”" if name.isascii() and len(name) <= 30 else "something unknown"
            raise BadInput(f"A tap of kind “{kind.name}” can't carry {shown}.", name)


def _gather_stages(values: dict[str, object]) -> None:
    """One stage may be sent as ``stage``; it is the same as a list of one."""
    if "stage" in values:
        if "stages" in values:
            raise BadInput("The stage is said twice.", "stage")
        values["stages"] = (values.pop("stage"),)


def _check(kind: Kind, said: Said) -> None:
    if len(said.stages) > kind.stages:
        raise BadInput("This can be said of one stage only.", "stages")
    for check in kind.checks:
        sentence = check(said)
        if sentence:
            raise BadInput(sentence, CHECKED.get(check, ""))
