"""Holds what speaks: speech engines, and what plays their sound. Never decides what is said.

With a loudspeaker the program is deaf while it speaks. With a headset it speaks while it listens, and is
silent as soon as the person begins to speak. What fails is done without and tried again beside the talk; a warning that
could not be said is said when the voice is back.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import DeviceError
from assistant.core.hearing.sound.levels import is_mute
from assistant.core.job.pauses import Pauses
from assistant.core.types import RATE, Reply, Tone
from assistant.path.revival import Revival
from assistant.ports import Player, Speech

if TYPE_CHECKING:
    from numpy.typing import NDArray

VOICE_BACK, USUAL_BACK = "My voice is back.", "My usual voice is back."
MISSED = "I could not say:"
MOST_MISSED = 3
"""So many warnings at most are said again: older ones are of another step."""
TRIAL = np.zeros(RATE // 10, np.float32)
"""Silence that a loudspeaker has to take before it is trusted again."""


@dataclass(slots=True)
class Mouth:
    """Speech engines and a player; dumb without both."""

    speech: Speech | None = None
    player: Player | None = None
    headset: bool = False
    """Whether the microphone can't hear what is played, so that it may stay open."""
    cut_off: Reply | None = None
    """The reply in which the person broke in last, until the talk has moved on."""
    others: Sequence[Speech] = ()
    """The voices that are fallen back to, in this order."""
    open_player: Callable[[], Player] | None = None
    """Opens the loudspeaker again; without it, the same player is tried again."""
    faults: list[DeviceError] = field(default_factory=list)
    """What failed and was done without; to be shown to the person."""
    _saying: Reply | None = None
    _missed: list[Reply] = field(default_factory=list)
    """Warnings that could not be said, oldest first."""
    _back: str = ""
    """What is to be told of the voice."""
    _reopening: Revival[Player] | None = None
    _lost: dict[str, Revival[Speech]] = field(default_factory=dict)
    """The voices that are done without, by name."""
    _pauses: dict[str, Pauses] = field(default_factory=dict)
    """How often a voice or the player failed since it worked, by name."""

    @property
    def audible(self) -> bool:
        """Whether the microphone hears what is said."""
        return self.speech is not None and self.player is not None and not self.headset

    @property
    def talking(self) -> bool:
        """Whether something is being said at this moment, while listening goes on."""
        return self.headset and self.player is not None and self.player.playing

    @property
    def _voices(self) -> tuple[Speech, ...]:
        """The voices that work, the usual one first."""
        every = (self.speech, *self.others) if self.speech else ()
        return tuple(voice for voice in every if voice and voice.name not in self._lost)

    # --- saying ---

    def say(self, reply: Reply, *, last: bool = False) -> float:
        """Say a reply and return how long it will still sound [second]; the last one is waited for.

        What fails is noted in `faults`, once; the next voice is tried at once, and the player later.
        """
        if not (self.speech and reply.say):
            return 0.0
        sound = self._rendered(reply.say) if self.player else None
        if self.player and sound is None and reply.tone is not Tone.PLAIN:
            self._played(self.player, np.zeros(0, np.float32), reply, last=True)  # its signal at least
        lasts = self._played(self.player, sound, reply, last=last) if self.player and sound is not None else None
        if lasts is None:
            self._miss(reply)
            return 0.0
        self._missed.clear()
        self._back = ""
        return lasts

    def _rendered(self, text: str) -> NDArray[np.float32] | None:
        """Return the text in the first voice that can say it; None where none can."""
        for voice in self._voices:
            try:
                sound = _spoken(voice, text)
            except DeviceError as fault:
                self._lose_voice(voice, fault)
            else:
                self._pauses.pop(voice.name, None)
                return sound
        return None

    def _played(self, player: Player, sound: NDArray[np.float32], reply: Reply, *, last: bool) -> float | None:
        """Play a sound and return how long it will still sound [second]; None where it can't be played."""
        try:
            if last or not self.headset:
                player.play(sound, reply.tone)
                lasts = 0.0
            else:
                player.start(sound, reply.tone)
                lasts = len(sound) / RATE
        except DeviceError as fault:
            if self.headset and self._saying:
                self._miss(self._saying)  # a player that only began tells by the next call that it failed
            self._lose_player(player, fault)
            return None
        self._saying = reply
        self._pauses.pop(player.name, None)
        return lasts

    def _miss(self, reply: Reply) -> None:
        """Keep a warning that was not said; what tells that the voice is back holds those already."""
        warns = reply.tone in (Tone.WARN, Tone.ALARM) or "Careful." in reply.say
        if warns and VOICE_BACK not in reply.say and reply not in self._missed:
            self._missed = [*self._missed, reply][-MOST_MISSED:]

    def prepare(self, text: str) -> None:
        """Render ahead what will probably be said next."""
        if self._voices and self.player and text:
            self._voices[0].prepare(text)

    def give_way(self) -> None:
        """Be silent because the person speaks; an alarm sounds on, for a clang must not end it."""
        if self.player and self._saying and self._saying.tone is not Tone.ALARM and self.talking:
            self.player.stop()
            self.cut_off = self._saying

    # --- failing, and coming back ---

    def _after(self, name: str) -> Pauses:
        """Return the pauses after one more failure."""
        self._pauses[name] = self._pauses.get(name, Pauses()).failed(time.monotonic())
        return self._pauses[name]

    def _lose_voice(self, voice: Speech, fault: DeviceError) -> None:
        self.faults.append(fault)
        numbers = count(1)

        def attempt() -> Speech:
            _spoken(voice, f"Voice {next(numbers)}.")  # never a text that it has kept
            return voice

        self._lost[voice.name] = Revival(attempt, pauses=self._after(voice.name))

    def _lose_player(self, player: Player, fault: DeviceError) -> None:
        self.faults.append(fault)
        self.player, self._saying = None, None
        self.find_player(player, self._after(player.name))

    def find_player(self, old: Player | None = None, pauses: Pauses | None = None) -> None:
        """Begin to look for the loudspeaker, where there is none or the old one failed."""
        open_player = self.open_player

        def attempt() -> Player:
            if old and open_player:
                old.close()
            player = open_player() if open_player else old
            assert player
            try:
                player.play(TRIAL)
            except DeviceError:
                if open_player:
                    player.close()
                raise
            return player

        self._reopening = Revival(attempt, lambda player: player.close(), pauses)

    def catch_up(self) -> None:
        """Take back what works again. Called before a reply is made, so that `news` can be in it."""
        was_dumb = not (self.player and self._voices)
        if self._reopening and (player := self._reopening.take()):
            self.player, self._reopening = player, None
        found = [name for name, revival in self._lost.items() if revival.take()]
        for name in found:
            del self._lost[name]
        if was_dumb and self.player and self._voices:
            self._back = VOICE_BACK
        elif found and self.speech and self.speech.name in found and not was_dumb:
            self._back = USUAL_BACK

    def news(self) -> tuple[str, ...]:
        """Return what is to be told of the voice before the next reply, with the warnings that could not be said."""
        if not self._back:
            return ()
        return (self._back, *((MISSED, *(reply.say for reply in self._missed)) if self._missed else ()))

    @property
    def missed_alarm(self) -> bool:
        """Whether an alarm is among what could not be said."""
        return any(reply.tone is Tone.ALARM for reply in self._missed)

    def close(self) -> None:
        """Let all go; may be called twice."""
        for revival in (self._reopening, *self._lost.values()):
            if revival:
                revival.give_up()
        for port in (self.speech, *self.others, self.player):
            if port:
                port.close()


def _spoken(voice: Speech, text: str) -> NDArray[np.float32]:
    """Return a text as sound; `DeviceError` where a voice gives none, or digital silence."""
    sound = voice.render(text)
    if any(sign.isalnum() for sign in text) and is_mute(sound):
        raise DeviceError(f"the voice {voice.name} gives only silence; the text goes on without it", say="No voice.")
    return sound
