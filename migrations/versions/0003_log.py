"""The log of work, what is kept beside it, and the tally."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

APPEND_ONLY = {
    "entries_no_update": "BEFORE UPDATE ON entries",
    "entries_no_delete": "BEFORE DELETE ON entries",
    "entry_stages_no_update": "BEFORE UPDATE ON entry_stages",
    "entry_stages_no_delete": "BEFORE DELETE ON entry_stages",
}


def upgrade() -> None:
    op.create_table(
        "kept",
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("device_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("body_hash", sa.String(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("n", name=op.f("pk_kept")),
        sa.UniqueConstraint("device", "seq", name=op.f("uq_kept_device_seq")),
        sa.UniqueConstraint("id", name=op.f("uq_kept_id")),
    )
    op.create_table(
        "set_aside",
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("body_hash", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("n", name=op.f("pk_set_aside")),
        sa.UniqueConstraint("id", "body_hash", name=op.f("uq_set_aside_id_body_hash")),
    )
    op.create_table(
        "entries",
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("tapped_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("of_id", sa.String(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("limit_min", sa.Double(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("body_hash", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_entries_job_id")),
        sa.ForeignKeyConstraint(["of_id"], ["entries.id"], name=op.f("fk_entries_of_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_entries_person_id")),
        sa.PrimaryKeyConstraint("n", name=op.f("pk_entries")),
        sa.UniqueConstraint("device", "seq", name=op.f("uq_entries_device_seq")),
        sa.UniqueConstraint("id", name=op.f("uq_entries_id")),
    )
    op.create_index(op.f("ix_entries_at"), "entries", ["at"], unique=False)
    op.create_index(op.f("ix_entries_job_id"), "entries", ["job_id"], unique=False)
    op.create_index(op.f("ix_entries_kind_at"), "entries", ["kind", "at"], unique=False)
    op.create_index(op.f("ix_entries_of_id"), "entries", ["of_id"], unique=False)
    op.create_index(op.f("ix_entries_person_id_at"), "entries", ["person_id", "at"], unique=False)
    op.create_table(
        "entry_stages",
        sa.Column("entry_n", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["entry_n"], ["entries.n"], name=op.f("fk_entry_stages_entry_n")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_entry_stages_stage_id")),
        sa.PrimaryKeyConstraint("entry_n", "place", name=op.f("pk_entry_stages")),
    )
    op.create_index(op.f("ix_entry_stages_stage_id"), "entry_stages", ["stage_id"], unique=False)
    op.create_table(
        "tally",
        sa.Column("stage_id", sa.Integer(), nullable=False),
        sa.Column("redo", sa.Integer(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("attended_min", sa.Double(), nullable=False),
        sa.Column("elapsed_min", sa.Double(), nullable=False),
        sa.Column("machine_min", sa.Double(), nullable=False),
        sa.Column("mend_min", sa.Double(), nullable=False),
        sa.Column("mend_cents", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("teaches", sa.Boolean(), nullable=False),
        sa.Column("why_not", sa.String(), nullable=False),
        sa.Column("together", sa.String(), nullable=False),
        sa.CheckConstraint(
            "standing IN ('not started', 'in hand', 'running', 'set down', 'put aside', 'done')",
            name=op.f("ck_tally_standing"),
        ),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_tally_stage_id")),
        sa.PrimaryKeyConstraint("stage_id", "redo", name=op.f("pk_tally")),
    )
    op.create_index(op.f("ix_tally_finished_at"), "tally", ["finished_at"], unique=False)
    for name, moment in APPEND_ONLY.items():
        op.execute(
            f"CREATE TRIGGER {name} {moment} "
            "BEGIN SELECT RAISE(ABORT, 'the log of work is never changed'); END"
        )


downgrade = refuse_downgrade
