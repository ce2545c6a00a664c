"""Dialogues of the other jobs, as `scripts.py` has those of the oil job: each with its job and its car.

Each job has one from its beginning to its end, with a denial and with going back, and one that ends badly.
"""

from __future__ import annotations

from tests.talk import PLACE, START

IN_THE_ARCH = (
    "four clicks / both back wheels / two stands / flat under the car / it stood firm"
    " / confirm working in the wheel arch"
)
PARTS = f"next step / next step / next step / {PLACE} / next step / next step / next step / next step"
WHEELS_OFF = (
    "between the marks / next step / next step / next step / next step / the wheel came off / I took the wheel off"
)


def _side(side: str, outer: str) -> str:
    """Return what is said at one brake; the steps without a question end with "next step"."""
    return (
        "whole and dry / twenty two millimetres / both smooth faces / the caliper is up / the old pads are out"
        f" / four millimetres / {outer} / they slide freely / it went all the way back / the linings face the disc"
        f" / confirm {side} brake pads / next step / guide bolt is new / twenty eight newton metres"
        f" / confirm {side} guide bolt"
    )


PEDAL = (
    "the nuts are on by hand / I put the wheel on / four strokes / it stayed high / between the marks"
    " / confirm the brake pedal / the brake fluid cap is closed / confirm brake fluid cap"
)
NUTS = (
    "the car is down / snug all round / one hundred ten newton metres / confirm the nuts on the driver side"
    " / they are snug / one hundred ten newton metres / confirm the nuts on the passenger side"
)
FIRST_STOPS = (
    f"four / four of them / confirm both front wheels / the chocks are away / {START} / the light went out"
    " / the stops are done / straight and firm / the engine is off / next step / write everything down"
)

COOLANT = f"next step / next step / next step / next step / {PLACE} / next step / next step / next step / next step"
COLD = (
    "the heater is on hot / on the bench / complete silence / confirm reaching into the engine bay"
    " / completely cold / it gives way / confirm opening the cooling system"
)
DRAINED = (
    "the cap is off / the bleed screws are open / next step / the brake light is on / both back wheels / two"
    " / it stood firm / confirm going under the car / the tray is off / the coolant is running / @600 / next step"
)
FILLED = (
    "the mixture is ready / next step / three newton metres / confirm radiator plug"
    " / four point eight litres / the bleed screws are shut / confirm bleed screws / completely dry / the tray is on"
    " / the pan is out / the car is down"
)
ROUND = f"{START} / the engine is running / hot air comes out / the engine is off / @120 / next step"
END = (
    f"the coolant cap is closed / confirm coolant cap / {START} / the engine is running / @300 / nothing at all"
    " / the engine is off / @1800 / next step / between the marks / it is in the can / the bonnet is closed"
    " / write everything down"
)

OTHERS = {
    "front-brake-pads": (
        "front-brake-pads",
        "tarnwick-plover-16",
        # somebody does not know it yet, takes a reading back, and forgot a nut
        f"the parts are not ready / {PARTS} / {WHEELS_OFF} / {IN_THE_ARCH} / it is not dry / whole and dry"
        " / twelve millimetres / that was wrong"
        f" / {_side('driver side', 'three point five millimetres').removeprefix('whole and dry / ')}"
        f" / go back one step / guide bolt is new / twenty eight newton metres / confirm driver side guide bolt"
        f" / {_side('passenger side', 'one millimetre')} / {PEDAL} / {NUTS} / three / {FIRST_STOPS}",
    ),
    "front-brake-pads-torn-boot": (
        "front-brake-pads",
        "bannockfield-heron-25",
        f"{PARTS.replace('one tonne', 'two tons')} / {WHEELS_OFF} / {IN_THE_ARCH}"
        " / the boot is torn / that was wrong / whole and dry / go back one step / the boot is torn / next step"
        " / I am out / do not confirm leaving it on the stands / the boot is torn / I am out"
        " / confirm leaving it on the stands / what is still open",
    ),
    "coolant-change": (
        "coolant-change",
        "tarnwick-plover-16",
        # it was too hot to open, rust was seen late, the heater stayed cold for a while, and air came out
        f"{COOLANT} / the heater is not on hot"
        f" / {COLD.replace('completely cold', 'it is too hot / @900 / completely cold')} / {DRAINED}"
        " / clear and clean / go back one step / brown with rust / five litres / next step / still brown / next step"
        f" / clear as a window / {FILLED} / {ROUND.replace('hot air', 'it still blows cold / @300 / hot air')}"
        f" / point four litres / {ROUND} / zero litres / the coolant cap is not closed / {END}",
    ),
    "coolant-change-oil-in-it": (
        "coolant-change",
        "bannockfield-heron-25",
        f"next step / next step / next step / {PLACE.replace('one tonne', 'two tons')} / next step / next step"
        f" / next step / next step / {COLD} / the cap is off / next step / the brake light is on / both back wheels"
        " / two / it stood firm / confirm going under the car / the tap is not open / the tap is open / @600"
        " / next step / clear and clean / go back one step / there is oil on it / what can I say"
        " / confirm leaving it where it stands / what is still open",
    ),
}  # fmt: skip
"""What is said in each dialogue, in which job, and on which car."""
STOPPED = ("front-brake-pads-torn-boot", "coolant-change-oil-in-it")
"""Those that end before all is done."""
