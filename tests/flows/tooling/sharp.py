"""A planer with knives in the small shop, and planks that are planed: for tests of edges that are due."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.due import DueOf, Dues
from shoptrack.flows.tooling.dues import refresh_dues
from shoptrack.store.patterns import PatternStage, make_pattern
from shoptrack.store.tables import EdgeKindRow
from shoptrack.store.tools import make_edge, make_tool
from tests.joinery import LONG_AGO, Joinery, at


@dataclass
class Planer:
    """The planer's number, its knives, and the shop that it stands in."""

    joinery: Joinery
    tool: int
    first: int
    spare: int | None

    def deed(self, choice: str, when: datetime, **said: object) -> str:
        """Say what was done to the knives."""
        return self.joinery.tap("edge", when, tool=self.tool, choice=choice, **said)

    def planed(self, minutes: float, weeks: int) -> None:
        """A job planed some Wednesdays ago, which took so many minutes."""
        job = self.joinery.add("plank", "planed", None)
        begun = at("8:00", -7 * weeks)
        self.joinery.tap("start", begun, job["planing"])
        self.joinery.tap("finish", begun + timedelta(minutes=minutes), job["planing"])

    def to_plane(self, boards: int, promised_on: date | None = None, title: str = "planks") -> dict[str, int]:
        """A job with so many boards to plane: a quarter of an hour, and ten minutes each."""
        return self.joinery.add("plank", title, promised_on, boards)

    def dues(self, when: datetime) -> Dues:
        """What is found for the plan of an instant, and kept for the pages."""
        sight = gather(self.joinery.store, when)
        return refresh_dues(self.joinery.store, sight, plan_now(self.joinery.store, sight))

    def due(self, when: datetime) -> DueOf:
        """That of the first set of knives."""
        return next(each for each in self.dues(when).of if each.edge == self.first)


def planer(
    joinery: Joinery,
    *,
    spare: bool = False,
    usual_life_h: float = 12.0,
    away_days: int = 2,
    renew_cents: int = 0,
) -> Planer:
    """Knives that usually last so many hours, put on a year ago, and are sent out."""
    with joinery.store.writing() as session:
        tool = make_tool(session, "planer knives", kind="knives").id
        kind = session.query(EdgeKindRow).one()
        kind.usual_life_h, kind.away_days, kind.renewed = usual_life_h, away_days, "sent"
        kind.renew_cents = renew_cents
        names = ("set A", "set B") if spare else ("set A",)
        edges = [make_edge(session, tool, name, LONG_AGO).id for name in names]
        stages = [PatternStage(joinery.kinds["milling"], "planing", tools=[(tool, 1.0)])]
        joinery.revisions["plank"] = make_pattern(session, "plank", stages=stages, now=LONG_AGO).id
    made = Planer(joinery, tool, edges[0], edges[1] if spare else None)
    made.deed("fitted", datetime(2025, 11, 26, 14, tzinfo=UTC), edge=edges[0])
    return made
