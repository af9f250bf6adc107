"""Rows of materials → materials to add, with their price and how hard they are on an edge."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.flows import bring_in_cells as cells
from shoptrack.flows.bring_in_shapes import Already, Found, Judge, Reading, Subject, Ways
from shoptrack.flows.bring_in_sheet import Column, Row
from shoptrack.store.brought_in import ListedMaterial, MaterialLine, add_materials, materials

COLUMNS = (
    Column("material", needed=True),
    Column("unit"),
    Column("price", number=True),
    Column("wear", number=True),
)
GREATEST_WEAR = 100
NO_WEAR = "Where no wear is said, the material starts as hard on an edge as the usual wood (1)."


class _Judge:
    """Says of each material whether it is new, known, or known otherwise."""

    def __init__(self, there: Sequence[ListedMaterial], currency: str, mark: str) -> None:
        self.there = {cells.fold(one.line.name): one for one in there}
        self.currency, self.mark = currency, mark
        self.seen: dict[str, MaterialLine] = {}

    def __call__(self, row: Row) -> Found[MaterialLine] | Already:
        reading = Reading(row)
        line = self._read(reading)
        name = cells.fold(line.name)
        if self.seen.setdefault(name, line) is not line:
            self._refuse_other(reading, self.seen[name], line, "The file has this material twice, with")
            return Already.THERE
        there = self.there.get(name)
        if there is None:
            return Found(line, (NO_WEAR,) if line.wear is None else ())
        if there.retired:
            reading.refuse("material", "This material was put away; take it up again under Shop.")
        self._refuse_other(reading, there.line, line, "This material is there with")
        return Already.THERE

    def _read(self, reading: Reading) -> MaterialLine:
        line = MaterialLine(
            name=reading.read("material", _name, ""),
            unit=reading.read("unit", cells.words, "").strip(),
            cents=reading.read("price", self._cents, None),
            wear=reading.read("wear", self._wear, None),
        )
        reading.settle()
        return line

    def _cents(self, text: str) -> int | None:
        return cells.cents(text, self.mark, self.currency) if text.strip() else None

    def _wear(self, text: str) -> float | None:
        return cells.above_nought(cells.number(text, self.mark), GREATEST_WEAR) if text.strip() else None

    def _refuse_other(self, reading: Reading, there: MaterialLine, line: MaterialLine, so: str) -> None:
        if line.unit and line.unit != there.unit:
            reading.refuse("unit", f"{so} another unit; change it under Shop.")
        if line.cents is not None and line.cents != there.cents:
            reading.refuse("price", f"{so} another price; change it under Shop.")
        if line.wear is not None and line.wear != there.wear:
            reading.refuse("wear", f"{so} another wear; change it under Shop.")
        reading.settle()


def _name(text: str) -> str:
    found = cells.words(text)
    if not found:
        raise BadInput("It is missing.")
    return found


def judging(session: Session, ways: Ways, mark: str) -> Judge[MaterialLine]:
    """The judge of materials against those that the shop has today."""
    return _Judge(list(materials(session, ways.today, ways.now)), ways.currency, mark)


def write(
    session: Session, lines: Sequence[MaterialLine], ways: Ways, who: int | None, now: datetime
) -> None:
    """Add the materials, each with a line of history."""
    add_materials(session, lines, ways.today, who, now)


MATERIALS = Subject("materials", "materials", "material", COLUMNS, judging, write)
