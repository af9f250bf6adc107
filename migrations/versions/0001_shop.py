"""The shop: people and hours, rooms, stations, clamps, tools, kinds of stage, glues and finishes."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "head",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("database_id", sa.String(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_head_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_head")),
    )
    op.create_table(
        "materials",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_materials")),
        sa.UniqueConstraint("name", name=op.f("uq_materials_name")),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
    )
    op.create_table(
        "pools",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("reach_mm", sa.Integer(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pools")),
    )
    op.create_table(
        "recipes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("kind IN ('glue', 'finish')", name=op.f("ck_recipes_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipes")),
    )
    op.create_table(
        "rooms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rooms")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        sa.Column("length_unit", sa.String(), nullable=False),
        sa.Column("temperature_unit", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("clock_24h", sa.Boolean(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length_unit IN ('in', 'mm')", name=op.f("ck_shop_length_unit")),
        sa.CheckConstraint("temperature_unit IN ('F', 'C')", name=op.f("ck_shop_temperature_unit")),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "stage_kinds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("attendance", sa.String(), nullable=False),
        sa.Column("interruption", sa.String(), nullable=False),
        sa.Column("dusty", sa.Boolean(), nullable=False),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "attendance IN ('hands-on', 'within earshot', 'none')", name=op.f("ck_stage_kinds_attendance")
        ),
        sa.CheckConstraint(
            "interruption IN ('any', 'lunch', 'none')", name=op.f("ck_stage_kinds_interruption")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stage_kinds")),
        sa.UniqueConstraint("name", name=op.f("uq_stage_kinds_name")),
    )
    op.create_table(
        "days_off",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.CheckConstraint("first_on <= last_on", name=op.f("ck_days_off_in_order")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_days_off_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_days_off")),
    )
    op.create_table(
        "edits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("table_name", sa.String(), nullable=False),
        sa.Column("row_id", sa.Integer(), nullable=False),
        sa.Column("field", sa.String(), nullable=False),
        sa.Column("before", sa.Text(), nullable=True),
        sa.Column("after", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_edits_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_edits")),
    )
    op.create_index(op.f("ix_edits_table_name_row_id"), "edits", ["table_name", "row_id"], unique=False)
    op.create_table(
        "material_wear",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("factor", sa.Double(), nullable=False),
        sa.CheckConstraint("factor > 0", name=op.f("ck_material_wear_factor")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_material_wear_material_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material_wear")),
        sa.UniqueConstraint("material_id", "from_at", name=op.f("uq_material_wear_material_id_from_at")),
    )
    op.create_table(
        "pool_counts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pool_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("owned", sa.Integer(), nullable=False),
        sa.CheckConstraint("owned >= 0", name=op.f("ck_pool_counts_owned")),
        sa.ForeignKeyConstraint(["pool_id"], ["pools.id"], name=op.f("fk_pool_counts_pool_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pool_counts")),
        sa.UniqueConstraint("pool_id", "from_at", name=op.f("uq_pool_counts_pool_id_from_at")),
    )
    op.create_table(
        "recipe_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recipe_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reference_c", sa.Double(), nullable=False),
        sa.Column("q10", sa.Double(), nullable=False),
        sa.Column("lowest_c", sa.Double(), nullable=True),
        sa.Column("below", sa.String(), nullable=False),
        sa.Column("open_min", sa.Double(), nullable=True),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.CheckConstraint("below IN ('slows', 'spoils')", name=op.f("ck_recipe_versions_below")),
        sa.CheckConstraint("q10 >= 1", name=op.f("ck_recipe_versions_q10")),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipes.id"], name=op.f("fk_recipe_versions_recipe_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe_versions")),
        sa.UniqueConstraint("recipe_id", "from_at", name=op.f("uq_recipe_versions_recipe_id_from_at")),
    )
    op.create_table(
        "room_temps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("month", sa.Integer(), nullable=False),
        sa.Column("heated_c", sa.Double(), nullable=False),
        sa.Column("unheated_c", sa.Double(), nullable=False),
        sa.Column("heated_from", sa.Time(), nullable=False),
        sa.Column("heated_until", sa.Time(), nullable=False),
        sa.CheckConstraint("month BETWEEN 1 AND 12", name=op.f("ck_room_temps_month")),
        sa.ForeignKeyConstraint(["room_id"], ["rooms.id"], name=op.f("fk_room_temps_room_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_room_temps")),
        sa.UniqueConstraint("room_id", "from_at", "month", name=op.f("uq_room_temps_room_id_from_at_month")),
    )
    op.create_table(
        "rules_of_thumb",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("setup_min", sa.Double(), nullable=False),
        sa.Column("rate_min", sa.Double(), nullable=False),
        sa.CheckConstraint("setup_min >= 0 AND rate_min >= 0", name=op.f("ck_rules_of_thumb_not_negative")),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_rules_of_thumb_kind_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rules_of_thumb")),
        sa.UniqueConstraint("kind_id", "from_at", name=op.f("uq_rules_of_thumb_kind_id_from_at")),
    )
    op.create_table(
        "stations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=True),
        sa.Column("greatest_width_mm", sa.Double(), nullable=True),
        sa.Column("least_length_mm", sa.Double(), nullable=True),
        sa.Column("bed_length_mm", sa.Double(), nullable=True),
        sa.Column("bed_width_mm", sa.Double(), nullable=True),
        sa.Column("makes_dust", sa.Boolean(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["room_id"], ["rooms.id"], name=op.f("fk_stations_room_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stations")),
    )
    op.create_table(
        "weeks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("opens", sa.Time(), nullable=True),
        sa.Column("closes", sa.Time(), nullable=True),
        sa.CheckConstraint("(opens IS NULL) = (closes IS NULL)", name=op.f("ck_weeks_both_ends")),
        sa.CheckConstraint("opens < closes", name=op.f("ck_weeks_in_order")),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_weeks_weekday")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_weeks_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weeks")),
    )
    op.create_index(op.f("ix_weeks_person_id_from_on"), "weeks", ["person_id", "from_on"], unique=False)
    op.create_table(
        "marks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("joint", sa.String(), nullable=True),
        sa.Column("from_min", sa.Double(), nullable=True),
        sa.Column("until_min", sa.Double(), nullable=True),
        sa.Column("needs_hands", sa.Boolean(), nullable=False),
        sa.Column("gates", sa.Boolean(), nullable=False),
        sa.Column("q10", sa.Double(), nullable=True),
        sa.Column("caution", sa.String(), nullable=False),
        sa.CheckConstraint(
            "joint IN ('plain edge', 'wide face', 'bent or sprung')", name=op.f("ck_marks_joint")
        ),
        sa.CheckConstraint("from_min IS NOT NULL OR until_min IS NOT NULL", name=op.f("ck_marks_an_end")),
        sa.ForeignKeyConstraint(["version_id"], ["recipe_versions.id"], name=op.f("fk_marks_version_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_marks")),
    )
    op.create_table(
        "tools",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_tools_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tools")),
    )
    op.create_table(
        "mark_points",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mark_id", sa.Integer(), nullable=False),
        sa.Column("c", sa.Double(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.CheckConstraint("minutes > 0", name=op.f("ck_mark_points_minutes")),
        sa.ForeignKeyConstraint(["mark_id"], ["marks.id"], name=op.f("fk_mark_points_mark_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mark_points")),
        sa.UniqueConstraint("mark_id", "c", name=op.f("uq_mark_points_mark_id_c")),
    )


downgrade = refuse_downgrade
