"""Planning: who does what, room at stations, overtime, what is awaited, pins, promises and their chances."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _rebuild(
        "shop",
        (
            *("id", "name", "zone", "length_unit", "temperature_unit", "currency", "clock_24h", "is_demo"),
            *("first_day", "holidays_of", "made_at"),
        ),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        sa.Column("length_unit", sa.String(), nullable=False),
        sa.Column("temperature_unit", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("clock_24h", sa.Boolean(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("first_day", sa.String(), nullable=True),
        sa.Column("holidays_of", sa.String(), nullable=True),
        sa.Column("weigh_quotes_bp", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one_row")),
        sa.CheckConstraint("length_unit IN ('in', 'mm')", name=op.f("ck_shop_length_unit")),
        sa.CheckConstraint("temperature_unit IN ('F', 'C')", name=op.f("ck_shop_temperature_unit")),
        sa.CheckConstraint("weigh_quotes_bp BETWEEN 0 AND 10000", name=op.f("ck_shop_weigh_quotes")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    _rebuild(
        "stations",
        (
            *("id", "name", "room_id", "greatest_width_mm", "least_length_mm", "bed_length_mm"),
            *("bed_width_mm", "makes_dust", "retired_at"),
        ),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=True),
        sa.Column("greatest_width_mm", sa.Double(), nullable=True),
        sa.Column("least_length_mm", sa.Double(), nullable=True),
        sa.Column("bed_length_mm", sa.Double(), nullable=True),
        sa.Column("bed_width_mm", sa.Double(), nullable=True),
        sa.Column("makes_dust", sa.Boolean(), nullable=False),
        sa.Column("places", sa.Integer(), nullable=False),
        sa.Column("through_cure", sa.Boolean(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("places >= 1", name=op.f("ck_stations_places")),
        sa.ForeignKeyConstraint(["room_id"], ["rooms.id"], name=op.f("fk_stations_room_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stations")),
        # each was held by one stage at a time, and let go of when its work ended
        places="1",
        through_cure="0",
    )
    op.create_table(
        "overtime",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("opens", sa.Time(), nullable=False),
        sa.Column("closes", sa.Time(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.CheckConstraint("opens < closes", name=op.f("ck_overtime_in_order")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_overtime_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_overtime")),
    )
    op.create_table(
        "never_does",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_never_does_kind_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_never_does_person_id")),
        sa.PrimaryKeyConstraint("person_id", "kind_id", name=op.f("pk_never_does")),
    )
    op.create_table(
        "awaited",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("agreed_on", sa.Date(), nullable=True),
        sa.Column("expected_on", sa.Date(), nullable=True),
        sa.Column("came_on", sa.Date(), nullable=True),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_awaited_job_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_awaited_person_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_awaited_stage_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_awaited")),
    )
    op.create_index(op.f("ix_awaited_job_id"), "awaited", ["job_id"], unique=False)
    op.create_table(
        "stage_pins",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["made_by"], ["people.id"], name=op.f("fk_stage_pins_made_by")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_stage_pins_person_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_stage_pins_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", name=op.f("pk_stage_pins")),
    )
    op.create_table(
        "promises",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_revision_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("draws", sa.Integer(), nullable=False),
        sa.Column("versions", sa.String(), nullable=False),
        sa.Column("head_database", sa.String(), nullable=False),
        sa.Column("head_revision", sa.Integer(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("priority", sa.Text(), nullable=False),
        sa.Column("snapshot", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("draws > 0", name=op.f("ck_promises_draws")),
        sa.ForeignKeyConstraint(
            ["quote_revision_id"], ["quote_revisions.id"], name=op.f("fk_promises_quote_revision_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_promises")),
        sa.UniqueConstraint("quote_revision_id", name=op.f("uq_promises_quote_revision_id")),
    )
    op.create_table(
        "promised_dates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("promised_on", sa.Date(), nullable=False),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("chance", sa.Double(), nullable=True),
        sa.Column("how", sa.String(), nullable=False),
        sa.CheckConstraint("chance BETWEEN 0 AND 1", name=op.f("ck_promised_dates_chance")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_promised_dates_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_promised_dates")),
        sa.UniqueConstraint("job_id", "promised_on", name=op.f("uq_promised_dates_job_id_promised_on")),
    )


def _rebuild(name: str, copied: tuple[str, ...], *parts: sa.schema.SchemaItem, **filled: str) -> None:
    """Make a table anew under its name with its rows: SQLite adds no constraint to a table that is there.

    Takes the columns that are copied, and of each that is new the SQL it is filled with.
    """
    op.create_table(f"new_{name}", *parts)
    into, taken = ", ".join((*copied, *filled)), ", ".join((*copied, *filled.values()))
    op.execute(f"INSERT INTO new_{name} ({into}) SELECT {taken} FROM {name}")
    op.drop_table(name)
    op.rename_table(f"new_{name}", name)


def downgrade() -> None:
    refuse_downgrade()
