"""Work that is only offered → the stages it would have as a job, in the shapes of the engine, with no row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Attendance, Dated, Interruption, Need, Recipe, Rule, Stage
from shoptrack.store.gathered import recipe_lines
from shoptrack.store.narrowed import Narrower
from shoptrack.store.pattern_stages import settled, stages_of
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.store.rules import dated_rules
from shoptrack.store.tables import StageKindRow


@dataclass(frozen=True, slots=True)
class Offered:
    """A stage that is offered without a pattern: its kind, its measure, the station it holds."""

    kind: int
    name: str
    quantity: float
    station: int | None = None


def stages_like(
    session: Session, revision: int, quantities: Mapping[int, float], pieces: int, job: int, first: int
) -> tuple[Stage, ...]:
    """The stages that a job made from a pattern's revision would have.

    Takes the measures that differ by position; stages are numbered from ``first`` on. Empty: no revision.
    """
    written = [settled(session, stage) for stage in stages_of(session, revision)]
    measures = [
        quantities.get(place, stage.fixed + stage.per_piece * pieces)
        for place, stage in enumerate(written, 1)
    ]
    return _shaped(session, written, measures, job, first)


def stages_said(session: Session, said: Sequence[Offered], job: int, first: int) -> tuple[Stage, ...]:
    """The stages that a job of stages said one by one would have, each waiting for the one before."""
    written = [
        settled(
            session,
            PatternStage(
                kind=one.kind,
                name=one.name,
                station=one.station,
                needs=(PatternNeed(place),) if place else (),
            ),
        )
        for place, one in enumerate(said)
    ]
    return _shaped(session, written, [one.quantity for one in said], job, first)


def _shaped(
    session: Session, written: Sequence[PatternStage], measures: Sequence[float], job: int, first: int
) -> tuple[Stage, ...]:
    kinds = {row.id: row for row in session.scalars(select(StageKindRow))}
    rules, narrower = dated_rules(session), Narrower(session.execute(recipe_lines()).all())
    return tuple(
        _stage(place, stage, quantity, job, first, kinds[stage.kind], rules.get(stage.kind, ()), narrower)
        for place, (stage, quantity) in enumerate(zip(written, measures, strict=True), 1)
    )


def _stage(
    place: int,
    stage: PatternStage,
    quantity: float,
    job: int,
    first: int,
    kind: StageKindRow,
    rule: Dated[Rule],
    narrower: Narrower,
) -> Stage:
    recipes: Dated[Recipe] = () if stage.recipe is None else narrower.for_joint(stage.recipe, stage.joint)
    return Stage(
        id=first + place - 1,
        job=job,
        position=place,
        kind=kind.name,
        name=stage.name or kind.name,
        unit=kind.unit,
        quantity=quantity,
        rule=rule,
        attendance=cast(Attendance, stage.attendance),
        interruption=cast(Interruption, stage.interruption),
        rounds=stage.rounds,
        needs=tuple(
            Need(first + n.position - 1, n.by_rounds, n.least_wait_min, n.greatest_wait_min)
            for n in stage.needs
        ),
        station=stage.station,
        room=stage.room,
        clamps=tuple(stage.clamps),
        tools=tuple(tool for tool, _ in stage.tools),
        recipes=recipes,
        people=stage.people,
        dusty=bool(stage.dusty),
        hands_at_min=tuple(stage.hands_at_min),
        kind_id=stage.kind,
        material=stage.material,
    )
