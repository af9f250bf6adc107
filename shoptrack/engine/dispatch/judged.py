"""A task that could start → whom it takes and whether it may, judged by the minutes that are expected."""

from shoptrack.engine.dispatch.presence import bits, lowest
from shoptrack.engine.dispatch.state import State
from shoptrack.engine.dispatch.tables import ANY_PAUSE, NO_PAUSE, hands_of

NOBODY, NOBODY_HERE = -1, -2
"""Nobody is free for it; nobody could do it before the next time that somebody comes."""
OVERDUE_MIN = 15
"""What is past its expected end is looked for so many minutes from now. Our own."""


def people(state: State, rank: int, now: int, hands: int) -> int:
    """Who of the free takes a task: as few as it needs, those first who may do the least else."""
    t = state.t
    crew, anytime = t.crew[rank], t.pause[rank] == ANY_PAUSE
    if not anytime:
        if not crew:
            until = state.stays if t.pause[rank] == NO_PAUSE else state.days
            return (
                0
                if not t.watched[rank] or (state.here and now + t.expected[rank] <= until[-1])
                else NOBODY_HERE
            )
        hands = _fitting(state, rank, hands, now)
        if (
            hands.bit_count() < crew
            and _fitting(state, rank, t.able[rank] & state.here, now).bit_count() < crew
        ):
            return NOBODY_HERE
    elif not crew:
        return NOBODY_HERE if t.watched[rank] and not state.here else 0
    if hands.bit_count() < crew:
        if crew > 1:
            _wait(state, rank, now)
        return NOBODY
    people = lowest(hands, crew)
    if state.kept_for & people:
        return _between(state, rank, now, hands, people)
    return people


def run(state: State, rank: int, people: int, now: int, work_min: int) -> tuple[int, int]:
    """When the hands and all of a task end that begins now."""
    t = state.t
    if people and not people & (people - 1):
        hands = work_min if t.hands[rank] == t.expected[rank] else hands_of(t, rank, work_min)
        hands_end = now + hands
        if hands_end <= state.stays[people.bit_length() - 1]:
            if hands == work_min:
                return hands_end, hands_end
            if not t.watched[rank]:
                return hands_end, now + work_min
    return t.run(rank, people, now, work_min)


def _fitting(state: State, rank: int, people: int, at: int) -> int:
    """Those of some people who could do it from a minute on before the break that it may not have."""
    t = state.t
    until = state.stays if t.pause[rank] == NO_PAUSE else state.days
    if t.watched[rank] and at + t.expected[rank] > until[-1]:
        return 0
    end, found = at + t.hands[rank], 0
    while people:
        low = people & -people
        if end <= until[low.bit_length() - 1]:
            found |= low
        people ^= low
    return found


def _wait(state: State, rank: int, now: int) -> None:
    """Keep people for a task that needs several, until so many are expected to be free."""
    t = state.t
    able = t.able[rank] & state.here
    if state.kept_for:
        return
    frees = sorted(now if state.free >> bit & 1 else _free_at(state, bit, now) for bit in bits(able))
    if len(frees) < t.crew[rank]:
        return
    at = frees[t.crew[rank] - 1]
    if t.pause[rank] == ANY_PAUSE or _fitting(state, rank, able, at).bit_count() >= t.crew[rank]:
        state.kept_for, state.kept_until = able, at


def _free_at(state: State, bit: int, now: int) -> int:
    rank = state.doing[bit]
    at = state.hands_end.get(rank)
    if at is None:
        t = state.t
        at = state.hands_end[rank] = t.run(rank, state.crew_of[rank], state.begins[rank], t.expected[rank])[0]
    return at if at > now else now + OVERDUE_MIN


def _between(state: State, rank: int, now: int, hands: int, people: int) -> int:
    """Others than those kept, or those kept if they are expected to be back in time."""
    t = state.t
    soon = now + t.hands[rank] <= state.kept_until
    if soon and run(state, rank, people, now, t.expected[rank])[0] <= state.kept_until:
        return people
    others = hands & ~state.kept_for
    return lowest(others, t.crew[rank]) if others.bit_count() >= t.crew[rank] else NOBODY


def air_is_clear(state: State, rank: int, now: int, people: int) -> bool:
    """Whether its dust meets no wet coat, nor one that waits for clean air, and its coat no dust."""
    t, room = state.t, state.t.room[rank]
    if t.wet[rank] and state.dust[room]:
        return False
    if not t.dusty[rank]:
        return True
    if state.wet[room]:
        return False
    if not any(t.wet[other] and other < rank for other in state.airless[room]):
        return True
    return run(state, rank, people, now, t.expected[rank])[1] <= max(state.clear_at[room], now + OVERDUE_MIN)


def open_from(state: State, rank: int, now: int, people: int) -> int:
    """Now, or the end of a time at which one of its resources is closed while it would be held."""
    t = state.t
    end = run(state, rank, people, now, t.expected[rank])[1]
    for kept, uses in ((0, t.uses[rank]), (t.off[rank], t.keeps[rank])):
        for resource, _ in uses:
            for start, stop in t.problem.resources[resource].closed:
                if start < max(end + kept, now + 1) and stop > now:
                    return stop
    return now
