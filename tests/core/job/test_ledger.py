"""What is open: in the order in which it was opened, and once."""

from __future__ import annotations

from assistant.adapters.library import Library
from assistant.core.job.ledger import Ledger


def test_a_part_is_open_once_until_it_is_closed() -> None:
    both = Ledger().opened("plug").opened("cap").opened("plug")
    assert both.parts == ("plug", "cap")
    assert both.closed("plug").parts == ("cap",)
    assert both.closed("tray") == both
    assert both.closed("plug").opened("plug").parts == ("cap", "plug")


def test_the_procedure_names_what_is_open(library: Library) -> None:
    job = library.jobs()[0]
    last, first = job.parts[-1], job.parts[0]
    assert Ledger((last.id, first.id)).open_in(job) == (last, first)
