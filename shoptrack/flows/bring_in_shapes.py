"""The shapes of bringing in: a file as it was looked through, its rows that come in, and those refused."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from typing import Generic, TypeVar

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_sheet import EXTRA, Column, Row

T = TypeVar("T")
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Ways:
    """How the shop writes things, now, and today by its own calendar."""

    currency: str
    today: date
    now: datetime


@dataclass(frozen=True, slots=True)
class Wrong:
    """One cell that can't be taken: the row's number, the column, and a plain sentence."""

    row: int
    column: str
    sentence: str


class Already(Enum):
    """What is said of a row that the shop has."""

    THERE = "there"


@dataclass(frozen=True, slots=True)
class Found(Generic[T]):
    """A row that can come in, and what is worth knowing of it (said once for all rows alike)."""

    item: T
    notes: tuple[str, ...] = ()


class RowWrong(Exception):
    """A row can't be taken; carries each cell that is wrong."""

    def __init__(self, wrong: Sequence[Wrong]) -> None:
        super().__init__(f"row {wrong[0].row}")
        self.wrong = tuple(wrong)


class Reading:
    """The cells of one row read one after another; what is wrong with each is gathered."""

    def __init__(self, row: Row) -> None:
        self.row = row
        self.wrong: list[Wrong] = []
        if EXTRA in row.cells:
            self.refuse(
                "", "It has more cells than the first row; a comma inside a text needs quotes round it."
            )

    def said(self, column: str) -> str:
        """What stands in a cell; nothing where there is no such column."""
        return self.row.cells.get(column, "")

    def read(self, column: str, parse: Callable[[str], V], empty: V) -> V:
        """What a cell means by ``parse``; ``empty``, and noted as wrong, where that raises BadInput."""
        try:
            return parse(self.said(column))
        except BadInput as wrong:
            self.refuse(column, str(wrong))
            return empty

    def refuse(self, column: str, sentence: str) -> None:
        """Note that a cell is wrong."""
        self.wrong.append(Wrong(self.row.number, column, sentence))

    def settle(self) -> None:
        """Raise RowWrong if any cell was wrong."""
        if self.wrong:
            raise RowWrong(self.wrong)


Judge = Callable[[Row], Found[T] | Already]
"""Says of one row whether it comes in; raises RowWrong."""


@dataclass(frozen=True, slots=True)
class Subject(Generic[T]):
    """A kind of table that can be brought in.

    ``judging`` looks at what the shop has and gives the judge of each row, for a table with a decimal mark;
    ``write`` puts rows into the database in the name of a person.
    """

    name: str
    called: str
    one: str
    columns: tuple[Column, ...]
    judging: Callable[[Session, Ways, str], Judge[T]]
    write: Callable[[Session, Sequence[T], Ways, int | None, datetime], None]


@dataclass(frozen=True, slots=True)
class Look(Generic[T]):
    """A file that was looked through: what comes in, how many rows are there already, what is refused."""

    rows: int
    new: tuple[T, ...]
    already: int
    wrong: tuple[Wrong, ...]
    notes: tuple[str, ...]

    @property
    def refused(self) -> int:
        """How many rows are refused."""
        return len({wrong.row for wrong in self.wrong})


@dataclass(frozen=True, slots=True)
class Progress:
    """How many of the rows were looked at."""

    done: int
    rows: int
