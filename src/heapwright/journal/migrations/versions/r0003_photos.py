"""Photos of the heaps, in the same file as the entries that name them."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; no photo is ever changed, and none is dropped that an entry names."""
    op.create_table(
        "photos",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("kept_at", sa.String(32), nullable=False),
        sa.Column("small", sa.LargeBinary, nullable=False),
        sa.Column("jpeg", sa.LargeBinary, nullable=False),
    )
    op.execute(
        "CREATE TRIGGER photos_no_update BEFORE UPDATE ON photos BEGIN "
        "SELECT RAISE(ABORT, 'photos are never changed'); END"
    )
    op.execute(
        "CREATE TRIGGER photos_no_delete BEFORE DELETE ON photos WHEN EXISTS (SELECT 1 FROM "
        "entries WHERE kind = 'photo' AND json_extract(body, '$.sha256') = OLD.sha256) BEGIN "
        "SELECT RAISE(ABORT, 'an entry names this photo'); END"
    )
