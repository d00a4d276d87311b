"""The journal: append-only entries, their store in SQLite, the fold to state, import and export."""
