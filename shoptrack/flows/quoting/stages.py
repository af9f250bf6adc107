"""A pattern's revision and pieces, or stages said one by one → the stages of a quote, each foretold."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import StageAsked
from shoptrack.errors import BadInput
from shoptrack.flows.learning import Learned
from shoptrack.flows.quoting.kept import KeptStage
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.flows.quoting.worn import NOT_WORN, Worn, cents_per_h
from shoptrack.flows.rests_on import rests_on
from shoptrack.flows.spoilage import Spoilage
from shoptrack.store.names import station_names
from shoptrack.store.pattern_stages import stages_of
from shoptrack.store.rates import machine_rate
from shoptrack.store.shop import every_kind
from shoptrack.store.tables import PatternRevisionRow, RateRow, StageKindRow

MOST = 1_000_000.0
"""The greatest measure that can be meant."""


@dataclass(frozen=True, slots=True)
class Foreseen:
    """A stage of a quote, and what it is reckoned from; None for a rest, which takes nobody's minutes."""

    kept: KeptStage
    asked: StageAsked | None


@dataclass(frozen=True, slots=True)
class _Plain:
    """A stage before anything is foretold of it; ``field`` is the form's field of its measure."""

    position: int
    kind: StageKindRow
    name: str
    quantity: float
    usual: float | None
    attendance: str
    station: int | None
    field: str
    tools: Sequence[tuple[int, float]] = ()
    material: int | None = None
    people: int = 1

    @property
    def watched(self) -> bool:
        return self.attendance == "within earshot"


@dataclass(frozen=True, slots=True)
class Given:
    """What stages are foretold and priced by: learned times, spoiled work, rates, their day, edges."""

    learned: Learned
    spoiled: Spoilage
    rates: Sequence[RateRow]
    hands_cents_per_h: int
    on: date
    worn: Worn = NOT_WORN


def revision_row(session: Session, wanted: Wanted) -> PatternRevisionRow | None:
    """The revision of the pattern that is quoted; None: no pattern. Raises BadInput for none such."""
    if wanted.revision is None:
        return None
    row = session.get(PatternRevisionRow, wanted.revision)
    if row is None:
        raise BadInput("There is no such pattern.", "pattern")
    return row


def foresee(session: Session, wanted: Wanted, pattern: int | None, given: Given) -> tuple[Foreseen, ...]:
    """The stages of a quote in their order, with what was foretold of each.

    A batch is one order: its measures grow with the pieces, and how often the pattern was made before is
    told by orders. Raises BadInput for a measure that can't be meant, or a kind or place that is not there.
    """
    stages = _stages(session, wanted)
    stations = station_names(session)
    return tuple(_foreseen(stage, pattern, given, stations) for stage in stages)


def _stages(session: Session, wanted: Wanted) -> list[_Plain]:
    kinds = every_kind(session)
    found = _of_pattern(session, wanted, kinds) if wanted.revision is not None else _one_by_one(wanted, kinds)
    for stage in found:
        if not (math.isfinite(stage.quantity) and 0 < stage.quantity <= MOST):
            raise BadInput(f"The measure of “{stage.name}” must be above nought.", stage.field)
    return found


def _of_pattern(session: Session, wanted: Wanted, kinds: Mapping[int, StageKindRow]) -> list[_Plain]:
    stages = list(enumerate(stages_of(session, wanted.revision or 0), start=1))
    if unknown := sorted(set(wanted.measures) - {position for position, _ in stages}):
        raise BadInput(f"The pattern has no stage {unknown[0]}.", f"measure-{unknown[0]}")
    return [
        _Plain(
            position=position,
            kind=kinds[stage.kind],
            name=stage.name,
            quantity=wanted.measures.get(position, stage.fixed + stage.per_piece * wanted.pieces),
            usual=stage.fixed + stage.per_piece * wanted.pieces,
            attendance=stage.attendance or kinds[stage.kind].attendance,
            station=stage.station,
            field=f"measure-{position}",
            tools=tuple(stage.tools),
            material=stage.material,
            people=stage.people,
        )
        for position, stage in stages
    ]


def _one_by_one(wanted: Wanted, kinds: Mapping[int, StageKindRow]) -> list[_Plain]:
    found = []
    for n, stage in enumerate(wanted.stages):
        kind = kinds.get(stage.kind)
        if kind is None:
            raise BadInput("There is no such kind of stage.", f"stage-{n}-kind")
        found.append(
            _Plain(
                position=n + 1,
                kind=kind,
                name=stage.name or kind.name,
                quantity=stage.quantity,
                usual=None,
                attendance=kind.attendance,
                station=stage.station,
                field=f"stage-{n}-quantity",
            )
        )
    return found


def _foreseen(stage: _Plain, pattern: int | None, given: Given, stations: Mapping[int, str]) -> Foreseen:
    rest = stage.attendance == "none" or stage.kind.id not in given.learned.kinds
    hands, machine = (None, None) if rest else _foretold(stage, pattern, given.learned)
    edges = () if rest else given.worn.by(stage.tools, stage.material, stage.people, stage.watched)
    return Foreseen(
        replace(_kept(stage, hands, machine, stations), edges=edges),
        None
        if hands is None
        else replace(_asked(stage, hands, machine, given), wear_cents_per_h=cents_per_h(edges)),
    )


def _foretold(stage: _Plain, pattern: int | None, learned: Learned) -> tuple[Prediction, Prediction | None]:
    hands = learned.foretell(stage.kind.id, stage.quantity, pattern)
    if not stage.watched:
        return hands, None
    return hands, learned.foretell_machine(stage.kind.id, stage.quantity, pattern)


def _kept(
    stage: _Plain, hands: Prediction | None, machine: Prediction | None, stations: Mapping[int, str]
) -> KeptStage:
    unit = stage.kind.unit
    return KeptStage(
        position=stage.position,
        kind=stage.kind.id,
        kind_name=stage.kind.name,
        name=stage.name,
        unit=unit,
        quantity=stage.quantity,
        usual_quantity=stage.usual,
        rest=hands is None,
        watched=stage.watched,
        untested=hands is not None and hands.untested,
        sentence=_sentence(hands, unit, stage.usual is not None),
        machine_sentence=_sentence(machine, unit, stage.usual is not None),
        station=stage.station,
        station_name=stations.get(stage.station or 0, ""),
    )


def _sentence(foretold: Prediction | None, unit: str, patterned: bool) -> str:
    """What it rests on; of a stage without a pattern nothing alike was ever made, so it is untested too."""
    if foretold is None:
        return ""
    return f"{'' if patterned else 'untested: '}{rests_on(foretold, unit, patterned)}"


def _asked(stage: _Plain, hands: Prediction, machine: Prediction | None, given: Given) -> StageAsked:
    rate = None if stage.station is None else machine_rate(given.rates, stage.station, given.on)
    return StageAsked(
        name=stage.name,
        hands=hands,
        machine=machine,
        hands_cents_per_h=given.hands_cents_per_h,
        machine_cents_per_h=rate or 0,
        again_share=given.spoiled.share_of(stage.kind.id),
    )
