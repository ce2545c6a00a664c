"""What is said to "how do you know that" about a computed value."""

from __future__ import annotations

from tests.talk import CLOSE, DRAIN, EVIDENCE, READY, RUN, Talk


def test_it_tells_why_what_is_assumed_and_who_says_so_without_a_figure(talk: Talk) -> None:
    talk.say(READY)
    talk.say("on concrete / the brake light is on / both back wheels / how do you know that")
    assert talk.said.startswith("It is half of the load on that axle")
    assert "Source: HSE, Working under vehicles: never above the rated capacity." in talk.said
    assert not any(character.isdigit() for character in talk.said)


def test_common_practice_is_called_so(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN, "near low / how do you know that")))
    assert "Up to the full mark it lacks about zero point eight eight litres, give or take one hundred" in talk.said
    assert "I assume: a reading in words is good to an eighth of the span, which is common practice." in talk.said
    assert not any(character.isdigit() for character in talk.said)
