"""What all tests share: the real data, a job at a desk without ears, and the wall around the core."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import settings

from assistant import wiring
from assistant.adapters.clock import MovableClock
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.lexicon_cmudict import is_listed, pronounce
from assistant.adapters.library import Library, match_settings, read_manifest
from assistant.adapters.model_store import ModelStore
from assistant.core.errors import DeviceError
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.quantities import units
from tests.sound_card import Card
from tests.talk import Talk

ROOT = Path(__file__).resolve().parent.parent
CORE = Path(units.__file__).resolve().parent.parent
units.convert(units.amount("1 in"), "millimetre")  # the one registry reads its definitions once, at first use
settings.register_profile("noisy", deadline=None)  # a busy machine is no fault of the code
settings.load_profile("noisy")
_FORBIDDEN = ("open", "sqlite3.connect", "socket.__new__", "subprocess.Popen")
_wall = {"up": False}


def _guard(event: str, arguments: tuple[object, ...]) -> None:
    if _wall["up"] and event in _FORBIDDEN and _core_is_calling():
        raise AssertionError(f"the core reached outside: {event} {arguments[:1]}")


def _core_is_calling() -> bool:
    frame = sys._getframe(1)
    while frame:
        if Path(frame.f_code.co_filename).is_relative_to(CORE):
            return True
        frame = frame.f_back
    return False


sys.addaudithook(_guard)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Keep tests marked `pure` from opening anything while they run."""
    _wall["up"] = item.get_closest_marker("pure") is not None
    try:
        yield
    finally:
        _wall["up"] = False


@pytest.fixture(scope="session")
def library() -> Library:
    return Library()


@pytest.fixture(scope="session")
def phrasebook(library: Library) -> Phrasebook:
    return Phrasebook(library.rules(), pronounce, match_settings(), library.turning_words(), is_listed)


@pytest.fixture(scope="session")
def vosk_english(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of Vosk's small English model: the owner's, or else one fetched for the tests; skips without."""
    model = read_manifest().model("vosk-small-en-us")
    if found := ModelStore(wiring.default_data() / "models").path(model):
        return found
    data = tmp_path_factory.mktemp("data")
    try:
        wiring.fetch_model(data, model.id, lambda have, total: None)
    except DeviceError as fault:
        pytest.skip(str(fault))
    found = ModelStore(data / "models").path(model)
    assert found
    return found


@pytest.fixture(scope="session")
def card(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Card]:
    """A virtual sound card, for the tests that are skipped where there can be none."""
    try:
        found = Card(tmp_path_factory.mktemp("card"))
    except OSError as error:
        pytest.skip(str(error))
    yield found
    found.close()


@pytest.fixture
def talk(library: Library, phrasebook: Phrasebook, tmp_path: Path) -> Iterator[Talk]:
    """A job that is typed to, on the invented car."""
    journal = SqliteJournal(tmp_path / "journal.sqlite")
    clock = MovableClock(datetime(2026, 3, 14, 9, tzinfo=UTC))
    yield Talk(library, phrasebook, journal, clock)
    journal.close()
