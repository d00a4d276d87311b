"""The file itself refuses to change or drop an entry, whichever program asks."""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Guard the table with two triggers."""
    for deed in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER entries_no_{deed.lower()} BEFORE {deed} ON entries BEGIN "
            "SELECT RAISE(ABORT, 'entries are never changed: append an undo or a correction'); END"
        )
