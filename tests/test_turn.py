"""The data path with sound: a real recording, and the real voice detector."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.adapters.library import data_folder
from assistant.adapters.sound_file import SoundFile
from assistant.adapters.voice_silero import SileroVoice
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance
from tests.talk import Talk


class Writer:
    """Writes down a fixed text, because hearing is not what is tested here."""

    name = engine = "writer"

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        assert any(phrase.intent == "next" for phrase in phrases)
        return Heard((Hypothesis("what is still open", -0.1, self.name),))

    def close(self) -> None:
        """Nothing to let go."""


def test_an_utterance_becomes_one_turn_and_time_passes_with_the_sound(talk: Talk) -> None:
    from assistant.path.listening import listen

    talk.desk.ears.engines = (Writer(),)
    recording = data_folder("procedures") / "demo" / "oil-and-filter" / "02.ogg"
    began = talk.clock.now()
    turns = list(listen(talk.desk, SoundFile(recording), SileroVoice(), Segmenter()))
    assert [turn.reply.say for turn in turns] == ["Nothing is open."]
    assert (talk.clock.now() - began).total_seconds() > 1
