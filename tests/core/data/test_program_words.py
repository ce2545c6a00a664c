"""A command of the owner's, word by word; no shell reads it."""

from __future__ import annotations

import pytest

from assistant.core.data.program_words import words
from assistant.core.errors import DataError

pytestmark = pytest.mark.pure


def test_quotes_keep_words_together_and_nothing_else_is_special() -> None:
    assert words("call.sh '01 23' $HOME \"a b\"|more") == ("call.sh", "01 23", "$HOME", "a b|more")


@pytest.mark.parametrize(("command", "fault"), [("", "is empty"), ("   ", "is empty"), ("call 'me", "is not closed")])
def test_what_is_no_command_is_refused(command: str, fault: str) -> None:
    with pytest.raises(DataError, match=fault):
        words(command)
