"""The few wide queries that a snapshot is made of, each gathering several tables as lines of one form."""

from typing import Any

from sqlalchemy import (
    ColumnElement,
    CompoundSelect,
    Date,
    Float,
    Integer,
    Select,
    Time,
    and_,
    cast,
    exists,
    literal,
    null,
    or_,
    select,
    union_all,
)

from shoptrack.store.base import Instant
from shoptrack.store.tables import (
    AwaitedRow,
    CustomerRow,
    DayOffRow,
    EdgeRow,
    EntryStageRow,
    JobRow,
    MarkPointRow,
    MarkRow,
    MaterialWearRow,
    NeverDoesRow,
    OvertimeRow,
    PatternRevisionRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RecipeRow,
    RecipeVersionRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    ShopRow,
    StageClampRow,
    StageKindRow,
    StageNeedRow,
    StagePinRow,
    StageRow,
    StageToolRow,
    StationRow,
    ToolRow,
    WeekRow,
)

NO_INT: ColumnElement[Any] = cast(null(), Integer)
NO_FLOAT: ColumnElement[Any] = cast(null(), Float)
NO_TIME: ColumnElement[Any] = cast(null(), Time)
NO_DAY: ColumnElement[Any] = cast(null(), Date)
NO_INSTANT: ColumnElement[Any] = cast(null(), Instant)


def named_things() -> CompoundSelect[Any]:
    """What the shop has by name: (what, id, name, number, flag, places, stays); the shop names its zone.

    The number is a station's room, a pool's reach, an edge's tool or, on a "never" line, the kind of stage
    that a person does not do; the flag says that a person is retired or that a station makes dust.
    ``places`` and ``stays`` are of stations: how many there is room for, and whether work stays there until
    it may be worked on. Edges are those in use, of tools in use.
    """
    no_place = (NO_INT, literal(False))
    retired = PersonRow.retired_at.is_not(None)
    lines = union_all(
        select(
            literal("person").label("what"),
            PersonRow.id.label("id"),
            PersonRow.name.label("name"),
            NO_INT.label("number"),
            retired.label("flag"),
            NO_INT.label("places"),
            literal(False).label("stays"),
        ),
        select(literal("shop"), ShopRow.id, ShopRow.zone, NO_INT, literal(False), *no_place),
        select(
            literal("station"),
            StationRow.id,
            StationRow.name,
            StationRow.room_id,
            StationRow.makes_dust,
            StationRow.places,
            StationRow.through_cure,
        ),
        select(literal("pool"), PoolRow.id, PoolRow.name, PoolRow.reach_mm, literal(False), *no_place),
        select(literal("room"), RoomRow.id, RoomRow.name, NO_INT, literal(False), *no_place),
        select(literal("tool"), ToolRow.id, ToolRow.name, NO_INT, literal(False), *no_place),
        select(literal("edge"), EdgeRow.id, EdgeRow.name, EdgeRow.tool_id, literal(False), *no_place)
        .join(ToolRow, ToolRow.id == EdgeRow.tool_id)
        .where(EdgeRow.retired_at.is_(None), ToolRow.retired_at.is_(None)),
        select(
            literal("never"),
            NeverDoesRow.person_id,
            literal(""),
            NeverDoesRow.kind_id,
            literal(False),
            *no_place,
        ),
    )
    return lines.order_by("what", "id", "number")


def dated_facts() -> CompoundSelect[Any]:
    """What counts from a date or an instant on, oldest first.

    (what, owner, from_at, from_on, until_on, number, a, b, opens, closes): the number is a month, a
    weekday or clamps owned; a and b are degrees heated and not, or the two parts of a rule of thumb, and a
    is how hard a material is on an edge.
    """
    no_days = (NO_DAY, NO_DAY)
    warmth = select(
        literal("warmth").label("what"),
        RoomTempRow.room_id.label("owner"),
        RoomTempRow.from_at.label("from_at"),
        NO_DAY.label("from_on"),
        NO_DAY.label("until_on"),
        RoomTempRow.month.label("number"),
        RoomTempRow.heated_c.label("a"),
        RoomTempRow.unheated_c.label("b"),
        RoomTempRow.heated_from.label("opens"),
        RoomTempRow.heated_until.label("closes"),
    )
    rule = select(literal("rule"), RuleRow.kind_id, RuleRow.from_at, *no_days, NO_INT)
    wear = select(
        literal("wear"), MaterialWearRow.material_id, MaterialWearRow.from_at, *no_days, NO_INT
    ).add_columns(MaterialWearRow.factor, NO_FLOAT)
    owned = select(literal("owned"), PoolCountRow.pool_id, PoolCountRow.from_at, *no_days, PoolCountRow.owned)
    week = select(literal("week"), WeekRow.person_id, NO_INSTANT, WeekRow.from_on, NO_DAY, WeekRow.weekday)
    off = select(
        literal("off"), DayOffRow.person_id, NO_INSTANT, DayOffRow.first_on, DayOffRow.last_on, NO_INT
    )
    overtime = select(
        literal("overtime"), OvertimeRow.person_id, NO_INSTANT, OvertimeRow.on_date, NO_DAY, NO_INT
    )
    no_parts = (NO_FLOAT, NO_FLOAT)
    return union_all(
        warmth,
        rule.add_columns(RuleRow.setup_min, RuleRow.rate_min, NO_TIME, NO_TIME),
        wear.add_columns(NO_TIME, NO_TIME),
        owned.add_columns(*no_parts, NO_TIME, NO_TIME),
        week.add_columns(*no_parts, WeekRow.opens, WeekRow.closes),
        off.add_columns(*no_parts, NO_TIME, NO_TIME),
        overtime.add_columns(*no_parts, OvertimeRow.opens, OvertimeRow.closes),
    ).order_by("what", "owner", "from_at", "from_on")


