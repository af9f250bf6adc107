"""What the log asks becomes questions with the job and stage they are about, and how cold a joint was."""

from collections.abc import Iterator
from dataclasses import dataclass

from shoptrack.engine.shapes import Question
from shoptrack.flows.shopfloor import Sight

OWN_SHOWN = 2  # questions to a person that may stand above what they have in hand


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with the job and stage it is about; ``coldest_c`` where a joint was too cold."""

    question: Question
    tag: str
    title: str
    stage: str
    coldest_c: float | None


def asked_of(sight: Sight) -> Iterator[Asked]:
    """Every question that is open, soft ones too."""
    for question in sight.questions:
        stage = sight.world.stages.get(question.stages[0]) if question.stages else None
        job = sight.world.jobs.get(stage.job if stage else question.job or 0)
        cold = _coldest_c(sight, question) if question.asks == "doubtful-joint" else None
        tag, title = (job.tag, job.title) if job else ("", "")
        yield Asked(question, tag, title, stage.name if stage else "", cold)


def asked_of_person(sight: Sight, person: int) -> tuple[tuple[Asked, ...], tuple[Asked, ...]]:
    """The questions that only this person can answer, a timer left on first; and what else may be answered.

    The rest are the soft ones to this person, and those that anybody may answer.
    """
    asked = [a for a in asked_of(sight) if a.question.person in (None, person)]
    own = sorted((a for a in asked if a.question.person == person and not a.question.soft), key=_pressing)
    rest = [*own[OWN_SHOWN:], *(a for a in asked if a not in own)]
    return tuple(own[:OWN_SHOWN]), tuple(rest)


def _pressing(asked: Asked) -> tuple[bool, float]:
    return asked.question.asks != "still-on", -asked.question.at.timestamp()


def _coldest_c(sight: Sight, question: Question) -> float | None:
    cures = sight.standings[question.stages[0]].cures
    return next((cured.coldest_c for made, cured in cures if made.entry == question.of), None)
