"""Running a shop: customers of their own, lines of patterns, sizes of the work, starting values."""

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


downgrade = refuse_downgrade
