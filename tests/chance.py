"""Talk by chance: mostly what fits, with denials, nonsense, numbers out of range and bursts of going back."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from decimal import Decimal

from assistant.core.data.procedure import Procedure
from assistant.core.job.engine import INTENTS
from assistant.core.job.state import State
from assistant.core.proof.tried import NEVER, tried
from assistant.core.quantities.units import SYMBOLS, Amount, kind_of
from assistant.core.types import Intent

Turn = Callable[[State], Intent | int]
"""What is meant in a state, or how many seconds pass."""
NUMBERS = ("-1", "0", "0.5", "2", "4.4", "30", "100000", "1e9")
BURSTS = (0,) * 300 + (3, 8, 25)
"""How often in a row somebody goes back."""


def turns(job: Procedure, seed: int, count: int) -> Iterator[Turn]:
    """Yield turns of a long talk that is always the same for a seed."""
    chance = random.Random(seed)
    back = 0
    for _ in range(count):
        back = back - 1 if back > 0 else chance.choice(BURSTS)
        if back:
            name = chance.choice(("back", "back", "undo"))
            yield lambda state, name=name: Intent(name)
        else:
            yield lambda state: _turn(job, state, chance)


def _turn(job: Procedure, state: State, chance: random.Random) -> Intent | int:
    if (state.parked or state.paused) and chance.random() < 0.5:
        return Intent("go-on" if state.parked else "listen")
    lot = chance.random()
    if lot < 0.86:
        return chance.choice(forward(state) or [Intent("next")])
    if lot < 0.9:
        return chance.choice([*tried(state), Intent("next")])
    if lot < 0.92:
        return chance.choice((2, 30, 700, 1300))
    if lot < 0.94:
        return Intent("denied", option=chance.choice(("", "here", *(f"option:{name}" for name in _options(job)))))
    if lot < 0.96:
        return Intent("condition", option=chance.choice([f"{one.id}:{how}" for one in job.conditions for how in HOW]))
    if lot < 0.98:
        return Intent(chance.choice(INTENTS), option=chance.choice(_options(job)))
    unit = chance.choice(sorted(SYMBOLS))
    return Intent("value", value=Amount(Decimal(chance.choice(NUMBERS)), unit, kind_of(unit)))


HOW = ("holds", "over")


def forward(state: State) -> list[Intent]:
    """Return what leads on, so that a talk by chance comes to the end of the job now and then."""
    names = ("next", "option", "value", "claim", "confirm", "condition")
    return [intent for intent in tried(state) if intent.name in names and NEVER not in intent.words]


def _options(job: Procedure) -> list[str]:
    asked = [option.id for gate in job.gates for ask in gate.asks for option in ask.options]
    chosen = [option.id for step in job.steps if step.choice for option in step.choice.options]
    return sorted({*asked, *chosen})
