"""The data path with sound: real recordings, the real voice detector, and an engine that listens while one speaks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from assistant.adapters.library import data_folder
from assistant.adapters.sound_file import SoundFile
from assistant.adapters.voice_silero import SileroVoice
from assistant.core.hearing.segmenting import Segmenter
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance
from assistant.ports import StreamingRecogniser
from tests.talk import Talk


class Follower:
    """Notes what it is handed; writes down a fixed text, because hearing is not what is tested here."""

    name = engine = "follower"

    def __init__(self, text: str) -> None:
        self.text, self.pieces, self.begun = text, [], 0

    def begin(self, phrases: Sequence[Phrase]) -> None:
        assert any(phrase.intent == "next" for phrase in phrases)
        self.pieces, self.begun = [], self.begun + 1

    def push(self, samples: np.ndarray) -> None:
        self.pieces.append(samples)

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        followed = np.concatenate(self.pieces)
        # all but the last block of the silence that ended it was handed on while it was spoken
        assert len(utterance.samples) - len(followed) <= 512
        assert (utterance.samples[: len(followed)] == followed).all()
        return Heard((Hypothesis(self.text, -0.1, self.name),))

    def close(self) -> None:
        """Nothing to let go."""


def test_an_engine_follows_an_utterance_while_it_is_spoken(talk: Talk) -> None:
    from assistant.turn import listen

    follower = Follower("what is still open")
    assert isinstance(follower, StreamingRecogniser)
    talk.desk.ears.engines = (follower,)
    recording = data_folder("procedures") / "demo" / "oil-and-filter" / "02.ogg"
    began = talk.clock.now()
    turns = list(listen(talk.desk, SoundFile(recording), SileroVoice(), Segmenter()))
    assert follower.begun == 1
    assert len(follower.pieces) > 10
    assert [turn.reply.say for turn in turns] == ["Nothing is open."]
    assert (talk.clock.now() - began).total_seconds() > 1  # time passes with the sound
