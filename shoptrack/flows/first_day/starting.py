"""How a starting value is written down: a glue or finish by its generic kind, each mark with its source."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from shoptrack.engine.shapes import Below, Joint, Mark, Role
from shoptrack.store.recipes import MarkSpec, RecipeSpec

H, DAY = 60.0, 24 * 60.0

PRACTICE = "common practice, no source"
MEMORY = "from memory"
WINS = "Starting values: your data sheet wins."


def c_of(f: float) -> float:
    """°C of a temperature that its source gives in °F."""
    return (f - 32) * 5 / 9


@dataclass(frozen=True, slots=True)
class StartingMark:
    """A mark with where its minutes come from; ``joint`` None serves every joint without its own."""

    mark: Mark
    source: str
    joint: Joint | None = None


@dataclass(frozen=True, slots=True)
class StartingRecipe:
    """A glue or finish by its generic kind, as a shop may begin with it.

    ``sources`` says, for what is not a mark (open time, lowest temperature, factor per 10 °C), where the
    value comes from. ``usual``: ticked on the form by itself.
    """

    name: str
    kind: Literal["glue", "finish"]
    marks: tuple[StartingMark, ...]
    sources: tuple[tuple[str, str], ...]
    caution: str
    usual: bool = False
    reference_c: float = 20.0
    q10: float = 2.0
    lowest_c: float | None = None
    below: Below = "slows"
    open_min: float | None = None

    def spec(self) -> RecipeSpec:
        """What is kept of it, with its sources in one line."""
        return RecipeSpec(
            marks=tuple(MarkSpec(m.mark, m.joint) for m in self.marks),
            reference_c=self.reference_c,
            q10=self.q10,
            lowest_c=self.lowest_c,
            below=self.below,
            open_min=self.open_min,
            caution=f"{self.caution} {WINS}".strip(),
            source=self.source,
        )

    @property
    def source(self) -> str:
        """Where its values come from, each source with the values that it is for."""
        said = [(_name(m), m.source) for m in self.marks] + list(self.sources)
        return "; ".join(f"{', '.join(names)}: {source}" for source, names in _by_source(said).items())


def _name(marked: StartingMark) -> str:
    return marked.mark.name + (f" ({marked.joint})" if marked.joint else "")


def _by_source(said: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    by: dict[str, list[str]] = {}
    for name, source in said:
        by.setdefault(source, []).append(name)
    return by


def opens(
    role: Role, name: str, from_min: float, source: str, *, joint: Joint | None = None, caution: str = ""
) -> StartingMark:
    """A mark that is reached and then holds. Takes minutes after closing."""
    return StartingMark(Mark(role, name, from_min, caution=caution), source, joint)


def gate(role: Role, name: str, from_min: float, source: str, *, caution: str = "") -> StartingMark:
    """A mark before which nothing that follows may start. Takes minutes after closing."""
    return StartingMark(Mark(role, name, from_min, gates=True, caution=caution), source)


def recoat(from_min: float, source: str, until_min: float | None = None) -> StartingMark:
    """From when, and perhaps until when, the next coat may go on. Takes minutes after closing."""
    past = "Past it: scuff-sand first." if until_min is not None else ""
    return StartingMark(Mark("recoat", "recoat", from_min, until_min, gates=True, caution=past), source)


def by_hand(role: Role, name: str, from_min: float | None, until_min: float, source: str) -> StartingMark:
    """A mark that must be met by hand before it is over. Takes minutes after closing."""
    return StartingMark(Mark(role, name, from_min, until_min, needs_hands=True), source)
