"""The office: photos, last times, extras, costs, rates, months, past times, devices, PINs, the feed."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "devices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("key_hash", sa.String(), nullable=False),
        sa.Column("paired_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("paired_address", sa.String(), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("kind IN ('bench', 'office', 'wall')", name=op.f("ck_devices_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
        sa.UniqueConstraint("key_hash", name=op.f("uq_devices_key_hash")),
    )
    op.create_table(
        "feed",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_feed_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_feed")),
    )
    op.create_table(
        "pairings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("kind IN ('bench', 'office', 'wall')", name=op.f("ck_pairings_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pairings")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_pairings_token_hash")),
    )
    op.create_table(
        "material_prices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("cents", sa.Integer(), nullable=False),
        sa.CheckConstraint("cents >= 0", name=op.f("ck_material_prices_not_negative")),
        sa.ForeignKeyConstraint(
            ["material_id"], ["materials.id"], name=op.f("fk_material_prices_material_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material_prices")),
        sa.UniqueConstraint("material_id", "from_on", name=op.f("uq_material_prices_material_id_from_on")),
    )
    op.create_table(
        "months",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("figures", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_months_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_months")),
        sa.UniqueConstraint("first_on", name=op.f("uq_months_first_on")),
    )
    op.create_table(
        "past_times",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("finished_on", sa.Date(), nullable=False),
        sa.Column("job", sa.String(), nullable=False),
        sa.Column("pattern", sa.String(), nullable=False),
        sa.Column("pattern_id", sa.Integer(), nullable=True),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("imported_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("row_key", sa.String(), nullable=False),
        sa.CheckConstraint("minutes > 0", name=op.f("ck_past_times_minutes")),
        sa.CheckConstraint("quantity > 0", name=op.f("ck_past_times_quantity")),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_past_times_kind_id")),
        sa.ForeignKeyConstraint(["pattern_id"], ["patterns.id"], name=op.f("fk_past_times_pattern_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_past_times_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_past_times")),
        sa.UniqueConstraint("row_key", name=op.f("uq_past_times_row_key")),
    )
    op.create_index(op.f("ix_past_times_kind_id"), "past_times", ["kind_id"], unique=False)
    op.create_table(
        "pins",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("salt", sa.String(), nullable=False),
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("set_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("wait_until", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_pins_person_id")),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_pins")),
    )
    op.create_table(
        "rates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("cents_per_h", sa.Integer(), nullable=False),
        sa.CheckConstraint("what IN ('hands', 'machine')", name=op.f("ck_rates_what")),
        sa.CheckConstraint("cents_per_h >= 0", name=op.f("ck_rates_not_negative")),
        sa.CheckConstraint("person_id IS NULL OR station_id IS NULL", name=op.f("ck_rates_one_thing")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_rates_person_id")),
        sa.ForeignKeyConstraint(["station_id"], ["stations.id"], name=op.f("fk_rates_station_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rates")),
    )
    op.create_table(
        "costs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("spent_on", sa.Date(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.Double(), nullable=True),
        sa.Column("cents", sa.Integer(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "kind IN ('material', 'hardware', 'outside work', 'other')", name=op.f("ck_costs_kind")
        ),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_costs_job_id")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_costs_material_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_costs")),
    )
    op.create_index(op.f("ix_costs_job_id"), "costs", ["job_id"], unique=False)
    op.create_table(
        "extras",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("cents", sa.Integer(), nullable=False),
        sa.Column("asked_on", sa.Date(), nullable=False),
        sa.Column("approved_on", sa.Date(), nullable=True),
        sa.Column("approved_how", sa.String(), nullable=False),
        sa.Column("turned_down_on", sa.Date(), nullable=True),
        sa.CheckConstraint(
            "approved_on IS NULL OR turned_down_on IS NULL", name=op.f("ck_extras_one_answer")
        ),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_extras_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_extras")),
        sa.UniqueConstraint("job_id", "number", name=op.f("uq_extras_job_id_number")),
    )
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_photos_job_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_photos_person_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_photos_stage_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
    )
    op.create_index(op.f("ix_photos_job_id"), "photos", ["job_id"], unique=False)
    op.create_index(op.f("ix_photos_stage_id"), "photos", ["stage_id"], unique=False)
    op.create_table(
        "last_times",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pattern_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("stage_id", sa.Integer(), nullable=True),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("minutes", sa.Double(), nullable=True),
        sa.Column("quantity", sa.Double(), nullable=True),
        sa.Column("trouble", sa.String(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=True),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["pattern_id"], ["patterns.id"], name=op.f("fk_last_times_pattern_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_last_times_person_id")),
        sa.ForeignKeyConstraint(["photo_id"], ["photos.id"], name=op.f("fk_last_times_photo_id")),
        sa.ForeignKeyConstraint(["stage_id"], ["stages.id"], name=op.f("fk_last_times_stage_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_last_times")),
    )
    op.create_index(op.f("ix_last_times_pattern_id_line"), "last_times", ["pattern_id", "line"], unique=False)


downgrade = refuse_downgrade
