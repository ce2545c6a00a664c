"""The facts of all jobs in one SQLite file: its form, how it is opened, lifted and mended, and the journal over it."""

from assistant.adapters.journal_sqlite.journal import SqliteJournal

__all__ = ["SqliteJournal"]
