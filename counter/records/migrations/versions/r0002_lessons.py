"""What lenses are taught: lessons of pictures, whether they are used, what was forgotten."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "lesson",
        sa.Column("sample_id", sa.Integer, nullable=False),
        sa.Column("field_id", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("lens", sa.String(200), nullable=False),
        sa.Column("network", sa.String(100), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("low_um", sa.Float, nullable=False),
        sa.Column("high_um", sa.Float, nullable=False),
        sa.Column("um_per_px", sa.Float, nullable=False),
        sa.Column("corrections", sa.Integer, nullable=False),
        sa.Column("prospects", sa.Text, nullable=False),
        sa.Column("taught", sa.Text, nullable=False),
        sa.Column("saved_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("sample_id", "field_id", name="pk_lesson"),
        sa.ForeignKeyConstraint(["sample_id"], ["sample.id"], name="fk_lesson_sample_id"),
    )
    op.create_index("ix_lesson_lens", "lesson", ["lens"])
    op.create_table(
        "lesson_use",
        sa.Column("lens", sa.String(200), nullable=False),
        sa.Column("in_use", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("lens", name="pk_lesson_use"),
    )
    op.create_table(
        "forgotten",
        sa.Column("lens", sa.String(200), nullable=False),
        sa.Column("sample_id", sa.Integer, nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("lens", "sample_id", name="pk_forgotten"),
        sa.ForeignKeyConstraint(["sample_id"], ["sample.id"], name="fk_forgotten_sample_id"),
    )
