"""Holds what speaks: a speech engine, and what plays its sound. Never decides what is said.

With a loudspeaker the program is deaf while it speaks. With a headset it speaks while it listens, and is
silent as soon as the person begins to speak.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.errors import DeviceError
from assistant.core.types import RATE, Reply, Tone
from assistant.ports import Player, Speech


@dataclass(slots=True)
class Mouth:
    """A speech engine and a player; dumb without both."""

    speech: Speech | None = None
    player: Player | None = None
    headset: bool = False
    """Whether the microphone can't hear what is played, so that it may stay open."""
    cut_off: Reply | None = None
    """The reply in which the person broke in last, until the talk has moved on."""
    _saying: Reply | None = None

    @property
    def audible(self) -> bool:
        """Whether the microphone hears what is said."""
        return self.speech is not None and self.player is not None and not self.headset

    @property
    def talking(self) -> bool:
        """Whether something is being said at this moment, while listening goes on."""
        return self.headset and self.player is not None and self.player.playing

    def say(self, reply: Reply, *, last: bool = False) -> float:
        """Say a reply and return how long it will still sound [second]; the last one is waited for.

        After a DeviceError there is no more speech.
        """
        if not (self.speech and self.player and reply.say):
            return 0.0
        try:
            sound = self.speech.render(reply.say)
            if last or not self.headset:
                self.player.play(sound, reply.tone)
                return 0.0
            self.player.start(sound, reply.tone)
        except DeviceError:
            self.speech = None
            raise
        self._saying = reply
        return len(sound) / RATE

    def prepare(self, text: str) -> None:
        """Render ahead what will probably be said next."""
        if self.speech and self.player and text:
            self.speech.prepare(text)

    def give_way(self) -> None:
        """Be silent because the person speaks; an alarm sounds on, for a clang must not end it."""
        if self.player and self._saying and self._saying.tone is not Tone.ALARM and self.talking:
            self.player.stop()
            self.cut_off = self._saying

    def close(self) -> None:
        """Let both go; may be called twice."""
        for port in (self.speech, self.player):
            if port:
                port.close()
