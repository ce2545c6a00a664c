"""From the sound of a source to turns: what is said is taken, and time passes with the sound."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import RATE
from assistant.path.desk import Desk, Turn
from assistant.path.hearing import heard_sound, phrases_now
from assistant.path.stream import Stream
from assistant.path.turn import HEARD_AGAIN, tell, time_passes
from assistant.ports import LosableSource, SoundSource, VoiceActivity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def listen(desk: Desk, source: SoundSource, voice: VoiceActivity, segmenter: Segmenter) -> Iterator[Turn]:
    """Yield each turn that the sound of a source brings; time passes with the sound."""
    stream = Stream(desk.ears, voice, segmenter)
    losable = source if isinstance(source, LosableSource) else None
    for block in source.blocks():
        desk.clock.move(len(block) / RATE)
        audible = desk.mouth.audible
        turn = (_lost(desk, losable, stream) if losable else None) or _next(desk, stream, block)
        if turn:
            if (audible or desk.mouth.audible) and turn.reply.say:
                source.forget()
                stream.forget()
            yield turn
    if spoken := stream.flush(lambda: phrases_now(desk)):
        yield heard_sound(desk, spoken)


def _next(desk: Desk, stream: Stream, block: NDArray[np.float32]) -> Turn | None:
    """Take the next block of sound."""
    spoken = stream.push(block, lambda: phrases_now(desk))
    return heard_sound(desk, spoken) if spoken else _between(desk, stream)


def _lost(desk: Desk, source: LosableSource, stream: Stream) -> Turn | None:
    """Tell that the microphone is gone; that it is back is told once nobody speaks. Drop what a gap has cut off."""
    if source.broken:
        stream.forget()
    before, desk.deaf = desk.deaf, source.lost
    if before and not desk.deaf:
        desk.ears.warnings.append(HEARD_AGAIN)
    if before or not desk.deaf:
        return None
    desk.ears.faults.append(desk.deaf)
    desk.ears.warnings.append(desk.deaf.say)
    return tell(desk)


def _between(desk: Desk, stream: Stream) -> Turn | None:
    """Give way to a person who speaks; else let time pass, but not into what is being said."""
    if stream.speaking:
        desk.mouth.give_way()
        return None
    return None if desk.mouth.talking else time_passes(desk)
