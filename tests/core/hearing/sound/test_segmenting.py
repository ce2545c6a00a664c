"""Checks where utterances begin and end, counted in samples, on streams whose truth is known by construction."""

from collections.abc import Iterable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.errors import ReadingError
from assistant.core.hearing.sound.pauses import LONG_END, SHORT_END
from assistant.core.hearing.sound.segmenting import Segmenter, SegmenterSettings
from assistant.core.types import RATE, Utterance

pytestmark = pytest.mark.pure

BLOCK = 512
NOISE, VOICE = 0.001, 0.1
"""Root mean square of the two: the voice lies 40 dB above the noise."""


def blocks_in(seconds: float) -> int:
    """Return the least number of blocks that lasts so long."""
    return -int(-seconds * RATE // BLOCK)


def stream(spoken: Iterable[bool], seed: int = 0) -> list[np.ndarray]:
    """Return one block of noise each, louder where something is spoken."""
    chance = np.random.default_rng(seed)
    return [(chance.standard_normal(BLOCK) * (VOICE if voiced else NOISE)).astype(np.float32) for voiced in spoken]


def cut(segmenter: Segmenter, spoken: list[bool], seed: int = 0) -> list[Utterance]:
    found = [segmenter.push(block, float(voiced)) for block, voiced in zip(stream(spoken, seed), spoken, strict=True)]
    return [utterance for utterance in [*found, segmenter.flush()] if utterance is not None]


QUIET = [False] * blocks_in(1.0)
WORD = [True] * blocks_in(0.4)


def test_a_word_between_silences_is_one_utterance() -> None:
    (utterance,) = cut(Segmenter(), QUIET + WORD + QUIET)
    pre_roll = len(QUIET) * BLOCK - utterance.start
    assert 0.3 * RATE - BLOCK < pre_roll <= 0.3 * RATE + BLOCK
    assert len(utterance.samples) == pre_roll + (len(WORD) + blocks_in(LONG_END)) * BLOCK
    assert not utterance.cut


@pytest.mark.parametrize("end", [SHORT_END, 0.5, LONG_END])
def test_the_silence_that_was_waited_for_is_told(end: float) -> None:
    (utterance,) = cut(Segmenter(end_silence=end), QUIET + WORD + QUIET)
    assert end <= utterance.waited < end + BLOCK / RATE
    (until_the_end,) = cut(Segmenter(end_silence=end), QUIET + WORD + [False] * 3)
    assert until_the_end.waited == 3 * BLOCK / RATE


def test_silence_alone_is_none() -> None:
    segmenter = Segmenter()
    assert cut(segmenter, QUIET * 20) == []
    assert segmenter.position == len(QUIET) * 20 * BLOCK


def test_two_words_are_two_utterances_or_one_by_the_end_silence() -> None:
    pause = [False] * blocks_in(0.6)
    spoken = QUIET + WORD + pause + WORD + QUIET
    assert len(cut(Segmenter(end_silence=SHORT_END), spoken)) == 2
    assert len(cut(Segmenter(end_silence=0.5), spoken)) == 2
    assert len(cut(Segmenter(end_silence=LONG_END), spoken)) == 1


def test_the_end_silence_may_change_while_one_speaks() -> None:
    segmenter = Segmenter(end_silence=LONG_END)
    spoken = QUIET + WORD + [False] * blocks_in(SHORT_END)
    assert all(
        segmenter.push(block, float(voiced)) is None for block, voiced in zip(stream(spoken), spoken, strict=True)
    )
    assert segmenter.speaking
    segmenter.end_silence = SHORT_END
    assert segmenter.push(stream([False])[0], 0.0) is not None
    assert not segmenter.speaking


@pytest.mark.parametrize(("voiced_blocks", "heard"), [(1, 0), (3, 0), (4, 0), (5, 1), (6, 1)])
def test_a_clang_is_too_short(voiced_blocks: int, heard: int) -> None:
    # 0.16 s are five blocks of 32 ms.
    assert len(cut(Segmenter(), QUIET + [True] * voiced_blocks + QUIET)) == heard


def test_clangs_with_gaps_do_not_add_up() -> None:
    assert cut(Segmenter(), QUIET + ([True] * 3 + [False] * 2) * 10 + QUIET) == []


def test_flutter_inside_a_word_does_not_break_it() -> None:
    probabilities = [0.0] * 20 + [0.6, 0.4, 0.4, 0.6, 0.4, 0.4] + [0.0] * 40
    segmenter = Segmenter()
    blocks = stream([p > 0 for p in probabilities])
    found = [segmenter.push(block, p) for block, p in zip(blocks, probabilities, strict=True)]
    assert sum(utterance is not None for utterance in found) == 1


def test_steady_noise_taken_for_a_voice_is_cut_at_eight_seconds_and_then_left_alone() -> None:
    (first,) = cut(Segmenter(), QUIET + [True] * blocks_in(20))
    assert first.cut
    assert first.seconds == pytest.approx(8, abs=BLOCK / RATE)


def over_talk(louder_db: float, pause: float = 0.0) -> list[Utterance]:
    """Return what is cut from 12 s of talk in the background, a pause, and a word that is so much louder."""
    talk = stream([True] * blocks_in(12))
    word = [block * np.float32(10 ** (louder_db / 20)) for block in stream(WORD)]
    hush = stream([False] * blocks_in(pause))
    blocks = [*talk, *hush, *word, *(stream([False] * blocks_in(2)) if pause else talk[: blocks_in(2)])]
    voiced = [1.0] * len(talk) + [0.0] * len(hush) + [1.0] * len(word) + [0.0 if pause else 1.0] * blocks_in(2)
    segmenter = Segmenter()
    found = [segmenter.push(block, probability) for block, probability in zip(blocks, voiced, strict=True)]
    return [utterance for utterance in [*found, segmenter.flush()] if utterance is not None]


@pytest.mark.parametrize(("louder_db", "heard"), [(0.0, 1), (4.0, 1), (8.0, 2), (12.0, 2)])
def test_over_talk_in_the_background_a_nearer_voice_is_cut_out(louder_db: float, heard: int) -> None:
    talk, *near = over_talk(louder_db)
    assert talk.cut
    assert len(near) == heard - 1
    for utterance in near:
        assert not utterance.cut
        assert utterance.start >= talk.start + len(talk.samples)  # no sample belongs to two
        assert utterance.seconds < 0.3 + len(WORD) * BLOCK / RATE + LONG_END + 6 * BLOCK / RATE
        assert utterance.snr_db == pytest.approx(10 * np.log10(10 ** (louder_db / 10) - 1), abs=1.5)


@pytest.mark.parametrize(("before", "with_the_middle"), [(12, True), (0, False)])
def test_amid_talk_the_soft_middle_of_a_phrase_is_part_of_it(before: float, *, with_the_middle: bool) -> None:
    """A syllable that is no louder than the talk counts there; elsewhere it is silence, as the detector says."""
    talk, middle = [True] * blocks_in(before), [True] * blocks_in(0.3)
    soft, loud = stream([*talk, *middle]), [4 * block for block in stream(WORD)]
    blocks = [*soft[: len(talk)], *loud, *soft[len(talk) :], *loud, *stream([False] * blocks_in(1))]
    probabilities = [1.0] * (len(blocks) - blocks_in(1)) + [0.0] * blocks_in(1)
    if not before:
        probabilities[len(loud) : len(loud) + len(middle)] = [0.0] * len(middle)
    segmenter = Segmenter()
    found = [segmenter.push(block, probability) for block, probability in zip(blocks, probabilities, strict=True)]
    *_, phrase = [utterance for utterance in found if utterance]
    words = 2 * len(WORD) + (len(middle) if with_the_middle else 0)
    assert phrase.voiced is not None
    assert phrase.voiced == pytest.approx(words * BLOCK / RATE, abs=4 * BLOCK / RATE)  # loudness is averaged over four


def test_when_the_talk_has_fallen_silent_any_voice_is_heard_again() -> None:
    assert len(over_talk(-10.0)) == 1
    assert len(over_talk(-10.0, pause=0.6)) == 2


def test_what_is_said_when_the_stream_ends_is_kept() -> None:
    (utterance,) = cut(Segmenter(), QUIET + WORD)
    assert utterance.start + len(utterance.samples) == (len(QUIET) + len(WORD)) * BLOCK
    assert Segmenter().flush() is None


def test_a_word_at_the_very_start_is_heard_without_a_noise_level() -> None:
    (utterance,) = cut(Segmenter(), WORD + QUIET)
    assert utterance.start == 0
    assert utterance.snr_db is None


@pytest.mark.parametrize("ratio_db", [40, 20, 10, 5, 0])
def test_the_ratio_of_speech_to_noise_is_the_one_mixed(ratio_db: int) -> None:
    # ISO 80000-8:2020 defines a level difference as 10 lg of the ratio of the mean squares.
    chance = np.random.default_rng(ratio_db)
    spoken = QUIET * 4 + WORD * 3 + QUIET
    segmenter = Segmenter()
    found = []
    for voiced in spoken:
        block = NOISE * chance.standard_normal(BLOCK)
        if voiced:
            block = block + NOISE * 10 ** (ratio_db / 20) * chance.standard_normal(BLOCK)
        found.append(segmenter.push(block.astype(np.float32), float(voiced)))
    (utterance,) = [one for one in found if one is not None]
    assert utterance.snr_db == pytest.approx(ratio_db, abs=0.7)


def test_the_noise_is_learned_only_while_nobody_speaks() -> None:
    segmenter = Segmenter()
    cut(segmenter, QUIET * 4)
    assert segmenter.noise_db == pytest.approx(20 * np.log10(NOISE), abs=0.3)
    cut(segmenter, WORD * 6)
    assert segmenter.noise_db == pytest.approx(20 * np.log10(NOISE), abs=0.3)


def test_the_noise_level_follows_a_compressor_that_starts() -> None:
    segmenter = Segmenter()
    cut(segmenter, QUIET * 4)
    for block in stream([True] * len(QUIET) * 5):
        segmenter.push(block, 0.0)
    assert segmenter.noise_db == pytest.approx(20 * np.log10(VOICE), abs=1)


def test_one_clang_hardly_moves_the_noise_level() -> None:
    segmenter = Segmenter()
    cut(segmenter, QUIET * 4)
    for block in stream([True] + [False] * 12):
        segmenter.push(block, 0.0)
    assert segmenter.noise_db == pytest.approx(20 * np.log10(NOISE), abs=2)


def test_digital_silence_is_no_noise() -> None:
    segmenter = Segmenter()
    for _ in range(100):
        segmenter.push(np.zeros(BLOCK, dtype=np.float32), 0.0)
    assert segmenter.noise_db is None


def test_what_is_skipped_is_never_part_of_an_utterance() -> None:
    segmenter = Segmenter()
    cut(segmenter, QUIET)
    for block in stream(WORD):
        segmenter.push(block, 1.0)
    segmenter.skip(10_000)
    assert not segmenter.speaking
    (utterance,) = cut(segmenter, WORD + QUIET)
    assert utterance.start == (len(QUIET) + len(WORD)) * BLOCK + 10_000


def test_the_clipped_share_is_told() -> None:
    segmenter = Segmenter()
    loud = [np.sign(block) for block in stream(WORD)]
    found = [segmenter.push(block, 1.0) for block in loud]
    found += [segmenter.push(np.zeros(BLOCK, dtype=np.float32), 0.0) for _ in QUIET]
    (utterance,) = [one for one in found if one is not None]
    assert utterance.clipped == pytest.approx(len(WORD) * BLOCK / len(utterance.samples))


@given(
    probabilities=st.lists(st.sampled_from([0.0, 0.4, 0.6, 1.0]), max_size=400),
    ends=st.lists(st.sampled_from([SHORT_END, 0.5, LONG_END]), min_size=1, max_size=5),
)
def test_utterances_are_stretches_of_the_stream_in_order_and_apart(
    probabilities: list[float], ends: list[float]
) -> None:
    segmenter = Segmenter(SegmenterSettings(longest=2.0))
    samples = np.arange(len(probabilities) * BLOCK, dtype=np.float32)
    found = []
    for index, probability in enumerate(probabilities):
        segmenter.end_silence = ends[index % len(ends)]
        found.append(segmenter.push(samples[index * BLOCK : (index + 1) * BLOCK], probability))
    reached = 0
    for utterance in filter(None, [*found, segmenter.flush()]):
        end = utterance.start + len(utterance.samples)
        assert reached <= utterance.start < end <= len(samples)
        np.testing.assert_array_equal(utterance.samples, samples[utterance.start : end])
        assert utterance.seconds < 2.0 + BLOCK / RATE
        reached = end


@pytest.mark.parametrize(
    "wrong",
    [
        {"voice_on": 0.3, "voice_off": 0.5},
        {"voice_off": 0.0},
        {"voice_on": 1.1},
        {"start": 0.0},
        {"start": 0.3, "minimum_voice": 0.2},
        {"pre_roll": -0.1},
        {"pre_roll": 9.0},
        {"longest": 0.1},
    ],
    ids=str,
)
def test_settings_that_contradict_each_other_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ReadingError, match="must hold"):
        SegmenterSettings(**wrong)
