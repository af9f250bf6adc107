"""The lines of history → what each is about, by name: page by page, or all of one thing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, or_, select
from sqlalchemy.orm import Session

from shoptrack.store.base import Base
from shoptrack.store.names import people_names
from shoptrack.store.tables import (
    AwaitedRow,
    CostRow,
    EditRow,
    ExtraRow,
    JobRow,
    LastTimeRow,
    LogAnswerRow,
    MarkRow,
    MaterialPriceRow,
    MaterialRow,
    MaterialWearRow,
    PastTimeRow,
    PersonRow,
    PhotoRow,
    PoolCountRow,
    PoolRow,
    QuoteRow,
    RateRow,
    RecipeRow,
    RecipeVersionRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    StageKindRow,
    StageRow,
    StationRow,
    WeekRow,
)

_CHILDREN: dict[type[Base], tuple[tuple[type[Base], str], ...]] = {
    PersonRow: ((WeekRow, "person_id"), (RateRow, "person_id")),
    StationRow: ((RateRow, "station_id"),),
    PoolRow: ((PoolCountRow, "pool_id"),),
    RoomRow: ((RoomTempRow, "room_id"),),
    MaterialRow: ((MaterialWearRow, "material_id"), (MaterialPriceRow, "material_id")),
    StageKindRow: ((RuleRow, "kind_id"),),
    RecipeRow: ((RecipeVersionRow, "recipe_id"),),
    PastTimeRow: ((LogAnswerRow, "past_time_id"),),
}
_OWNERS: dict[str, tuple[type[Base], str]] = {
    child.__tablename__: (owner, column)
    for owner, children in _CHILDREN.items()
    for child, column in children
    if child is not RateRow
}


_PARTS: dict[type[Any], str] = {
    AwaitedRow: "awaited",
    CostRow: "cost",
    ExtraRow: "extra",
    LastTimeRow: "kept for next time",
    LogAnswerRow: "time that looked wrong",
    PhotoRow: "photo",
    QuoteRow: "quote",
}


@dataclass(frozen=True, slots=True)
class Changed:
    """One change: who and when, the table and the name of the thing, the field as it was and became.

    ``since`` is the instant or day from which the value counts, where the row says one.
    """

    at: datetime
    who: str | None
    table: str
    row_id: int
    name: str
    field: str
    before: Any
    after: Any
    why: str | None
    since: datetime | date | None


def changes_of(session: Session, row: Any) -> tuple[Changed, ...]:
    """All that was changed in a thing and in what was said of it by date, newest first."""
    return _changed(session, session.scalars(_newest(lines_about(row))).all())


def lines_about(row: Any) -> ColumnElement[bool]:
    """Which lines of history speak of a thing, or of what was said of it by date."""
    wanted = [and_(EditRow.table_name == row.__tablename__, EditRow.row_id == row.id)]
    for child, column in _CHILDREN.get(type(row), ()):
        own = select(child.__table__.c.id).where(child.__table__.c[column] == row.id)
        wanted.append(and_(EditRow.table_name == child.__tablename__, EditRow.row_id.in_(own)))
    return or_(*wanted)


def lines_about_week(person: int | None) -> ColumnElement[bool]:
    """Which lines of history speak of the working week of a person, or of the shop."""
    own = select(WeekRow.id).where(WeekRow.person_id.is_not_distinct_from(person))
    return and_(EditRow.table_name == WeekRow.__tablename__, EditRow.row_id.in_(own))


def changes(session: Session, tables: Iterable[str], limit: int, offset: int = 0) -> tuple[Changed, ...]:
    """Some of all changes, newest first; of these tables alone where any are named."""
    names = list(tables)
    wanted = EditRow.table_name.in_(names) if names else EditRow.id.is_not(None)
    return _changed(session, session.scalars(_newest(wanted).limit(limit).offset(offset)).all())


def changed_tables(session: Session) -> frozenset[str]:
    """The tables in which anything was ever changed."""
    return frozenset(session.scalars(select(EditRow.table_name).distinct()))


def _newest(wanted: ColumnElement[bool]) -> Any:
    return select(EditRow).where(wanted).order_by(EditRow.at.desc(), EditRow.id.desc())


def _changed(session: Session, edits: Sequence[EditRow]) -> tuple[Changed, ...]:
    people = people_names(session)
    return tuple(_line(session, people, edit) for edit in edits)


def _line(session: Session, people: dict[int, str], edit: EditRow) -> Changed:
    table = _TABLES.get(edit.table_name)
    row: Any = session.get(table, edit.row_id) if table is not None else None
    thing: Any = _owner(session, row)
    since = getattr(row, "from_at", None) or getattr(row, "from_on", None)
    return Changed(
        at=edit.at,
        who=None if edit.person_id is None else people.get(edit.person_id),
        table=edit.table_name,
        row_id=edit.row_id,
        name=_of_a_job(session, row) or _name(thing),
        field=edit.field,
        before=_named(session, table, edit.field, edit.before),
        after=_named(session, table, edit.field, edit.after),
        why=edit.why,
        since=since if edit.field != "made" else None,
    )


def _owner(session: Session, row: Any) -> Any:
    """The thing that a row speaks of: itself, or what it says something of by date."""
    found = _OWNERS.get(row.__tablename__) if row is not None else None
    if isinstance(row, RateRow):
        found = (StationRow, "station_id") if row.what == "machine" else (PersonRow, "person_id")
    if found is None:
        return row
    owner, column = found
    id_ = getattr(row, column)
    return session.get(owner, id_) if id_ is not None else None


def _named(session: Session, table: type[Any] | None, field: str, value: Any) -> Any:
    """The name of the thing that an id stands for, other values as they are."""
    column = table.__table__.columns.get(field) if table is not None else None
    if column is None or not column.foreign_keys or not isinstance(value, int):
        return value
    meant = _TABLES.get(next(iter(column.foreign_keys)).column.table.name)
    row = session.get(meant, value) if meant is not None else None
    return _name(row) or value


def _of_a_job(session: Session, row: Any) -> str:
    """The tag of the job, the stage and the word for what belongs to a job; nothing for what does not."""
    stage = row if isinstance(row, StageRow) else session.get(StageRow, getattr(row, "stage_id", None) or 0)
    job = session.get(JobRow, getattr(stage or row, "job_id", None) or 0)
    if job is None:
        return ""
    parts = (job.tag, stage.name if stage is not None else "", _PARTS.get(type(row), ""))
    return " ".join(part for part in parts if part)


def _name(thing: Any) -> str:
    for column in ("tag", "name", "title", "reason", "stage"):
        said = getattr(thing, column, None)
        if said and isinstance(said, str):
            return said
    return ""


_TABLES: dict[str, type[Any]] = {
    mapper.class_.__tablename__: mapper.class_
    for mapper in Base.registry.mappers
    if mapper.class_ is not MarkRow
}
