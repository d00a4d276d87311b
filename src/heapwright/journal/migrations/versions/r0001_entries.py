"""The journal's table: entries in the order in which they arrived."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table and mark the file as a journal."""
    op.create_table(
        "entries",
        sa.Column("sequence", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("id", sa.String(32), nullable=False, unique=True),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("written_at", sa.String(32), nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("origin", sa.String(32), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sqlite_autoincrement=True,
    )
    op.execute(f"PRAGMA application_id = {0x48656170}")
