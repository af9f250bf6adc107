"""The work: patterns with their revisions, jobs with their stages."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "patterns",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_patterns")),
        sa.UniqueConstraint("name", name=op.f("uq_patterns_name")),
    )
    op.create_table(
        "pattern_revisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pattern_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pattern_id"], ["patterns.id"], name=op.f("fk_pattern_revisions_pattern_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pattern_revisions")),
        sa.UniqueConstraint("pattern_id", "number", name=op.f("uq_pattern_revisions_pattern_id_number")),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("customer", sa.String(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("pattern_revision_id", sa.Integer(), nullable=True),
        sa.Column("promised_on", sa.Date(), nullable=True),
        sa.Column("must_keep", sa.Boolean(), nullable=False),
        sa.Column("price_cents", sa.Integer(), nullable=True),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("pieces > 0", name=op.f("ck_jobs_pieces")),
        sa.ForeignKeyConstraint(
            ["pattern_revision_id"], ["pattern_revisions.id"], name=op.f("fk_jobs_pattern_revision_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_index(op.f("ix_jobs_closed_at"), "jobs", ["closed_at"], unique=False)
    op.create_index(op.f("ix_jobs_tag"), "jobs", ["tag"], unique=False)
    op.create_table(
        "pattern_stages",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("fixed", sa.Double(), nullable=False),
        sa.Column("per_piece", sa.Double(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("rounds", sa.Boolean(), nullable=False),
        sa.Column("attendance", sa.String(), nullable=False),
        sa.Column("interruption", sa.String(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("dusty", sa.Boolean(), nullable=False),
        sa.Column("joint", sa.String(), nullable=True),
        sa.Column("hands_at_min", sa.Text(), nullable=True),
        sa.Column("settings", sa.String(), nullable=False),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("room_id", sa.Integer(), nullable=True),
        sa.Column("recipe_id", sa.Integer(), nullable=True),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "fixed >= 0 AND per_piece >= 0 AND fixed + per_piece > 0", name=op.f("ck_pattern_stages_quantity")
        ),
        sa.CheckConstraint("people >= 1", name=op.f("ck_pattern_stages_people")),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_pattern_stages_kind_id")),
        sa.ForeignKeyConstraint(
            ["material_id"], ["materials.id"], name=op.f("fk_pattern_stages_material_id")
        ),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipes.id"], name=op.f("fk_pattern_stages_recipe_id")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["pattern_revisions.id"], name=op.f("fk_pattern_stages_revision_id")
        ),
        sa.ForeignKeyConstraint(["room_id"], ["rooms.id"], name=op.f("fk_pattern_stages_room_id")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_pattern_stages_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pattern_stages")),
        sa.UniqueConstraint("revision_id", "position", name=op.f("uq_pattern_stages_revision_id_position")),
    )
    op.create_table(
        "pattern_clamps",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("pool_id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("per_piece", sa.Boolean(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_pattern_clamps_count")),
        sa.ForeignKeyConstraint(["pool_id"], ["pools.id"], name=op.f("fk_pattern_clamps_pool_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["pattern_stages.id"], name=op.f("fk_pattern_clamps_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "pool_id", name=op.f("pk_pattern_clamps")),
    )
    op.create_table(
        "pattern_needs",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("needs_id", sa.Integer(), nullable=False),
        sa.Column("by_rounds", sa.Boolean(), nullable=False),
        sa.Column("least_wait_min", sa.Double(), nullable=False),
        sa.Column("greatest_wait_min", sa.Double(), nullable=True),
        sa.CheckConstraint("stage_id <> needs_id", name=op.f("ck_pattern_needs_not_itself")),
        sa.ForeignKeyConstraint(["needs_id"], ["pattern_stages.id"], name=op.f("fk_pattern_needs_needs_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["pattern_stages.id"], name=op.f("fk_pattern_needs_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "needs_id", name=op.f("pk_pattern_needs")),
    )
    op.create_table(
        "pattern_tools",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("tool_id", sa.Integer(), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.CheckConstraint("share > 0 AND share <= 1", name=op.f("ck_pattern_tools_share")),
        sa.ForeignKeyConstraint(["stage_id"], ["pattern_stages.id"], name=op.f("fk_pattern_tools_stage_id")),
        sa.ForeignKeyConstraint(["tool_id"], ["tools.id"], name=op.f("fk_pattern_tools_tool_id")),
        sa.PrimaryKeyConstraint("stage_id", "tool_id", name=op.f("pk_pattern_tools")),
    )
    op.create_table(
        "stages",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("rounds", sa.Boolean(), nullable=False),
        sa.Column("attendance", sa.String(), nullable=False),
        sa.Column("interruption", sa.String(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("dusty", sa.Boolean(), nullable=False),
        sa.Column("joint", sa.String(), nullable=True),
        sa.Column("hands_at_min", sa.Text(), nullable=True),
        sa.Column("settings", sa.String(), nullable=False),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("room_id", sa.Integer(), nullable=True),
        sa.Column("recipe_id", sa.Integer(), nullable=True),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("people >= 1", name=op.f("ck_stages_people")),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_stages_quantity")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_stages_job_id")),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_stages_kind_id")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_stages_material_id")),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipes.id"], name=op.f("fk_stages_recipe_id")),
        sa.ForeignKeyConstraint(["room_id"], ["rooms.id"], name=op.f("fk_stages_room_id")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_stages_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stages")),
        sa.UniqueConstraint("job_id", "position", name=op.f("uq_stages_job_id_position")),
    )
    op.create_table(
        "stage_clamps",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("pool_id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("per_piece", sa.Boolean(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_stage_clamps_count")),
        sa.ForeignKeyConstraint(["pool_id"], ["pools.id"], name=op.f("fk_stage_clamps_pool_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_stage_clamps_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "pool_id", name=op.f("pk_stage_clamps")),
    )
    op.create_table(
        "stage_needs",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("needs_id", sa.Integer(), nullable=False),
        sa.Column("by_rounds", sa.Boolean(), nullable=False),
        sa.Column("least_wait_min", sa.Double(), nullable=False),
        sa.Column("greatest_wait_min", sa.Double(), nullable=True),
        sa.CheckConstraint("stage_id <> needs_id", name=op.f("ck_stage_needs_not_itself")),
        sa.ForeignKeyConstraint(["needs_id"], ["stages.id"], name=op.f("fk_stage_needs_needs_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_stage_needs_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "needs_id", name=op.f("pk_stage_needs")),
    )
    op.create_table(
        "stage_tools",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("tool_id", sa.Integer(), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.CheckConstraint("share > 0 AND share <= 1", name=op.f("ck_stage_tools_share")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_stage_tools_stage_id")),
        sa.ForeignKeyConstraint(["tool_id"], ["tools.id"], name=op.f("fk_stage_tools_tool_id")),
        sa.PrimaryKeyConstraint("stage_id", "tool_id", name=op.f("pk_stage_tools")),
    )


downgrade = refuse_downgrade
