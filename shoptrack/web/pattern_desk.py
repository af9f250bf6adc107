"""A draft of a pattern to the page it is worked on: stages read, the picture, what is wrong beside each."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from shoptrack.errors import BadInput
from shoptrack.flows.pattern_changes import Differences, differences
from shoptrack.flows.patterns import PatternView, Problem, Written
from shoptrack.store.pattern_things import Kind, Thing, Things
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web import forms
from shoptrack.web.order_drawing import OrderSheet, order_of
from shoptrack.web.pattern_draft import Draft, DraftStage, key_of
from shoptrack.web.pattern_fields import read_stage, rows
from shoptrack.web.pattern_words import measured, told
from shoptrack.web.render import Wall

Wrongs = Mapping[str, tuple[BadInput, ...]]

FIELDS = {
    "needs": "need-{}-stage",
    "wait": "need-{}-most",
    "clamps": "clamp-{}-count",
    "tools": "tool-{}-tool",
    "measure": "per_piece",
}
"""The field of the form beside which each kind of problem is said; any other has its own name."""


@dataclass(frozen=True, slots=True)
class Row:
    """A stage in the list beside the draft: its key, name, measure and what it comes after."""

    key: str
    name: str
    measure: str
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """What somebody else saved: revision and name, what they changed, and how the draft differs from it."""

    number: int
    who: str
    theirs: Differences
    ours: Differences
    began_at: int


@dataclass(frozen=True, slots=True)
class Desk:
    """The page of a draft. ``wrong`` by key of stage, "" for what is wrong with the whole."""

    draft: Draft
    things: Things
    rows: tuple[Row, ...]
    order: OrderSheet | None
    wrong: Wrongs = field(default_factory=dict)
    meanwhile: Meanwhile | None = None

    @property
    def opened(self) -> DraftStage | None:
        """The stage that is open."""
        return next((s for s in self.draft.stages if s.key == self.draft.open), None)


def lay_out(
    draft: Draft, things: Things, wall: Wall, wrong: Wrongs | None = None, meanwhile: Meanwhile | None = None
) -> Desk:
    """The page of a draft; where something is wrong and no stage is open, the first wrong one is opened."""
    wrongs = wrong or {}
    wanted = [s.key for s in draft.stages if s.key in wrongs]
    if wanted and draft.open not in wanted:
        draft = replace(draft, open=wanted[0])
    stages = sketched(draft, things, wall)
    names = [stage.name or "new stage" for stage in stages]
    listed = tuple(
        Row(d.key, names[n], measured(s, things), tuple(names[x.position - 1] for x in s.needs))
        for n, (d, s) in enumerate(zip(draft.stages, stages, strict=True))
    )
    return Desk(draft, things, listed, order_of(stages, things), wrongs, meanwhile)


def read_stages(
    draft: Draft, base: Iterable[PatternStage], things: Things, wall: Wall
) -> tuple[tuple[PatternStage, ...], Wrongs]:
    """The stages that were typed, and what is wrong with those that can't be read, by key."""
    saved = {key_of(s, n): s for n, s in enumerate(base, 1)}
    found: list[PatternStage] = []
    wrong: dict[str, tuple[BadInput, ...]] = {}
    for drafted in draft.stages:
        try:
            stage = read_stage(drafted.typed, draft.places, things, wall, saved.get(drafted.key))
            found.append(replace(stage, line=_line(drafted.key)))
        except BadInput as problem:
            wrong[drafted.key] = (problem,)
    return tuple(found), wrong


def _line(key: str) -> int | None:
    return int(key) if key.isascii() and key.isdigit() and len(key) < 7 else None


def sketched(draft: Draft, things: Things, wall: Wall) -> list[PatternStage]:
    """Every stage as far as it can be read, for the list and the picture."""
    return [_sketch(stage, draft.places, things, wall) for stage in draft.stages]


def _sketch(stage: DraftStage, places: Mapping[str, int], things: Things, wall: Wall) -> PatternStage:
    try:
        return read_stage(stage.typed, places, things, wall, None)
    except BadInput:
        kind = stage.typed.get("kind", "")
        keys = [stage.typed.get(f"need-{n}-stage", "") for n in rows(stage.typed, "need")]
        return PatternStage(
            kind=int(kind) if kind.isascii() and kind.isdigit() and len(kind) < 10 else 0,
            name=stage.name,
            fixed=0.0,
            per_piece=0.0,
            needs=tuple(PatternNeed(places[key]) for key in dict.fromkeys(keys) if key in places),
        )


def written(draft: Draft, stages: tuple[PatternStage, ...]) -> Written:
    """What is to be saved. Raises BadInput for the pattern's name or the note."""
    typed = {"pattern_name": draft.name, "note": draft.note}
    return Written(
        name=forms.words(typed, "pattern_name", "The name of the pattern"),
        note=forms.maybe_words(typed, "note", "The note", 1000),
        stages=stages,
        base=draft.base,
    )


def beside(problems: Iterable[Problem], draft: Draft) -> Wrongs:
    """What can't be done, beside the field of the stage that it is about."""
    found: dict[str, tuple[BadInput, ...]] = {}
    for problem in problems:
        key = draft.stages[problem.place - 1].key
        name = FIELDS.get(problem.about, problem.about).format(problem.which)
        found[key] = (*found.get(key, ()), BadInput(problem.sentence, name))
    return found


def meanwhile_of(
    base: PatternView, newest: PatternView, ours: tuple[PatternStage, ...], wall: Wall
) -> Meanwhile:
    """What was saved since a revision, and how what somebody has written differs from it."""
    there = told(newest.stages, newest.things, wall)
    return Meanwhile(
        number=newest.newest,
        who=newest.shown.who,
        theirs=differences(told(base.stages, base.things, wall), there),
        ours=differences(there, told(ours, newest.things, wall)),
        began_at=base.shown.number,
    )


def offered(among: Mapping[int, Kind] | Mapping[int, Thing], chosen: str | None) -> list[tuple[int, str]]:
    """What may be chosen: the things in use, and the chosen one though it is retired since."""
    return [
        (thing.id, f"{thing.name} (no longer used)" if thing.retired else thing.name)
        for thing in among.values()
        if not thing.retired or str(thing.id) == chosen
    ]
