"""What is left of a stage → the counts in which it is done: a coat, what the clamps hold, what is ready."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, inf

from shoptrack.engine.shapes import ClampNeed, Stage
from shoptrack.flows.planning.resources import Things

MOST_ROUNDS = 60
"""More rounds than this are planned as so many larger ones."""

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Ready:
    """So much of a stage's quantity, counted from its first, may be worked on from minute ``at`` on, or after
    the piece of work numbered ``piece``.
    """

    until: float
    at: int = 0
    piece: int | None = None


def is_coats(stage: Stage) -> bool:
    """Whether its rounds go on over each other: coats of a finish."""
    return stage.rounds and bool(stage.recipes) and stage.recipes[-1][1].kind == "finish"


def in_batches(stage: Stage) -> bool:
    """Whether its rounds are as many pieces as there are clamps for."""
    return not is_coats(stage) and any(need.per_piece for need in stage.clamps)


def rounds_of(stage: Stage, left: float, things: Things, fit: float = inf) -> list[float]:
    """The counts of the rounds in which so much of a stage is done.

    Takes how many pieces ``fit`` into a stretch of work. Method: coats one by one; where clamps are counted
    for each piece, as many pieces at once as the clamps of that reach hold (where they hold none, as many as
    longer ones lend) and as fit; all else at once. Where even one piece wants more clamps than there are, all
    at once too, so that it is said once.
    """
    most = inf
    if is_coats(stage):
        most = 1.0
    elif in_batches(stage) and (held := _held_at_once(stage.clamps, left, things)):
        most = max(1.0, min(held, floor(fit) if fit < inf else fit))
    most = max(most, left / MOST_ROUNDS)
    whole = floor(left / most + _NOTHING)
    counts = [most] * whole
    rest = left - most * whole if whole else left
    return [*counts, rest] if rest > _NOTHING or not counts else counts


def _held_at_once(clamps: Sequence[ClampNeed], left: float, things: Things) -> int:
    """As many pieces as there are clamps for; nought: not even for one."""
    each = [need for need in clamps if need.per_piece and need.count > 0]
    own = [things.owned.get(need.pool, 0) // need.count for need in each]
    for pieces in range(max(1, min([*own, ceil(left)])), 0, -1):
        if things.enough(clamps_held(clamps, pieces)):
            return pieces
    return 0


def clamps_held(clamps: Iterable[ClampNeed], count: float) -> list[tuple[int, int]]:
    """The clamps that a round of so many holds, by pool."""
    return [(c.pool, round(c.count * count) if c.per_piece else c.count) for c in clamps]


def cut(
    counts: Sequence[float], done: float, supplies: Iterable[Sequence[Ready]], most: float
) -> list[float]:
    """Rounds cut again where what they are made of comes round by round.

    Takes the counts after ``done`` of them, and for each stage that is waited for by rounds when how much is
    ready, in this stage's own measure. Method: a round ends where its own would or where whole units have
    come, whichever is sooner; beyond ``most`` rounds only its own ends count.
    """
    ends, at = set[float](), done
    for count in counts:
        at += count
        ends.add(at)
    comes = {
        ready.until
        for supply in supplies
        for ready in supply
        if done + _NOTHING < ready.until < at - _NOTHING
    }
    if len(ends | comes) <= most:
        ends |= comes
    found, last = [], done
    for end in sorted(ends):
        if end - last > _NOTHING:
            found.append(end - last)
            last = end
    return found


def whole_units(supply: Iterable[Ready], before: float, own: float) -> list[Ready]:
    """When how much is ready of a stage of ``before``, as whole units of the ``own`` quantity of the next."""
    scaled = [
        Ready(float(floor(min(1.0, ready.until / (before or 1.0)) * own + _NOTHING)), ready.at, ready.piece)
        for ready in supply
    ]
    if scaled:
        scaled[-1] = Ready(max(scaled[-1].until, own), scaled[-1].at, scaled[-1].piece)
    return scaled


def first_with(supply: Sequence[Ready], until: float) -> Ready | None:
    """The first by which so much is ready, else the last; None: nothing comes."""
    return next((r for r in supply if r.until >= until - _NOTHING), supply[-1] if supply else None)
