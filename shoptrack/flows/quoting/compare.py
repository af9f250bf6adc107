"""Two revisions of a quote → what is different from one to the other, line by line."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Literal

from shoptrack.flows.quoting.kept import Kept

Said = int | float | str | None
Unit = Literal["words", "measure", "cents", "minutes", "bp", "day", "days"]


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs: ``what`` it is, of which stage, line or term (``name``), and both values.

    None: it was not there, or is there no longer. ``unit`` says how the values are written; a ``unit_word``
    is the stage's or line's own.
    """

    what: str
    name: str
    before: Said
    after: Said
    unit: Unit
    unit_word: str = ""


_TERMS: Mapping[str, tuple[str, Unit]] = {
    "margin_bp": ("margin", "bp"),
    "waste_bp": ("waste", "bp"),
    "tax_bp": ("tax", "bp"),
    "tax_name": ("name of the tax", "words"),
    "least_cents": ("least charge", "cents"),
    "deposit_bp": ("deposit", "bp"),
    "valid_days": ("days it stands", "days"),
    "hands_cents_per_h": ("an hour of hands", "cents"),
}


def compare(old: Kept, new: Kept) -> tuple[Difference, ...]:
    """What became of a revision in another. Empty: nothing that was said or reckoned differs."""
    every = (_sums, _words, _stages, _foretold, _bought, _charges, _terms)
    return tuple(d for found in every for d in found(old, new) if d.before != d.after)


def _sums(old: Kept, new: Kept) -> Iterator[Difference]:
    yield Difference("price without tax", "", old.sums.price_cents, new.sums.price_cents, "cents")
    yield Difference("price of the work", "", old.sums.work_cents, new.sums.work_cents, "cents")
    worn = (int(kept.worked.wear_cents.p50) for kept in (old, new))
    yield Difference("edges worn", "", next(worn), next(worn), "cents")
    yield Difference("to be paid", "", old.sums.total_cents, new.sums.total_cents, "cents")


def _words(old: Kept, new: Kept) -> Iterator[Difference]:
    for field, what in (("title", "title"), ("words", "words"), ("notes", "notes")):
        yield Difference(what, "", getattr(old.wanted, field), getattr(new.wanted, field), "words")
    yield Difference("pieces", "", old.wanted.pieces, new.wanted.pieces, "measure")
    yield Difference("pattern", "", _pattern(old), _pattern(new), "words")


def _pattern(kept: Kept) -> str | None:
    return f"{kept.made.pattern_name}, revision {kept.made.pattern_number}" if kept.made.pattern else None


def _stages(old: Kept, new: Kept) -> Iterator[Difference]:
    was, becomes = ({(s.position, s.name): s for s in kept.made.stages} for kept in (old, new))
    for key in sorted({*was, *becomes}):
        before, after = was.get(key), becomes.get(key)
        unit = (after or before).unit if (after or before) else ""  # type: ignore[union-attr] # one is there
        yield Difference(
            "measure",
            key[1],
            None if before is None else before.quantity,
            None if after is None else after.quantity,
            "measure",
            unit,
        )


def _foretold(old: Kept, new: Kept) -> Iterator[Difference]:
    """Minutes of the hands that half of such stages stay under."""
    was, becomes = (_middles(kept) for kept in (old, new))
    for key in sorted(set(was) & set(becomes)):
        yield Difference("half under", key[1], was[key], becomes[key], "minutes")


def _middles(kept: Kept) -> dict[tuple[int, str], float]:
    found = kept.reckoned
    return {(w.stage.position, w.stage.name): round(w.worked.hands_min.p50, 1) for w in found if w.worked}


def _bought(old: Kept, new: Kept) -> Iterator[Difference]:
    yield from _paired("bought", old, new, lambda kept: [(line.words, line.cents) for line in kept.bought])


def _charges(old: Kept, new: Kept) -> Iterator[Difference]:
    yield from _paired("charge", old, new, lambda kept: [(c.words or c.kind, c.cents) for c in kept.charges])
    yield from _paired("option", old, new, lambda kept: [(o.words, o.cents) for o in kept.options])
    yield from _paired(
        "option in the total",
        old,
        new,
        lambda kept: [(o.words, o.cents) for o in kept.options if o.in_total],
    )


def _paired(
    what: str, old: Kept, new: Kept, lines: Callable[[Kept], list[tuple[str, int]]]
) -> Iterator[Difference]:
    """Lines of two revisions beside each other by their words; of two with the same words, by their order."""
    was, becomes = (_numbered(lines(kept)) for kept in (old, new))
    for key in [*was, *(key for key in becomes if key not in was)]:
        yield Difference(what, key[0], was.get(key), becomes.get(key), "cents")


def _numbered(lines: list[tuple[str, int]]) -> dict[tuple[str, int], int]:
    found: dict[tuple[str, int], int] = {}
    for words, cents in lines:
        found[words, sum(1 for said, _ in found if said == words)] = cents
    return found


def _terms(old: Kept, new: Kept) -> Iterator[Difference]:
    for field in fields(new.terms):
        what, unit = _TERMS[field.name]
        yield Difference("terms", what, getattr(old.terms, field.name), getattr(new.terms, field.name), unit)
    yield Difference("day of prices", "", old.made.on.isoformat(), new.made.on.isoformat(), "day")
