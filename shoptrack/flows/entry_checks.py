"""What a tap says, its members read → nothing by each rule across them, or the sentence for what is wrong."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.shapes import DEEDS
from shoptrack.flows.entry_fields import ROLES


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
    tool: int | None = None
    edge: int | None = None
    value_c: float | None = None
    text: str = ""
    told: str = ""
    insisted: bool = False
    goes_on: bool = False


Check = Callable[[Said], str]
"""A rule across members: an empty string, or the sentence that says what is wrong."""


def count_of_one_stage(said: Said) -> str:
    """A count belongs to one stage."""
    if said.count is not None and len(said.stages) != 1:
        return "A count can be given for one stage only."
    return ""


def count_above_nothing(said: Said) -> str:
    """Nothing can be counted that is none."""
    return "The count is not more than 0." if said.count == 0 else ""


def work_or_shop_time(said: Said) -> str:
    """A start is on stages or is shop time, never both."""
    if bool(said.stages) == bool(said.text):
        return "A start is either on stages or, with a name for it, shop time."
    return "Shop time can't be insisted on." if said.insisted and not said.stages else ""


def job_or_stages(said: Said) -> str:
    """What a whole job can be said of is said of it or of stages."""
    if bool(said.stages) == (said.job is not None):
        return "The tap means either a whole job or stages, one of the two."
    return ""


def another_helper(said: Said) -> str:
    """Who helped is somebody else."""
    return "Nobody can help themselves." if said.helper == said.person else ""


def share_spoiled(said: Said) -> str:
    """No more is spoiled than there is."""
    if said.count is not None and said.out_of is not None and said.count > said.out_of:
        return "More pieces are spoiled than there are."
    return ""


def a_mark(said: Said) -> str:
    """What was seen to is a mark of a glue or finish."""
    return "" if said.choice in ROLES else f"What was seen to is not one of: {', '.join(ROLES)}."


def answer_says_it(said: Said) -> str:
    """An answer that is not one of those offered says how long or until when."""
    if said.choice == "other" and said.minutes is None and said.to_at is None:
        return "The answer says neither how many minutes nor until when."
    if said.choice == "worked-until" and said.to_at is None:
        return "The answer doesn't say until when."
    return ""


def whole_clamps(said: Said) -> str:
    """Clamps are counted whole."""
    return "" if said.count is None or said.count.is_integer() else "Clamps are counted whole."


def a_deed(said: Said) -> str:
    """What was done to an edge is one of a few things."""
    return "" if said.choice in DEEDS else f"What is said of the edge is not one of: {', '.join(DEEDS)}."


def fits_an_edge(said: Said) -> str:
    """Which edge was fitted has to be said: all the others can be told from the one that was on the tool."""
    return "The tap doesn't say which edge." if said.choice == "fitted" and said.edge is None else ""


def reads_a_meter(said: Said) -> str:
    """Minutes are the reading of the tool's own meter, and nothing else."""
    if (said.choice == "meter") == (said.minutes is not None):
        return ""
    return "The tap doesn't say what the meter showed." if said.minutes is None else "Only a meter is read."


def away_until(said: Said) -> str:
    """Only what was sent is expected back."""
    if said.look_again_on is not None and said.choice != "sent":
        return "Only an edge that was sent is expected back."
    return ""


COUNTED = (count_of_one_stage, count_above_nothing)

CHECKED: Mapping[Check, str] = {
    count_above_nothing: "count",
    share_spoiled: "count",
    whole_clamps: "count",
    answer_says_it: "minutes",
    fits_an_edge: "edge",
    reads_a_meter: "minutes",
    away_until: "look_again_on",
}
"""The member that a rule finds wrong, where it is one that a hand writes."""