def stage_lines(wanted: ColumnElement[bool]) -> Select[*tuple[Any, ...]]:
    """The stages of the wanted jobs with their job and kind; a job without stages has a line without one.

    A stage that was taken out of its job is among them only when the log speaks of it.
    """
    columns = StageRow.__table__.columns
    spoken_of = exists().where(EntryStageRow.stage_id == StageRow.id)
    return (
        select(
            *(column for column in columns if column.name != "job_id"),
            JobRow.id.label("job_id"),
            JobRow.tag,
            JobRow.title,
            CustomerRow.name.label("customer"),
            JobRow.pieces,
            JobRow.promised_on,
            JobRow.must_keep,
            JobRow.added_at,
            JobRow.closed_at,
            PatternRevisionRow.pattern_id,
            StageKindRow.name.label("kind"),
            StageKindRow.unit,
            StageKindRow.caution.label("kind_caution"),
        )
        .select_from(JobRow)
        .join(CustomerRow, CustomerRow.id == JobRow.customer_id)
        .outerjoin(
            StageRow, and_(StageRow.job_id == JobRow.id, or_(StageRow.removed_at.is_(None), spoken_of))
        )
        .outerjoin(StageKindRow, StageKindRow.id == StageRow.kind_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .where(wanted)
        .order_by(JobRow.id, StageRow.position)
    )


def demands(wanted: ColumnElement[bool]) -> CompoundSelect[Any]:
    """What the wanted jobs and their stages need and wait for.

    (what, stage_id, other, number, flag, a, b, words, agreed_on, day_on, came_on). Of a "need", "clamp" and
    "tool" ``other`` is the stage, pool or tool; the number counts clamps; the flag says by rounds or per
    piece; a and b are the least and the greatest wait, or a tool's share. Of "awaited" from outside and of a
    "pin" ``other`` is the job, the number its id or the person, and the day when it is expected, or when the
    stage is to be begun. Of stages that were taken out there is neither.
    """
    of = select(StageRow.id).join(JobRow, JobRow.id == StageRow.job_id).where(wanted)
    no_words = (literal("").label("words"), *(NO_DAY.label(n) for n in ("agreed_on", "day_on", "came_on")))
    need = select(
        literal("need").label("what"),
        StageNeedRow.stage_id.label("stage_id"),
        StageNeedRow.needs_id.label("other"),
        NO_INT.label("number"),
        StageNeedRow.by_rounds.label("flag"),
        StageNeedRow.least_wait_min.label("a"),
        StageNeedRow.greatest_wait_min.label("b"),
    ).add_columns(*no_words)
    clamp = select(
        literal("clamp"),
        StageClampRow.stage_id,
        StageClampRow.pool_id,
        StageClampRow.count,
        StageClampRow.per_piece,
        NO_FLOAT,
        NO_FLOAT,
    ).add_columns(*no_words)
    tool = select(
        literal("tool"),
        StageToolRow.stage_id,
        StageToolRow.tool_id,
        NO_INT,
        literal(False),
        StageToolRow.share,
        NO_FLOAT,
    ).add_columns(*no_words)
    return union_all(
        need.where(StageNeedRow.stage_id.in_(of)),
        clamp.where(StageClampRow.stage_id.in_(of)),
        tool.where(StageToolRow.stage_id.in_(of)),
        *_by_day(select(JobRow.id).where(wanted)),
    ).order_by("what", "stage_id", "other", "number")


def _by_day(of: Select[*tuple[Any, ...]]) -> tuple[Select[*tuple[Any, ...]], Select[*tuple[Any, ...]]]:
    """What some jobs wait for from outside, and their stages that are pinned to a day."""
    no_demand = (literal(False), NO_FLOAT, NO_FLOAT)
    awaited = select(
        literal("awaited"),
        AwaitedRow.stage_id,
        AwaitedRow.job_id,
        AwaitedRow.id,
        *no_demand,
        AwaitedRow.what,
    ).add_columns(AwaitedRow.agreed_on, AwaitedRow.expected_on, AwaitedRow.came_on)
    pin = select(
        literal("pin"),
        StagePinRow.stage_id,
        StageRow.job_id,
        StagePinRow.person_id,
        *no_demand,
        literal(""),
    ).add_columns(NO_DAY, StagePinRow.on_date, NO_DAY)
    return (
        awaited.outerjoin(StageRow, StageRow.id == AwaitedRow.stage_id).where(
            AwaitedRow.job_id.in_(of), StageRow.removed_at.is_(None)
        ),
        pin.join(StageRow, StageRow.id == StagePinRow.stage_id).where(
            StageRow.job_id.in_(of), StageRow.removed_at.is_(None)
        ),
    )


def recipe_lines() -> Select[*tuple[Any, ...]]:
    """Every glue and finish with its versions, their marks and the marks' points, in that order."""
    mark, version = MarkRow.__table__.columns, RecipeVersionRow.__table__.columns
    return (
        select(
            RecipeRow.id.label("recipe"),
            RecipeRow.name.label("recipe_name"),
            RecipeRow.kind,
            *(column.label(f"version_{column.name}") for column in version),
            *(column.label(f"mark_{column.name}") for column in mark),
            MarkPointRow.c,
            MarkPointRow.minutes,
        )
        .select_from(RecipeRow)
        .join(RecipeVersionRow, RecipeVersionRow.recipe_id == RecipeRow.id)
        .outerjoin(MarkRow, MarkRow.version_id == RecipeVersionRow.id)
        .outerjoin(MarkPointRow, MarkPointRow.mark_id == MarkRow.id)
        .order_by(RecipeRow.id, RecipeVersionRow.from_at, MarkRow.id, MarkPointRow.c)
    )
