"""What could be done together, and what could cure tonight → those that are worth it, the best first."""

from dataclasses import dataclass

from shoptrack.engine.shapes.planned import Plan, Problem
from shoptrack.engine.together import Together, try_together
from shoptrack.engine.tonight import Night, nights_of


@dataclass(frozen=True, slots=True)
class Group:
    """Tasks that could share a set-up, one of each order, and the set-up minutes in the work of each."""

    tasks: tuple[int, ...]
    setups: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tries:
    """What is to be tried against a plan.

    ``curing`` are tasks that leave something to cure; the last goes home at ``closing``, the first comes
    at ``opening``. Where these are None no night is tried.
    """

    problem: Problem
    plan: Plan
    groups: tuple[Group, ...] = ()
    curing: tuple[int, ...] = ()
    closing: int | None = None
    opening: int | None = None


@dataclass(frozen=True, slots=True)
class Worthwhile:
    """What is worth doing together, and what is worth closing tonight."""

    together: tuple[Together, ...] = ()
    nights: tuple[Night, ...] = ()


def worthwhile(tries: Tries) -> Worthwhile:
    """Try everything.

    Gives groups that move no promised date, those that save most first, and nights by what they gain.
    Empty: nothing to try, or nothing gained. Method: of a group that moves a date the same without its
    last task is tried, down to two.
    """
    found = [one for group in tries.groups if (one := _largest(tries, group)) is not None]
    nights: tuple[Night, ...] = ()
    if tries.closing is not None and tries.opening is not None:
        nights = nights_of(tries.problem, tries.plan, tries.curing, tries.closing, tries.opening)
    return Worthwhile(tuple(sorted(found, key=lambda one: (-one.saved_min, one.tasks))), nights)


def _largest(tries: Tries, group: Group) -> Together | None:
    """The largest part of a group, from its first task on, that moves no date."""
    for count in range(len(group.tasks), 1, -1):
        found = try_together(tries.problem, tries.plan, group.tasks[:count], group.setups[:count])
        if found is not None and found.moves_no_date:
            return found
    return None
