"""The registry of kinds of taps: what a tap of each kind must and may say, and a sent tap read by it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.errors import BadInput
from shoptrack.flows.entry_fields import FIELDS, ROLES, capital


@dataclass(frozen=True, kw_only=True)
class Said:
    """A tap as it was sent, each member read; times are still by the tablet's clock."""

    id: str
    seq: int
    kind: str
    at: datetime
    ago_min: float = 0.0
    person: int | None = None
    stages: tuple[int, ...] = ()
    job: int | None = None
    of: str | None = None
    asks: str = ""
    choice: str = ""
    to_at: datetime | None = None
    count: float | None = None
    out_of: float | None = None
    minutes: float | None = None
    cents: int | None = None
    helper: int | None = None
    way_back: int | None = None
    cause: str = ""
    reason: str = ""
    look_again_on: date | None = None
    room: int | None = None
    pool: int | None = None
    value_c: float | None = None
    text: str = ""
    told: str = ""
    insisted: bool = False
    goes_on: bool = False


Check = Callable[[Said], str]
"""A rule across members: an empty string, or the sentence that says what is wrong."""


@dataclass(frozen=True)
class Kind:
    """A kind of tap: the members it must and may carry beside those of every tap, and its rules.

    ``stages`` is how many it may speak of; a ``must`` of "stages" means at least one.
    """

    name: str
    means: str
    must: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    stages: int = 20
    checks: tuple[Check, ...] = ()
    version: int = 1

    @property
    def allowed(self) -> frozenset[str]:
        """Every member that a tap of this kind may carry."""
        own = {*self.must, *self.may}
        return frozenset({*EVERY_TAP, *own, *({"stage"} if "stages" in own else ())})


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
    "at": "The tap doesn't say when it was made.",
    "id": "The tap has no id.",
    "seq": "The tap lacks the tablet's own count.",
}


def _count_of_one_stage(said: Said) -> str:
    if said.count is not None and len(said.stages) != 1:
        return "A count can be given for one stage only."
    return ""


def _count_above_nothing(said: Said) -> str:
    return "The count is not more than 0." if said.count == 0 else ""


def _work_or_shop_time(said: Said) -> str:
    if bool(said.stages) == bool(said.text):
        return "A start is either on stages or, with a name for it, shop time."
    return "Shop time can't be insisted on." if said.insisted and not said.stages else ""


def _job_or_stages(said: Said) -> str:
    if bool(said.stages) == (said.job is not None):
        return "The tap means either a whole job or stages, one of the two."
    return ""


def _another_helper(said: Said) -> str:
    return "Nobody can help themselves." if said.helper == said.person else ""


def _share_spoiled(said: Said) -> str:
    if said.count is not None and said.out_of is not None and said.count > said.out_of:
        return "More pieces are spoiled than there are."
    return ""


def _a_mark(said: Said) -> str:
    return "" if said.choice in ROLES else f"What was seen to is not one of: {', '.join(ROLES)}."


def _answer_says_it(said: Said) -> str:
    if said.choice == "other" and said.minutes is None and said.to_at is None:
        return "The answer says neither how many minutes nor until when."
    if said.choice == "worked-until" and said.to_at is None:
        return "The answer doesn't say until when."
    return ""


def _whole_clamps(said: Said) -> str:
    return "" if said.count is None or said.count.is_integer() else "Clamps are counted whole."


_COUNTED = (_count_of_one_stage, _count_above_nothing)

CHECKED: Mapping[Check, str] = {
    _count_above_nothing: "count",
    _share_spoiled: "count",
    _whole_clamps: "count",
    _answer_says_it: "minutes",
}
"""The member that a rule finds wrong, where it is one that a hand writes."""

KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "start",
            "begins stages, several done together, or shop time; ends the person's other hands-on work",
            ("person",),
            ("stages", "text", "insisted"),
            checks=(_work_or_shop_time,),
        ),
        Kind("spread", "glue is being spread: the open time runs", ("stages",)),
        Kind(
            "closed",
            "in the clamps, or the coat is on: the cure begins",
            ("stages",),
            ("count", "told"),
            checks=_COUNTED,
        ),
        Kind("round", "a round of it is done", ("stages", "count"), checks=_COUNTED),
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
            checks=_COUNTED,
        ),
        Kind("unclamp", "clamps off, all or some", ("stages",), ("count",), checks=_COUNTED),
        Kind("tended", "a mark that needs hands was seen to", ("stages", "choice"), checks=(_a_mark,)),
        Kind(
            "help",
            "minutes that a helper gave",
            ("stages", "helper", "minutes"),
            checks=(_another_helper,),
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
            checks=(_count_above_nothing, _share_spoiled),
        ),
        Kind(
            "answer",
            "answers a question",
            ("of", "asks", "choice"),
            ("minutes", "to_at", "text"),
            checks=(_answer_says_it,),
        ),
        Kind("retime", "moves an entry", ("of", "to_at")),
        Kind("strike", "strikes an entry; a strike can be struck", ("of",)),
        Kind(
            "put-aside",
            "a decision to leave it for now",
            ("reason",),
            ("job", "stages", "look_again_on", "text"),
            checks=(_job_or_stages,),
        ),
        Kind("take-up", "no longer put aside", (), ("job", "stages"), checks=(_job_or_stages,)),
        Kind("recount", "how many clamps are on the wall", ("pool", "count"), checks=(_whole_clamps,)),
        Kind("temperature", "a temperature read in a room", ("room", "value_c")),
        Kind("note", "a note to a job or to stages", ("text",), ("job", "stages"), checks=(_job_or_stages,)),
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
    values = {name: _value(name, value) for name, value in given.items() if name != "kind"}
    _gather_stages(values)
    for name in ("id", "seq", "at", *kind.must):
        if name not in values:
            raise BadInput(LACKS.get(name, f"The tap doesn't say {name.replace('_', ' ')}."), name)
    said = Said(kind=kind.name, **values)  # type: ignore[arg-type] # each was read by the field's own reader
    _check(kind, said)
    return said


def _value(name: str, value: object) -> object:
    try:
        return FIELDS[name].read(value)
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
