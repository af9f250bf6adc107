"""A file of past times → how well each was foretold from those of earlier days, by kind."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np

from shoptrack.engine.durations import fit_shop
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Log
from shoptrack.flows import bring_in_cells as cells
from shoptrack.flows.bring_in_measures import in_unit
from shoptrack.flows.bring_in_past_times import COLUMNS
from shoptrack.flows.bring_in_shapes import Reading, RowWrong
from shoptrack.flows.bring_in_sheet import Row, read_sheet
from shoptrack.flows.bring_in_text import read_text
from shoptrack.flows.first_day.starting_things import KINDS
from tests.bench import baselines
from tests.bench.scores import Tally

LEAST_LOGS, MOST_FITS = 3, 200
"""A time is scored when so many of its kind came before; and the shop is learned anew so often at most."""
POOLED = "all kinds"


@dataclass(frozen=True, slots=True)
class Past:
    """One row: when, its kind as written, its order, and what it teaches."""

    on: date
    kind: str
    order: str
    pattern: str
    unit: str
    log: Log


def read(file: Path, today: date) -> tuple[list[Past], list[str]]:
    """The rows of a file, oldest first, and a sentence for each cell that can't be taken.

    Raises BadInput where the file is no table of past times.
    """
    sheet = read_sheet(read_text(file.read_bytes()).text, COLUMNS)
    units: dict[str, str] = {}
    found, refused = [], []
    for row in sheet.rows:
        try:
            found.append(_past(row, sheet.mark, today, units))
        except RowWrong as refusal:
            refused += [f"row {wrong.row}, {wrong.column}: {wrong.sentence}" for wrong in refusal.wrong]
    return _numbered(sorted(found, key=lambda one: one.on)), refused


def _past(row: Row, mark: str, today: date, units: dict[str, str]) -> Past:
    reading = Reading(row)
    kind, unit = cells.fold(reading.said("kind")), reading.said("unit")
    units.setdefault(kind, unit)
    if not kind:
        reading.refuse("kind", "It is missing.")
    on = reading.read("finished_on", lambda text: cells.day(text, today), today)
    measure = reading.read("measure", lambda text: cells.measure(text, mark), 1.0)
    quantity = reading.read("unit", lambda said: in_unit(measure, said, units[kind]), measure)
    minutes = reading.read("minutes", lambda text: cells.minutes(text, mark), 1.0)
    reading.settle()
    pattern = cells.fold(reading.said("pattern"))
    return Past(on, kind, reading.said("job"), pattern, units[kind], Log(str(row.number), minutes, quantity))


def _numbered(times: Sequence[Past]) -> list[Past]:
    """Each with its pattern's number, and how many earlier orders of that had a stage of its kind."""
    patterns: dict[str, int] = {}
    orders: dict[tuple[str, str], dict[str, int]] = defaultdict(dict)
    found = []
    for one in times:
        if one.pattern:
            own = orders[one.kind, one.pattern]
            number = patterns.setdefault(one.pattern, len(patterns) + 1)
            log = replace(one.log, pattern=number, repeats=own.setdefault(one.order, len(own)))
            one = replace(one, log=log)
        found.append(one)
    return found


def rules(times: Sequence[Past]) -> dict[str, Rule]:
    """A rule of thumb for each kind: the one a shop begins with, else as fast as its first time went."""
    starting = {(cells.fold(kind.name), kind.unit): kind.rule for kind in KINDS}
    starting |= {(cells.fold(k.name), k.metric[0]): k.metric[1] for k in KINDS if k.metric}
    first = {one.kind: one for one in reversed(times)}
    return {
        kind: starting.get((kind, one.unit), Rule(0.0, one.log.minutes / one.log.quantity))
        for kind, one in first.items()
    }


def score(times: Sequence[Past]) -> Tally:
    """Foretell each day's times from those of the days before. Keys are (kind,)."""
    tally, known = Tally(), rules(times)
    numbers = {kind: n for n, kind in enumerate(known)}
    before: dict[str, list[Log]] = defaultdict(list)
    usual_min = {kind: np.median([one.log.minutes for one in times if one.kind == kind]) for kind in known}
    for coming in _stretches(times):
        fits = fit_shop({numbers[kind]: (before[kind], rule) for kind, rule in known.items()})
        for kind, logs in _by_kind(coming).items():
            if len(before[kind]) >= LEAST_LOGS:
                said = {"ours": baselines.ours(fits[numbers[kind]], [_asked(log) for log in logs])}
                quantities = np.array([log.quantity for log in logs])
                said |= baselines.simple(before[kind], known[kind], quantities)
                came = np.array([log.minutes for log in logs])
                tally.add((kind,), said, came, np.full(len(logs), usual_min[kind]))
        for one in coming:
            before[one.kind].append(one.log)
    return tally


def _asked(log: Log) -> tuple[float, int | None, int]:
    return log.quantity, log.pattern, log.repeats


def _stretches(times: Sequence[Past]) -> Iterator[Sequence[Past]]:
    """Whole days, or several in one where there are very many."""
    least, start = max(len(times) // MOST_FITS, 1), 0
    for n in range(1, len(times) + 1):
        if n == len(times) or (n - start >= least and times[n].on != times[n - 1].on):
            yield times[start:n]
            start = n


def _by_kind(times: Sequence[Past]) -> Mapping[str, list[Log]]:
    found: dict[str, list[Log]] = defaultdict(list)
    for one in times:
        found[one.kind].append(one.log)
    return found


def table(file: Path) -> list[str]:
    """The lines by kind and pooled."""
    today = datetime.now(UTC).date()  # noqa: TID251 # a command: here the clock is read
    times, refused = read(file, today)
    tally = score(times)
    lines = [f"{len(times):,} past times, each foretold from earlier days; CRPS, ours ÷ another method's"]
    lines += [f"cells that can’t be read: {len(refused):,}, the first in {refused[0]}"] if refused else []
    lines.append(f"{'':24}{'scored':>7}" + "".join(f"{name:>12}" for name in baselines.METHODS) + _HELD)
    rows = {str(key[0]): [key] for key in tally.scores}
    if not rows:
        return [*lines, f"No kind has more than {LEAST_LOGS} times on different days: nothing to score."]
    return lines + [_line(tally, name, keys) for name, keys in {**rows, POOLED: list(tally.scores)}.items()]


_HELD = f"{'in 80 %':>10}{'in 90 %':>9}{'under P80':>11}"


def _line(tally: Tally, name: str, keys: list[tuple[object, ...]]) -> str:
    held = tally.held(keys)
    ratios = "".join(f"{tally.ratio(keys, method):12.2f}" for method in baselines.METHODS)
    return f"{name[:24]:24}{held.count:7,}{ratios}{held.in_80:10.1%}{held.in_90:9.1%}{held.under_p80:11.1%}"
