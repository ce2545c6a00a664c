"""The signals before words, measured from their samples against what the standards ask.

ISO 24500:2010, 4.3: fundamental at most 2500 Hz. IEC 60601-1-8:2006, table 4: fundamental 150 to 1000 Hz, at least
four harmonic components between 300 and 4000 Hz; each figure as quoted in public documents, the standards themselves
were not seen.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.core.reply.tones import signal
from assistant.core.types import RATE, Tone

pytestmark = pytest.mark.pure
LOUD = [tone for tone in Tone if tone is not Tone.PLAIN]


def pulses(tone: Tone) -> list[NDArray[np.float32]]:
    """Cut a signal where it is silent for at least 10 ms."""
    sound = signal(tone)
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return np.split(sound, [loud[at] + 1 for at in np.flatnonzero(np.diff(loud) > RATE // 100)])


def components(pulse: NDArray[np.float32]) -> list[int]:
    """Return the frequencies of the peaks above a tenth of the strongest [hertz], lowest first."""
    spectrum = np.abs(np.fft.rfft(pulse * np.hanning(len(pulse)), RATE))
    return [
        hertz
        for hertz in range(100, 5000)
        if spectrum[hertz] == spectrum[hertz - 60 : hertz + 61].max() and spectrum[hertz] > spectrum.max() / 10
    ]


def pitches(tone: Tone) -> list[int]:
    return [components(pulse)[0] for pulse in pulses(tone)]


def test_a_plain_reply_begins_with_its_words() -> None:
    assert len(signal(Tone.PLAIN)) == 0


@pytest.mark.parametrize("tone", LOUD)
def test_a_signal_is_short_and_never_clips(tone: Tone) -> None:
    assert 0.05 * RATE < len(signal(tone)) <= 0.4 * RATE
    assert 0.1 < np.abs(signal(tone)).max() < 0.9


@pytest.mark.parametrize("tone", LOUD)
def test_each_pulse_is_low_enough_for_old_ears_and_rich(tone: Tone) -> None:
    for pulse in pulses(tone):
        found = components(pulse)
        assert 150 <= found[0] <= 1000
        assert len([hertz for hertz in found if 300 <= hertz <= 4000]) >= 4
        assert all(hertz / found[0] == pytest.approx(round(hertz / found[0]), abs=0.05) for hertz in found)


@pytest.mark.parametrize("tone", LOUD)
def test_a_signal_begins_and_ends_without_a_click(tone: Tone) -> None:
    sound = np.abs(signal(tone))
    assert max(sound[0], sound[-1], *(pulse[0] for pulse in pulses(tone))) < 0.05


def test_their_shapes_say_what_they_mean() -> None:
    asked, warned, alarm, done = (pitches(tone) for tone in (Tone.ASK, Tone.WARN, Tone.ALARM, Tone.DONE))
    assert asked == sorted(asked) and asked[0] < asked[-1]
    assert len(warned) == 2 and max(warned) < min(asked + alarm + done)
    assert len(alarm) >= 3 and max(alarm) > max(asked + warned + done)
    assert len(done) == 1


def test_the_alarm_is_the_loudest() -> None:
    peaks = {tone: float(np.abs(signal(tone)).max()) for tone in LOUD}
    assert max(peaks, key=lambda tone: peaks[tone]) is Tone.ALARM
    assert peaks[Tone.ALARM] >= 2 * peaks[Tone.ASK]
