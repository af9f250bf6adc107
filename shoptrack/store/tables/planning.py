"""Tables of what a plan heeds beside jobs and hours, and of what was promised with which chance."""

from datetime import date, datetime, time
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, LargeBinary, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from shoptrack.store.base import Base, Instant, Json


class OvertimeRow(Base):
    """Hours of one day on top of the week, of a person or (NULL) of everybody; they hold on a day off too."""

    __tablename__ = "overtime"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    on_date: Mapped[date]
    opens: Mapped[time]
    closes: Mapped[time]
    reason: Mapped[str] = mapped_column(default="")
    __table_args__ = (CheckConstraint("opens < closes", name="in_order"),)


class NeverDoesRow(Base):
    """A kind of stage that is not a person's to do; without a row everybody does everything."""

    __tablename__ = "never_does"
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id"), primary_key=True)
    kind_id: Mapped[int] = mapped_column(ForeignKey("stage_kinds.id"), primary_key=True)


class AwaitedRow(Base):
    """Something that a job, or (not NULL) one stage of it, waits for and that the shop can't hurry.

    ``agreed_on`` is the day that was agreed, ``expected_on`` the day it is looked for now (NULL: nobody
    knows), ``came_on`` the day it came; ``person_id`` wrote it down.
    """

    __tablename__ = "awaited"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    stage_id: Mapped[int | None] = mapped_column(ForeignKey("stages.id"))
    what: Mapped[str]
    agreed_on: Mapped[date | None]
    expected_on: Mapped[date | None]
    came_on: Mapped[date | None]
    added_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))


class StagePinRow(Base):
    """A stage that is to be begun on a day, by a person or (NULL) by whoever can; ``made_by`` said so."""

    __tablename__ = "stage_pins"
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), primary_key=True)
    on_date: Mapped[date]
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    made_at: Mapped[datetime] = mapped_column(Instant)
    made_by: Mapped[int | None] = mapped_column(ForeignKey("people.id"))


class PromiseRow(Base):
    """What was reckoned of the day by which a revision of a quote can be ready, kept as it was shown.

    ``snapshot`` is the packed problem that ``draws`` were made from with ``seed``, ``priority`` the order in
    which its tasks were planned; ``versions`` are those of the programs that did it, ``head_database`` and
    ``head_revision`` say what they had read. With other versions ``result`` still stands.
    """

    __tablename__ = "promises"
    id: Mapped[int] = mapped_column(primary_key=True)
    quote_revision_id: Mapped[int] = mapped_column(ForeignKey("quote_revisions.id"), unique=True)
    made_at: Mapped[datetime] = mapped_column(Instant)
    seed: Mapped[int]
    draws: Mapped[int]
    versions: Mapped[str]
    head_database: Mapped[str]
    head_revision: Mapped[int]
    result: Mapped[Any] = mapped_column(Json)
    priority: Mapped[Any] = mapped_column(Json)
    snapshot: Mapped[bytes] = mapped_column(LargeBinary)
    __table_args__ = (CheckConstraint("draws > 0", name="draws"),)


class PromisedDateRow(Base):
    """A date that was promised for a job and the chance (0 to 1) that was shown for it then; NULL: none was.

    ``how`` says what the chance rested on.
    """

    __tablename__ = "promised_dates"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    promised_on: Mapped[date]
    said_at: Mapped[datetime] = mapped_column(Instant)
    chance: Mapped[float | None]
    how: Mapped[str] = mapped_column(default="")
    __table_args__ = (
        UniqueConstraint("job_id", "promised_on"),
        CheckConstraint("chance BETWEEN 0 AND 1", name="chance"),
    )
