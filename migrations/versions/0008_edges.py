"""Edges: their kinds, each edge of a tool, the stretches that tools were at work, and machine programs."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

USUAL_LIFE_H = 20
"""What an edge of an unknown kind is given to begin with, as a starting value that the shop says better."""


def upgrade() -> None:
    op.create_table(
        "edge_kinds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("renewed", sa.String(), nullable=False),
        sa.Column("usual_life_h", sa.Double(), nullable=False),
        sa.Column("away_days", sa.Integer(), nullable=False),
        sa.Column("renew_cents", sa.Integer(), nullable=False),
        sa.Column("dull_cents", sa.Integer(), nullable=False),
        sa.Column("most_renewals", sa.Integer(), nullable=True),
        sa.Column("starting", sa.Boolean(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "renewed IN ('sent', 'here', 'turned', 'replaced')", name=op.f("ck_edge_kinds_renewed")
        ),
        sa.CheckConstraint("usual_life_h > 0", name=op.f("ck_edge_kinds_usual_life")),
        sa.CheckConstraint("away_days >= 0", name=op.f("ck_edge_kinds_away_days")),
        sa.CheckConstraint("most_renewals >= 0", name=op.f("ck_edge_kinds_most_renewals")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_edge_kinds")),
        sa.UniqueConstraint("name", name=op.f("uq_edge_kinds_name")),
    )
    op.execute(
        "INSERT INTO edge_kinds (name, renewed, usual_life_h, away_days, renew_cents, dull_cents, starting) "
        f"SELECT DISTINCT kind, 'sent', {USUAL_LIFE_H}, 0, 0, 0, true FROM tools ORDER BY kind"
    )
    _rebuild_tools()
    op.create_index(op.f("ix_stage_tools_tool_id"), "stage_tools", ["tool_id"], unique=False)
    op.create_table(
        "edges",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tool_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["tool_id"], ["tools.id"], name=op.f("fk_edges_tool_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_edges")),
        sa.UniqueConstraint("tool_id", "name", name=op.f("uq_edges_tool_id_name")),
    )
    op.create_table(
        "worked",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("redo", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("start_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("end_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.CheckConstraint("minutes >= 0", name=op.f("ck_worked_minutes")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_worked_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "redo", "place", name=op.f("pk_worked")),
    )
    op.create_index(op.f("ix_worked_end_at"), "worked", ["end_at"], unique=False)
    _make_programs()


def _rebuild_tools() -> None:
    """Tools name the kind of their edge; SQLite adds no constraint to a table that is there."""
    op.create_table(
        "new_tools",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("flute_mm", sa.Double(), nullable=True),
        sa.Column("usual_life_h", sa.Double(), nullable=True),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("flute_mm > 0", name=op.f("ck_tools_flute")),
        sa.CheckConstraint("usual_life_h > 0", name=op.f("ck_tools_usual_life")),
        sa.ForeignKeyConstraint(["kind_id"], ["edge_kinds.id"], name=op.f("fk_tools_kind_id")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_tools_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tools")),
    )
    op.execute(
        "INSERT INTO new_tools (id, name, kind_id, station_id, retired_at) "
        "SELECT tools.id, tools.name, edge_kinds.id, tools.station_id, tools.retired_at "
        "FROM tools JOIN edge_kinds ON edge_kinds.name = tools.kind"
    )
    op.drop_table("tools")
    op.rename_table("new_tools", "tools")


def _make_programs() -> None:
    op.create_table(
        "routers",
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("dwell_unit", sa.String(), nullable=False),
        sa.Column("starts_in", sa.String(), nullable=False),
        sa.Column("knows_70_71", sa.Boolean(), nullable=False),
        sa.Column("rapid_mm_min", sa.Double(), nullable=False),
        sa.Column("tool_change_s", sa.Double(), nullable=False),
        sa.CheckConstraint("dwell_unit IN ('seconds', 'milliseconds')", name=op.f("ck_routers_dwell_unit")),
        sa.CheckConstraint("starts_in IN ('mm', 'inch')", name=op.f("ck_routers_starts_in")),
        sa.CheckConstraint("rapid_mm_min > 0 AND tool_change_s >= 0", name=op.f("ck_routers_rates")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_routers_station_id")),
        sa.PrimaryKeyConstraint("station_id", name=op.f("pk_routers")),
    )
    op.create_table(
        "router_tools",
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("tool_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_router_tools_station_id")),
        sa.ForeignKeyConstraint(["tool_id"], ["tools.id"], name=op.f("fk_router_tools_tool_id")),
        sa.PrimaryKeyConstraint("station_id", "number", "label", name=op.f("pk_router_tools")),
    )
    op.create_table(
        "programs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("fingerprint", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("added_by", sa.Integer(), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("reader", sa.String(), nullable=False),
        sa.Column("total_min", sa.Double(), nullable=False),
        sa.Column("cutting_min", sa.Double(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "size >= 0 AND total_min >= 0 AND cutting_min >= 0", name=op.f("ck_programs_not_negative")
        ),
        sa.ForeignKeyConstraint(["added_by"], ["people.id"], name=op.f("fk_programs_added_by")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_programs_stage_id")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_programs_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_programs")),
    )
    op.create_index(op.f("ix_programs_stage_id"), "programs", ["stage_id"], unique=False)
    op.create_table(
        "program_tools",
        sa.Column("program_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("tool_id", sa.Integer(), nullable=True),
        sa.Column("cutting_min", sa.Double(), nullable=False),
        sa.Column("cutting_mm", sa.Double(), nullable=False),
        sa.Column("deepest_mm", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(["program_id"], ["programs.id"], name=op.f("fk_program_tools_program_id")),
        sa.ForeignKeyConstraint(["tool_id"], ["tools.id"], name=op.f("fk_program_tools_tool_id")),
        sa.PrimaryKeyConstraint("program_id", "number", name=op.f("pk_program_tools")),
    )


def downgrade() -> None:
    refuse_downgrade()
