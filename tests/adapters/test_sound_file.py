"""Checks the reading of sound files: by tones whose pitch and level are known, and by files that are wrong."""

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.sound_file import BLOCK, SoundFile, read_sound
from assistant.core.errors import DataError
from assistant.core.types import RATE

DATA = Path(__file__).parent / "data"


def tone(rate: int, seconds: float = 1.0, amplitude: float = 0.5) -> np.ndarray:
    return amplitude * np.sin(2 * np.pi * 440 * np.arange(int(rate * seconds)) / rate)


@pytest.mark.parametrize("rate", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
@pytest.mark.parametrize(("ending", "channels"), [("wav", 1), ("flac", 2), ("ogg", 1), ("wav", 6)])
def test_pitch_level_and_length_survive_any_rate(tmp_path: Path, rate: int, ending: str, channels: int) -> None:
    path = tmp_path / f"tone.{ending}"
    soundfile.write(path, np.stack([tone(rate)] * channels, axis=1), rate)
    samples = read_sound(path)
    assert samples.dtype == np.float32
    assert len(samples) == pytest.approx(RATE, abs=2)
    middle = samples[RATE // 4 : 3 * RATE // 4]
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    assert np.argmax(spectrum) * RATE / len(middle) == pytest.approx(440, abs=2)
    # The mean square of a sine is half its amplitude squared.
    assert np.sqrt(2 * np.mean(middle**2)) == pytest.approx(0.5, rel=0.03)


def test_the_own_rate_is_read_bit_by_bit(tmp_path: Path) -> None:
    codes = np.random.default_rng(1).integers(-32768, 32767, 5000, dtype=np.int16)
    soundfile.write(tmp_path / "own.wav", codes, RATE)
    np.testing.assert_array_equal(read_sound(tmp_path / "own.wav"), codes.astype(np.float32) / 32768)


def test_two_channels_are_mixed(tmp_path: Path) -> None:
    left, right = tone(RATE), np.zeros(RATE)
    soundfile.write(tmp_path / "stereo.wav", np.stack([left, right], axis=1), RATE, subtype="FLOAT")
    np.testing.assert_allclose(read_sound(tmp_path / "stereo.wav"), left / 2, atol=1e-6)


@pytest.mark.parametrize("length", [1, BLOCK - 1, BLOCK, BLOCK + 1, RATE // 4, RATE // 4 + 1, 3 * RATE])
def test_blocks_are_the_file_with_zeros_after_its_end(tmp_path: Path, length: int) -> None:
    wave = np.random.default_rng(length).uniform(-0.5, 0.5, length)
    soundfile.write(tmp_path / "noise.wav", wave, RATE, subtype="FLOAT")
    source = SoundFile(tmp_path / "noise.wav")
    blocks = list(source.blocks())
    source.close()
    assert {len(block) for block in blocks} == {BLOCK}
    assert len(blocks) == -(-length // BLOCK)
    together = np.concatenate(blocks)
    np.testing.assert_allclose(together[:length], wave, atol=1e-6)
    assert not together[length:].any()


def test_a_long_file_is_not_held_whole(tmp_path: Path) -> None:
    path = tmp_path / "long.wav"
    soundfile.write(path, np.tile(tone(48_000), 120), 48_000)  # two minutes, 23 MB as float32
    tracemalloc.start()
    source = SoundFile(path)
    assert sum(1 for _ in source.blocks()) == 120 * RATE // BLOCK
    source.close()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 2_000_000


def test_closing_twice_is_allowed_and_ends_the_blocks() -> None:
    source = SoundFile(DATA / "what_torque.flac")
    blocks = source.blocks()
    next(blocks)
    source.close()
    source.close()
    assert len(list(blocks)) < 10  # what was read before, a quarter of a second, may still come


@pytest.mark.parametrize(("name", "seconds"), [("what_torque.flac", 0.98), ("three_point_eight_litres_in.ogg", 1.75)])
def test_recorded_words_are_read(name: str, seconds: float) -> None:
    samples = read_sound(DATA / name)
    assert len(samples) / RATE == pytest.approx(seconds, abs=0.01)
    assert 0.01 < np.sqrt(np.mean(samples**2)) < 0.3


def wrong_files(folder: Path) -> dict[str, Path]:
    def file(name: str, content: bytes) -> Path:
        path = folder / name
        path.write_bytes(content)
        return path

    soundfile.write(folder / "no_length.wav", np.zeros(0), RATE)
    soundfile.write(folder / "slow.wav", np.zeros(10), 100)
    soundfile.write(folder / "not_a_number.wav", np.full(10, np.nan), RATE, subtype="FLOAT")
    return {
        "there is no such file": folder / "missing.wav",
        "it is a folder": folder,
        "it is empty": file("empty.wav", b""),
        "it is no sound file": file("text.wav", b"drain plug 30 newton metres"),
        "no sound file that can be read": file("headerless.raw", b"\0" * 1000),
        "its length is zero": folder / "no_length.wav",
        "its rate is 100 Hz": folder / "slow.wav",
        "no numbers": folder / "not_a_number.wav",
    }


@pytest.mark.parametrize(
    "why",
    [
        "there is no such file",
        "it is a folder",
        "it is empty",
        "it is no sound file",
        "no sound file that can be read",
        "its length is zero",
        "its rate is 100 Hz",
        "no numbers",
    ],
)
def test_a_wrong_file_is_refused_with_its_name_the_reason_and_the_way_out(tmp_path: Path, why: str) -> None:
    path = wrong_files(tmp_path)[why]
    with pytest.raises(DataError, match=why) as caught:
        read_sound(path)
    assert str(path) in str(caught.value)
    assert ";" in str(caught.value)
    assert len(caught.value.say.split()) <= 15
