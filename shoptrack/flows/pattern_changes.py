"""Two revisions of a pattern, each stage in words → what was added, taken out and changed, field by field."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Told:
    """A stage in words: its line, its name, and (what, how it is) for all that is said of it."""

    line: int | str
    name: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one stage, as it was and as it became; empty for what is not said."""

    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Changed:
    """A stage with its changes."""

    name: str
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Differences:
    """What is different from one revision to another. ``moved``: stages that lie elsewhere in the list."""

    added: tuple[str, ...]
    taken_out: tuple[str, ...]
    changed: tuple[Changed, ...]
    moved: tuple[str, ...]

    @property
    def none(self) -> bool:
        """Whether both say the same."""
        return not (self.added or self.taken_out or self.changed or self.moved)


def differences(before: Sequence[Told], after: Sequence[Told]) -> Differences:
    """What is different. Stages are the same by their line, whatever their names.

    Empty: of two empty lists nothing is different.
    """
    old, new = {s.line: s for s in before}, {s.line: s for s in after}
    both = [s.line for s in after if s.line in old]
    changed = (Changed(new[line].name, _changes(old[line], new[line])) for line in both)
    return Differences(
        added=tuple(s.name for s in after if s.line not in old),
        taken_out=tuple(s.name for s in before if s.line not in new),
        changed=tuple(c for c in changed if c.changes),
        moved=_moved([s.line for s in before if s.line in new], [new[line] for line in both]),
    )


def _changes(before: Told, after: Told) -> tuple[Change, ...]:
    old, new = dict(before.facts), dict(after.facts)
    found = [Change("name", before.name, after.name)] if before.name != after.name else []
    for what in dict.fromkeys([*new, *old]):
        if old.get(what, "") != new.get(what, ""):
            found.append(Change(what, old.get(what, ""), new.get(what, "")))
    return tuple(found)


def _moved(before: list[int | str], after: list[Told]) -> tuple[str, ...]:
    """The fewest stages that, put elsewhere, turn the old order into the new."""
    places = {line: n for n, line in enumerate(before)}
    stay: tuple[int, ...] = ()
    ending: list[tuple[int, ...]] = []  # of each stage the longest common order that ends with it
    for n, stage in enumerate(after):
        behind = [e for e in ending if places[after[e[-1]].line] < places[stage.line]]
        longest = max(behind, key=lambda order: len(order), default=())
        ending.append((*longest, n))
        stay = max(stay, ending[-1], key=lambda order: len(order))
    return tuple(stage.name for n, stage in enumerate(after) if n not in stay)
