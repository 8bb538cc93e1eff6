"""The log book: batches, tanks, samples with their events, lenses."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    moment = sa.DateTime(timezone=True)
    op.create_table(
        "batch",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("species", sa.String(100), nullable=False),
        sa.Column("parents", sa.Text, nullable=False),
        sa.Column("fertilised_at", moment),
        sa.PrimaryKeyConstraint("id", name="pk_batch"),
        sa.UniqueConstraint("name", name="uq_batch_name"),
    )
    op.create_table(
        "tank",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("batch_id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("volume_ml", sa.Float),
        sa.PrimaryKeyConstraint("id", name="pk_tank"),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_tank_batch_id"),
        sa.UniqueConstraint("batch_id", "name", name="uq_tank_batch_id"),
    )
    op.create_table(
        "sample",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("tank_id", sa.Integer),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("taken_at", moment, nullable=False),
        sa.Column("created_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sample"),
        sa.ForeignKeyConstraint(["tank_id"], ["tank.id"], name="fk_sample_tank_id"),
    )
    op.create_index("ix_sample_tank_id", "sample", ["tank_id"])
    op.create_table(
        "event",
        sa.Column("sample_id", sa.Integer, nullable=False),
        sa.Column("seq", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("at", moment, nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(60), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("sample_id", "seq", name="pk_event"),
        sa.ForeignKeyConstraint(["sample_id"], ["sample.id"], name="fk_event_sample_id"),
    )
    op.create_table(
        "lens",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("um_per_px", sa.Float, nullable=False),
        sa.Column("standard_error", sa.Float, nullable=False),
        sa.Column("calibrated_on", sa.Date, nullable=False),
        sa.Column("width_px", sa.Integer, nullable=False),
        sa.Column("height_px", sa.Integer, nullable=False),
        sa.Column("saved_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_lens"),
    )
    op.create_index("ix_lens_name", "lens", ["name"])
