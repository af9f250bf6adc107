"""What a stage waits for, and the line for the tape, in the shop's own time and words."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from shoptrack.flows.bench import Choice, WaitsFor
from shoptrack.flows.in_hand import Tape, tape_of
from shoptrack.flows.shopfloor import Sight
from shoptrack.web.render import DAYS, Wall, clock, listed, short_date, when

TOLD_MOST = 300


def early_words(choice: Choice, now: datetime, wall: Wall) -> str:
    """Why it is too early: "in clamps until 14:10", "waits for milling and glue-up"."""
    not_done = [w.name for w in choice.waits if w.why == "not done"]
    words = [f"no edge on the {listed(choice.no_edge)}"] if choice.no_edge else []
    words += [f"waits for {listed(not_done)}"] if not_done else []
    words += [_wait(w, now, wall) for w in choice.waits if w.why != "not done"]
    if words:
        return ", ".join(words)
    place = "in clamps" if choice.stage.clamps else "drying"
    return f"{place} until {when(choice.until_at, now, wall)}"


def _wait(wait: WaitsFor, now: datetime, wall: Wall) -> str:
    until = f" until {when(wait.until_at, now, wall)}" if wait.until_at or wait.why == "curing" else ""
    if wait.why == "curing":
        return f"{'in clamps' if wait.glue else wait.name + ' dries'}{until}"
    if wait.why == "clamps":
        off_now = wait.until_at is not None and wait.until_at <= now
        short = f"{wait.count} {'clamp' if wait.count == 1 else 'clamps'} short"
        return f"{short}, those of {wait.name} may come off now" if off_now else f"{short}{until}"
    return {
        "doubtful": f"the joint of {wait.name} is in doubt",
        "put aside": f"{wait.name} is put aside",
        "station": f"{wait.name} is on the machine",
    }.get(wait.why, f"waits for {wait.name}")


def told(sight: Sight, stages: Iterable[int], ago_min: float, now: datetime, wall: Wall) -> str:
    """The line to write on tape for stages that were closed some minutes ago."""
    known = [sight.world.stages[s] for s in stages if s in sight.world.stages]
    if not known:
        return ""
    tags = " ".join(dict.fromkeys(sight.world.jobs[s.job].tag for s in known))
    tape = tape_of(sight, known[0], now - timedelta(minutes=ago_min))
    return line_for_tape(tags, tape, now, wall)[:TOLD_MOST]


def line_for_tape(tags: str, tape: Iterable[Tape], now: datetime, wall: Wall) -> str:
    """As in "K7 off 14:10 · flattening Thu 8:00"; days by name, since tape is read on other days too."""
    parts = [f"{part.word} {on_tape(part.at, now, wall)}" for part in tape]
    return f"{tags} {' · '.join(parts)}" if parts else ""


def on_tape(at: datetime, now: datetime, wall: Wall) -> str:
    """An instant as it is written on tape: the time today, else with the day."""
    day, today = wall.local(at).date(), wall.local(now).date()
    if day == today:
        return clock(at, wall)
    named = DAYS[day.weekday()] if 0 < (day - today).days < 7 else short_date(day, today)
    return f"{named} {clock(at, wall)}"
