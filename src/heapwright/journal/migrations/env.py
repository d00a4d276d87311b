"""Runs the journal's migrations on the connection that `migrate.py` hands over."""

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    # The caller's transaction holds every step and the record of it: all, or nothing.
    transactional_ddl=True,
    transaction_per_migration=False,
)
context.run_migrations()
