"""Amounts have a most: what is too much is said at once, with what to do, and the engine does not run with it.

Every figure follows by hand from the invented car's data: capacity 4.3 L, span 1.0 L, so 3.3 L reach the low mark.
"""

from __future__ import annotations

from decimal import Decimal

from assistant.core.job import known
from tests.talk import CLOSE, DRAIN, EVIDENCE, PLACE, READY, RUN, START, Talk

BEFORE_POURING = " / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0]))
DIPSTICK = " / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN))
CAP = "the filler cap is tight / confirm filler cap"


def poured(talk: Talk) -> Decimal:
    return known.poured(talk.state, "oil").magnitude


def test_more_than_the_capacity_is_said_at_once_and_drawn_off_before_anything_else(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / five litres")
    assert "too much oil. Do not start the engine. Draw off: zero point seven litres" in talk.said  # 5.0 less 4.3
    assert talk.waiting == "reading:drawn-off"
    talk.say("next step")
    assert talk.state.step == "pour-first"
    talk.say("half a litre")
    assert "Draw off: zero point two litres" in talk.said
    talk.say("I drew off one litre")
    assert talk.state.step == "filler-close"
    assert poured(talk) == Decimal("3.5")


def test_what_was_drawn_off_is_no_more_than_there_was(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / five litres / six litres")
    assert "Allowed: zero litres to five litres" in talk.said
    assert poured(talk) == Decimal(5)


def test_going_back_after_pouring_does_not_pour_again(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / three point five litres")
    talk.say("go back one step")
    assert talk.state.step == "pour-first"
    assert "That makes three point five litres. It is enough for now." in talk.said
    assert talk.waiting == "next"
    talk.say("next step")
    assert poured(talk) == Decimal("3.5")


def test_draining_again_forgets_what_was_poured(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / three point five litres / {CAP} / it is wet at the plug")
    assert talk.state.step == "plug-again"
    talk.say("next step / next step / the plug is out")
    assert poured(talk) == 0
    assert talk.state.drained


def test_a_pour_that_was_said_wrong_does_not_count(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / four point two litres / that was wrong / three point four litres")
    assert poured(talk) == Decimal("3.4")


def test_topping_up_more_than_was_said_is_drawn_off_again(talk: Talk) -> None:
    # near low is up to a quarter of the span: 0.75 L fit, of which the jug shows 0.7
    talk.say(f"{DIPSTICK} / near low / one litre")
    assert "Draw off: zero point three litres" in talk.said
    assert talk.state.step == "top-up"
    talk.say("point three litres")
    assert talk.state.step == "top-up-close"


def test_after_drawing_off_what_it_orders_it_takes(talk: Talk) -> None:
    talk.say(f"{DIPSTICK} / above the full mark")
    assert "Do not run the engine" in talk.said
    assert talk.said.endswith("draw off about: zero point five litres. How much did you draw off?")
    talk.say("two litres / @300 / next step / below the low mark")
    assert talk.state.step == "top-up"
    assert "Pour in: zero point five litres, not more." in talk.said  # half of the span, for it can't be read how low
    talk.say("point five litres")
    assert talk.state.step == "top-up-close"


def test_the_engine_does_not_start_with_too_much_by_the_dipstick(talk: Talk) -> None:
    talk.say(f"{DIPSTICK} / above the full mark")
    for _ in range(5):
        talk.say("go back one step")
    assert "start-engine" not in talk.state.gates
    talk.say(START)
    assert "start-engine" not in talk.state.gates


def test_lost_oil_is_counted_and_poured_in_again(talk: Talk) -> None:
    talk.say(f"{DIPSTICK} / three quarters / wet at the filter / next step / the new ring is in")
    assert "filter-cap" in talk.state.ledger.parts
    talk.say("twenty five newton metres / confirm filter housing")
    assert talk.waiting == "reading:lost"
    talk.say("point four litres")
    assert "Pour in: zero point four litres, not more." in talk.said
    talk.say(f"point two litres / point two litres / {CAP}")
    assert talk.state.step == "clear-away"
    talk.say("next step")
    assert talk.waiting == "evidence:start-engine/exhaust"


def test_a_leak_at_the_plug_is_a_repair_with_everything_in_the_ledger(talk: Talk) -> None:
    talk.say(f"{DIPSTICK} / three quarters / dripping from the tray / next step / on stands / {PLACE} / next step")
    talk.say("next step / next step / next step / next step / next step")
    assert talk.waiting == "evidence:under-car/brake"
    talk.say(f"{EVIDENCE} / I took the tray off")
    assert talk.state.step == "plug-look"  # where the oil comes from is looked for before anything is drained
    talk.say("wet at the plug / next step / the filler cap is off / the plug is out")
    assert {"undertray", "filler-cap", "drain-plug"} <= set(talk.state.ledger.parts)
    assert poured(talk) == 0
    talk.say("@600 / next step / next step / next step / thirty newton metres / confirm drain plug")
    assert talk.waiting == "reading:poured"  # the filter was not opened, and is left alone


def test_an_amount_that_is_put_right_is_not_poured_again(talk: Talk) -> None:
    talk.say(f"{BEFORE_POURING} / three point five litres / that was wrong")
    assert talk.said == "Taken back: three point five litres. Back to: first fill. How much was it really?"


def test_what_was_drawn_off_is_not_counted_twice_by_going_back(talk: Talk) -> None:
    talk.say(f"{DIPSTICK} / above the full mark / half a litre")
    before = poured(talk)
    talk.say("go back one step / half a litre")
    assert poured(talk) == before
