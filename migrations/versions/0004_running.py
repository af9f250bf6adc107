"""Running a shop: customers, photos, extras, costs, rates, months, devices; lines of patterns."""

import sqlalchemy as sa
from alembic import op

from shoptrack.store.migrate import refuse_downgrade

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "customers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("contact", sa.String(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("retired_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customers")),
    )
    op.create_index(op.f("ix_customers_name"), "customers", ["name"], unique=False)
    op.execute(
        "INSERT INTO customers (name, contact, email, phone, address, notes) "
        "SELECT DISTINCT customer, '', '', '', '', '' FROM jobs ORDER BY customer"
    )
    _rebuild(
        "jobs",
        {
            "id": "id",
            "tag": "tag",
            "title": "title",
            "pieces": "pieces",
            "pattern_revision_id": "pattern_revision_id",
            "promised_on": "promised_on",
            "must_keep": "must_keep",
            "price_cents": "price_cents",
            "notes": "notes",
            "added_at": "added_at",
            "closed_at": "closed_at",
            "customer_id": "(SELECT c.id FROM customers c WHERE c.name = old.customer)",
        },
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("pattern_revision_id", sa.Integer(), nullable=True),
        sa.Column("promised_on", sa.Date(), nullable=True),
        sa.Column("must_keep", sa.Boolean(), nullable=False),
        sa.Column("price_cents", sa.Integer(), nullable=True),
        sa.Column("deposit_cents", sa.Integer(), nullable=True),
        sa.Column("deposit_on", sa.Date(), nullable=True),
        sa.Column("delivered_on", sa.Date(), nullable=True),
        sa.Column("called_off_why", sa.String(), nullable=True),
        sa.Column("notes", sa.String(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("pieces > 0", name=op.f("ck_jobs_pieces")),
        sa.ForeignKeyConstraint(["customer_id"], ["customers.id"], name=op.f("fk_jobs_customer_id")),
        sa.ForeignKeyConstraint(
            ["pattern_revision_id"], ["pattern_revisions.id"], name=op.f("fk_jobs_pattern_revision_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_index(op.f("ix_jobs_closed_at"), "jobs", ["closed_at"], unique=False)
    op.create_index(op.f("ix_jobs_customer_id"), "jobs", ["customer_id"], unique=False)
    op.create_index(op.f("ix_jobs_tag"), "jobs", ["tag"], unique=False)
    _rebuild(
        "stages",
        {
            "id": "id",
            "job_id": "job_id",
            "quantity": "quantity",
            "position": "position",
            "name": "name",
            "rounds": "rounds",
            "attendance": "attendance",
            "interruption": "interruption",
            "people": "people",
            "dusty": "dusty",
            "joint": "joint",
            "hands_at_min": "hands_at_min",
            "settings": "settings",
            "caution": "caution",
            "kind_id": "kind_id",
            "station_id": "station_id",
            "room_id": "room_id",
            "recipe_id": "recipe_id",
            "material_id": "material_id",
            # by place: the job was copied from a pattern in that order
            "line": "(SELECT old.position FROM jobs j "
            "WHERE j.id = old.job_id AND j.pattern_revision_id NOT NULL)",
        },
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Double(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("rounds", sa.Boolean(), nullable=False),
        sa.Column("attendance", sa.String(), nullable=False),
        sa.Column("interruption", sa.String(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("dusty", sa.Boolean(), nullable=False),
        sa.Column("joint", sa.String(), nullable=True),
        sa.Column("hands_at_min", sa.Text(), nullable=True),
        sa.Column("line", sa.Integer(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("length_mm", sa.Double(), nullable=True),
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
    _rebuild(
        "pattern_revisions",
        {"id": "id", "pattern_id": "pattern_id", "number": "number", "made_at": "made_at", "note": "note"},
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pattern_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pattern_id"], ["patterns.id"], name=op.f("fk_pattern_revisions_pattern_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_pattern_revisions_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pattern_revisions")),
        sa.UniqueConstraint("pattern_id", "number", name=op.f("uq_pattern_revisions_pattern_id_number")),
    )
    _rebuild(
        "pattern_stages",
        {
            "id": "id",
            "revision_id": "revision_id",
            "fixed": "fixed",
            "per_piece": "per_piece",
            "position": "position",
            "name": "name",
            "rounds": "rounds",
            "attendance": "attendance",
            "interruption": "interruption",
            "people": "people",
            "dusty": "dusty",
            "joint": "joint",
            "hands_at_min": "hands_at_min",
            "settings": "settings",
            "caution": "caution",
            "kind_id": "kind_id",
            "station_id": "station_id",
            "room_id": "room_id",
            "recipe_id": "recipe_id",
            "material_id": "material_id",
            "line": "position",
        },
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
        sa.Column("line", sa.Integer(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("length_mm", sa.Double(), nullable=True),
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
    _rebuild(
        "recipe_versions",
        {
            "id": "id",
            "recipe_id": "recipe_id",
            "from_at": "from_at",
            "reference_c": "reference_c",
            "q10": "q10",
            "lowest_c": "lowest_c",
            "below": "below",
            "open_min": "open_min",
            "caution": "caution",
            "source": "source",
            "starting": "0",
        },
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
        sa.Column("starting", sa.Boolean(), nullable=False),
        sa.CheckConstraint("below IN ('slows', 'spoils')", name=op.f("ck_recipe_versions_below")),
        sa.CheckConstraint("q10 >= 1", name=op.f("ck_recipe_versions_q10")),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipes.id"], name=op.f("fk_recipe_versions_recipe_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe_versions")),
        sa.UniqueConstraint("recipe_id", "from_at", name=op.f("uq_recipe_versions_recipe_id_from_at")),
    )
    _rebuild(
        "rules_of_thumb",
        {
            "id": "id",
            "kind_id": "kind_id",
            "from_at": "from_at",
            "setup_min": "setup_min",
            "rate_min": "rate_min",
            "starting": "0",
        },
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("setup_min", sa.Double(), nullable=False),
        sa.Column("rate_min", sa.Double(), nullable=False),
        sa.Column("starting", sa.Boolean(), nullable=False),
        sa.CheckConstraint("setup_min >= 0 AND rate_min >= 0", name=op.f("ck_rules_of_thumb_not_negative")),
        sa.ForeignKeyConstraint(["kind_id"], ["stage_kinds.id"], name=op.f("fk_rules_of_thumb_kind_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rules_of_thumb")),
        sa.UniqueConstraint("kind_id", "from_at", name=op.f("uq_rules_of_thumb_kind_id_from_at")),
    )
    _rebuild(
        "material_wear",
        {"id": "id", "material_id": "material_id", "from_at": "from_at", "factor": "factor", "starting": "0"},
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("factor", sa.Double(), nullable=False),
        sa.Column("starting", sa.Boolean(), nullable=False),
        sa.CheckConstraint("factor > 0", name=op.f("ck_material_wear_factor")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_material_wear_material_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material_wear")),
        sa.UniqueConstraint("material_id", "from_at", name=op.f("uq_material_wear_material_id_from_at")),
    )
    op.add_column("shop", sa.Column("first_day", sa.String(), nullable=True))
    op.add_column("shop", sa.Column("holidays_of", sa.String(), nullable=True))
    op.add_column("materials", sa.Column("unit", sa.String(), nullable=True))
    op.add_column("edits", sa.Column("why", sa.String(), nullable=True))
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


def _rebuild(name: str, copied: dict[str, str], *parts: sa.schema.SchemaItem) -> None:
    """Make a table anew under its name with its rows: SQLite adds no constraint to a table that is there.

    Takes where each column that is not left empty comes from, as SQL on the ``old`` table.
    """
    op.create_table(f"new_{name}", *parts)
    op.execute(
        f"INSERT INTO new_{name} ({', '.join(copied)}) SELECT {', '.join(copied.values())} FROM {name} AS old"
    )
    op.drop_table(name)
    op.rename_table(f"new_{name}", name)


def downgrade() -> None:
    refuse_downgrade()
