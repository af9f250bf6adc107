"""Learning and quoting: what was foretold, answers about odd times, terms, the cost of an hour, quotes."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "hour_costs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("wages_cents", sa.Integer(), nullable=False),
        sa.Column("taxes_cents", sa.Integer(), nullable=False),
        sa.Column("benefits_cents", sa.Integer(), nullable=False),
        sa.Column("overhead_cents", sa.Integer(), nullable=False),
        sa.Column("paid_h", sa.Double(), nullable=False),
        sa.Column("on_jobs_bp", sa.Integer(), nullable=True),
        sa.CheckConstraint("on_jobs_bp BETWEEN 1 AND 10000", name=op.f("ck_hour_costs_on_jobs")),
        sa.CheckConstraint("paid_h > 0", name=op.f("ck_hour_costs_paid")),
        sa.CheckConstraint(
            "wages_cents >= 0 AND taxes_cents >= 0 AND benefits_cents >= 0 AND overhead_cents >= 0",
            name=op.f("ck_hour_costs_not_negative"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hour_costs")),
        sa.UniqueConstraint("from_on", name=op.f("uq_hour_costs_from_on")),
    )
    op.create_table(
        "terms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("margin_bp", sa.Integer(), nullable=False),
        sa.Column("waste_bp", sa.Integer(), nullable=False),
        sa.Column("tax_bp", sa.Double(), nullable=False),
        sa.Column("tax_name", sa.String(), nullable=False),
        sa.Column("least_cents", sa.Integer(), nullable=False),
        sa.Column("deposit_bp", sa.Integer(), nullable=False),
        sa.Column("valid_days", sa.Integer(), nullable=False),
        sa.CheckConstraint("least_cents >= 0 AND valid_days > 0", name=op.f("ck_terms_not_negative")),
        sa.CheckConstraint("margin_bp BETWEEN 0 AND 9500", name=op.f("ck_terms_margin")),
        sa.CheckConstraint(
            "tax_bp BETWEEN 0 AND 10000 AND deposit_bp BETWEEN 0 AND 10000", name=op.f("ck_terms_shares")
        ),
        sa.CheckConstraint("waste_bp BETWEEN 0 AND 30000", name=op.f("ck_terms_waste")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_terms")),
        sa.UniqueConstraint("from_on", name=op.f("uq_terms_from_on")),
    )
    op.create_table(
        "quotes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("form_id", sa.String(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("standing", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("out_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("valid_until_on", sa.Date(), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("turned_down_why", sa.String(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(standing = 'taken') = (job_id IS NOT NULL)", name=op.f("ck_quotes_taken_is_a_job")
        ),
        sa.CheckConstraint(
            "(standing IN ('taken', 'turned down')) = (answered_at IS NOT NULL)",
            name=op.f("ck_quotes_answered"),
        ),
        sa.CheckConstraint(
            "standing IN ('draft', 'out', 'taken', 'turned down')", name=op.f("ck_quotes_standing")
        ),
        sa.ForeignKeyConstraint(["customer_id"], ["customers.id"], name=op.f("fk_quotes_customer_id")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_quotes_job_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_quotes_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quotes")),
        sa.UniqueConstraint("form_id", name=op.f("uq_quotes_form_id")),
        sa.UniqueConstraint("job_id", name=op.f("uq_quotes_job_id")),
    )
    op.create_index(op.f("ix_quotes_customer_id"), "quotes", ["customer_id"], unique=False)
    op.create_index(op.f("ix_quotes_standing"), "quotes", ["standing"], unique=False)
    op.create_table(
        "log_answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("redo", sa.Integer(), nullable=False),
        sa.Column("past_time_id", sa.Integer(), nullable=True),
        sa.Column("counts", sa.Boolean(), nullable=False),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(stage_id IS NULL) <> (past_time_id IS NULL)", name=op.f("ck_log_answers_one_thing")
        ),
        sa.ForeignKeyConstraint(
            ["past_time_id"], ["past_times.id"], name=op.f("fk_log_answers_past_time_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_log_answers_person_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_log_answers_stage_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log_answers")),
        sa.UniqueConstraint("past_time_id", name=op.f("uq_log_answers_past_time_id")),
        sa.UniqueConstraint("stage_id", "redo", name=op.f("uq_log_answers_stage_id_redo")),
    )
    op.create_table(
        "predictions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("redo", sa.Integer(), nullable=False),
        sa.Column("past_time_id", sa.Integer(), nullable=True),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("df", sa.Double(), nullable=False),
        sa.Column("loc", sa.Double(), nullable=False),
        sa.Column("scale", sa.Double(), nullable=False),
        sa.Column("logs", sa.Integer(), nullable=False),
        sa.Column("of_pattern", sa.Integer(), nullable=False),
        sa.Column("later", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint(
            "(stage_id IS NULL) <> (past_time_id IS NULL)", name=op.f("ck_predictions_one_thing")
        ),
        sa.CheckConstraint("df > 0 AND scale > 0", name=op.f("ck_predictions_spread")),
        sa.ForeignKeyConstraint(
            ["past_time_id"], ["past_times.id"], name=op.f("fk_predictions_past_time_id")
        ),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_predictions_stage_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_predictions")),
        sa.UniqueConstraint("past_time_id", "method", name=op.f("uq_predictions_past_time_id_method")),
        sa.UniqueConstraint("stage_id", "redo", "method", name=op.f("uq_predictions_stage_id_redo_method")),
    )
    op.create_table(
        "quote_revisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("pattern_revision_id", sa.Integer(), nullable=True),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("worked", sa.Text(), nullable=False),
        sa.Column("price_cents", sa.Integer(), nullable=False),
        sa.CheckConstraint("pieces > 0", name=op.f("ck_quote_revisions_pieces")),
        sa.CheckConstraint("price_cents >= 0", name=op.f("ck_quote_revisions_not_negative")),
        sa.ForeignKeyConstraint(
            ["pattern_revision_id"],
            ["pattern_revisions.id"],
            name=op.f("fk_quote_revisions_pattern_revision_id"),
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_quote_revisions_person_id")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_quote_revisions_quote_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_revisions")),
        sa.UniqueConstraint("quote_id", "number", name=op.f("uq_quote_revisions_quote_id_number")),
    )


def downgrade() -> None:
    refuse_downgrade()
