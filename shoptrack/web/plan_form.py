"""The what-if form to the change that it adds, and to what can be chosen in it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from shoptrack.engine.shapes import Overtime
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import Change, DayOff, ExtraPerson, JobFirst, MoreClamps, PinStage
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.shopfloor import Sight
from shoptrack.web import forms
from shoptrack.web.forms import Fields

MOST_STAGES = 80
MOST_CLAMPS = 1000
Options = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """What can be chosen: people, pools of clamps, jobs, and stages as they come in the plan."""

    people: Options
    pools: Options
    jobs: Options
    stages: Options


def choices(sight: Sight, planned: Planned, stage: int | None = None) -> Choices:
    """What can be chosen now; ``stage`` is one that is wanted, however late it is planned."""
    world, tasks = sight.world, planned.laid.problem.tasks
    in_order = dict.fromkeys(tasks[p.task].stage for p in planned.plan.placed if tasks[p.task].begun is None)
    offered = list(in_order)[:MOST_STAGES]
    if stage in in_order and stage not in offered:
        offered.append(stage)
    jobs = sorted((j for j in world.jobs.values() if j.closed_at is None), key=lambda j: j.tag)
    tags = {j.id: j.tag for j in jobs}
    return Choices(
        people=tuple((p.id, p.name) for p in world.people.values() if not p.retired),
        pools=tuple((p.id, p.name) for p in sorted(world.pools.values(), key=lambda p: p.reach_mm)),
        jobs=tuple((j.id, f"{j.tag} {j.title}") for j in jobs),
        stages=tuple((s, f"{tags[world.stages[s].job]} {world.stages[s].name}") for s in offered),
    )


def added(fields: Fields) -> Change | None:
    """The change that a form adds; None where none was sent. Raises BadInput with the field that is wrong."""
    kind = fields.get("add", "")
    if not kind:
        return None
    if kind not in READERS:
        raise BadInput("That can’t be asked here.", "add")
    return READERS[kind](fields)


def _off(fields: Fields) -> Change:
    return DayOff(forms.maybe_id(fields, "off_person", "The person"), _day(fields, "off_on", "The day"))


def _more(fields: Fields) -> Change:
    opens = forms.maybe_clock(fields, "more_opens", "The beginning")
    closes = forms.maybe_clock(fields, "more_closes", "The end")
    if opens is None:
        raise BadInput("The beginning is missing.", "more_opens")
    if closes is None:
        raise BadInput("The end is missing.", "more_closes")
    on = _day(fields, "more_on", "The day")
    return Overtime(forms.maybe_id(fields, "more_person", "The person"), on, opens, closes)


def _one(fields: Fields) -> Change:
    first = _day(fields, "one_from", "The first day")
    return ExtraPerson(first, forms.maybe_day(fields, "one_until", "The last day") or first)


def _clamps(fields: Fields) -> Change:
    pool = _chosen(fields, "clamps_pool", "The reach")
    return MoreClamps(pool, forms.whole(fields, "clamps_count", "How many more", most=MOST_CLAMPS))


def _first(fields: Fields) -> Change:
    return JobFirst(_chosen(fields, "first_job", "The job"))


def _pin(fields: Fields) -> Change:
    stage = _chosen(fields, "pin_stage", "The stage")
    person = forms.maybe_id(fields, "pin_person", "The person")
    return PinStage(stage, _day(fields, "pin_on", "The day"), person)


READERS: dict[str, Callable[[Fields], Change]] = {
    "off": _off,
    "more": _more,
    "one": _one,
    "clamps": _clamps,
    "first": _first,
    "pin": _pin,
}


def _day(fields: Fields, name: str, called: str) -> date:
    found = forms.maybe_day(fields, name, called)
    if found is None:
        raise BadInput(f"{called} is missing.", name)
    return found


def _chosen(fields: Fields, name: str, called: str) -> int:
    found = forms.maybe_id(fields, name, called)
    if found is None:
        raise BadInput(f"{called} is missing.", name)
    return found
