"""A loudspeaker that goes away and comes back: the real player, over a library whose devices can be taken away."""

from __future__ import annotations

import time

import numpy as np
import pytest

from assistant.adapters import microphone, player_soundcard
from assistant.adapters.microphone import Microphone
from assistant.adapters.player_soundcard import SoundCardPlayer
from assistant.core.errors import DeviceError
from assistant.core.reply.answers import present
from assistant.path.mouth import Mouth
from assistant.system import sound_system
from tests.fake_devices import Sound
from tests.talk import Talk
from tests.test_mouth import Voice, told

HUM = np.full(1600, 0.5, np.float32)


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> Sound:
    sound = Sound("Webcam")
    for adapter in (microphone, player_soundcard):
        monkeypatch.setattr(adapter, "_sounddevice", lambda: sound)
    monkeypatch.setattr(sound_system, "_holders", {})
    return sound


@pytest.mark.parametrize(("how", "why"), [("gone", "-9999"), ("hangs", "takes no sound any more")])
def test_one_that_fails_is_told_not_waited_for_and_opened_again(
    talk: Talk, sound: Sound, monkeypatch: pytest.MonkeyPatch, how: str, why: str
) -> None:
    monkeypatch.setattr(player_soundcard, "AT_FIRST", 1.0)
    talk.desk.mouth = Mouth(Voice(), SoundCardPlayer(), open_player=lambda: SoundCardPlayer(look_again=True))
    talk.say("what is open")
    assert max(sound.played) > 0.5
    sound.loudspeaker = how
    began = time.monotonic()
    assert talk.say("what is open").reply.say == "Nothing is open."
    assert why in str(talk.desk.ears.faults[0])
    talk.say("what is open")
    assert time.monotonic() - began < 4
    sound.played.clear()
    sound.loudspeaker = "there"
    assert told(talk) == f"My voice is back. {present(talk.state)}"
    assert max(sound.played) > 0.5
    talk.desk.mouth.close()


def hanging_after(sound: Sound, blocks: int) -> SoundCardPlayer:
    """A loudspeaker that takes so many blocks of a sound, and then none."""
    player = SoundCardPlayer()
    write = player._stream.write

    def takes(samples: np.ndarray) -> None:
        write(samples)
        if len(sound.played) > blocks:
            sound.loudspeaker = "hangs"

    player._stream.write = takes
    return player


def test_one_that_hangs_amid_a_sound_is_known_sooner_than_one_that_never_begins(
    sound: Sound, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What fits into a buffer is taken at once, also by one that needs seconds to begin."""
    monkeypatch.setattr(player_soundcard, "AT_FIRST", 60.0)
    monkeypatch.setattr(player_soundcard, "PATIENCE", 0.3)
    with pytest.raises(DeviceError, match="takes no sound any more"):
        hanging_after(sound, 20).play(np.full(32000, 0.5, np.float32))
    monkeypatch.setattr(player_soundcard, "AT_FIRST", 1.5)
    sound.played.clear()
    sound.loudspeaker = "there"
    began = time.monotonic()
    with pytest.raises(DeviceError, match="takes no sound any more"):
        hanging_after(sound, 3).play(np.full(32000, 0.5, np.float32))
    assert time.monotonic() - began >= 1.5
    sound.loudspeaker = "there"


def test_where_nobody_looked_for_a_while_it_is_not_the_loudspeaker_that_hangs(
    sound: Sound, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A computer that slept, or gives this process no time: the device gets some looks before it counts as lost."""
    monkeypatch.setattr(player_soundcard, "AT_FIRST", 0.2)
    player = SoundCardPlayer()
    sound.loudspeaker = "hangs"
    player.start(HUM)
    time.sleep(0.4)
    looks = [player.playing for _ in range(player_soundcard.LEAST_LOOKS + 1)]
    assert looks == [True] * player_soundcard.LEAST_LOOKS + [False]
    sound.loudspeaker = "there"


def test_devices_are_looked_for_while_the_loudspeaker_is_idle_and_it_plays_on_after_that(sound: Sound) -> None:
    player = SoundCardPlayer()
    player.play(HUM)
    assert sound_system.rescan(sound)
    assert (sound.looked, sound.closed) == (1, 1)  # beginning anew would have ended an open stream under its hands
    sound.played.clear()
    player.play(HUM)
    assert max(sound.played) == 0.5
    player.close()


def test_devices_are_not_looked_for_while_something_sounds_or_a_microphone_is_open(sound: Sound) -> None:
    player = SoundCardPlayer()
    sound.loudspeaker = "hangs"
    player.start(HUM)
    assert not sound_system.rescan(sound)
    sound.loudspeaker = "there"
    player.close()
    source = Microphone()
    assert not sound_system.rescan(sound)
    source.close()
    assert sound_system.rescan(sound)
    assert sound.looked == 1
