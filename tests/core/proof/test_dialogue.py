"""The talk that leads to a broken promise can be typed: it is replayed with the command that was told."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

from assistant import wiring
from assistant.adapters.library import Library
from assistant.commands import prove
from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job.engine import decide
from assistant.core.job.question import question
from assistant.core.job.state import State
from assistant.core.job.typed_value import typed_value
from assistant.core.proof import dialogue
from assistant.core.proof.asking import AT, after_all
from assistant.core.proof.explore import begun
from assistant.core.proof.tried import NEVER, tried
from assistant.core.quantities.units import Amount
from assistant.core.types import Hypothesis, Intent, Verdict
from assistant.path.ears import Ears
from tests.chance import forward
from tests.short_job import UNDER, write_short_job

SHELF = Library()
JOB, CAR = SHELF.job("oil-and-filter"), SHELF.vehicle("tarnwick-plover-16")
NOWHERE = Path("no-such-folder")


def assistant(data: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *words, "--data", str(data)]
    return subprocess.run(command, input=typed, capture_output=True, text=True, check=False, timeout=300)


def test_the_talk_to_a_broken_promise_is_replayed(tmp_path: Path) -> None:
    """The short job is broken by its nature: nothing shows that the car stands raised, no gate asks for the place."""
    write_short_job(tmp_path, UNDER)
    told = assistant(tmp_path, "check", "--prove", "short", "--vehicle", "red-car", "--json")
    assert told.returncode == 1, told.stderr
    found = {one["promise"]: one["dialogue"] for one in json.loads(told.stdout)["broken"]}
    lines = found["under the car while it does not surely stand raised"]
    assert lines == ["next step", "everything is proven", "confirm going under the car"]
    done = assistant(tmp_path, "run", "short", "--vehicle", "red-car", "--typed", "--json", typed="\n".join(lines))
    replies = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(replies) == 1 + len(lines)  # a turn a line, behind the first
    begun_at = [event["step"] for reply in replies for event in reply["events"] if event["kind"] == "StepBegun"]
    assert begun_at == ["tools", "look"]  # the person was told to go under it


def test_what_holds_is_told_with_its_figures_and_no_code(tmp_path: Path) -> None:
    write_short_job(tmp_path)
    told = assistant(tmp_path, "check", "--prove", "short", "--vehicle", "red-car")
    assert told.returncode == 0, told.stderr
    assert "short on red-car: " in told.stdout
    assert "states, " in told.stdout
    assert "every promise holds" in told.stdout
    assert assistant(tmp_path, "check", "--prove", "shirt").returncode == 2


def test_every_move_is_worded_so_that_it_is_taken_for_what_it_means() -> None:
    """Along a whole job: what a walk tries can be typed, and is taken for just that."""
    tongue, ears = wiring.tongue(NOWHERE), Ears(wiring.phrasebook(SHELF.rules()))
    state, chance, seen, general = begun(JOB, CAR).state, random.Random(3), 0, SHELF.phrases()
    known: set[tuple[str, str]] = set()
    for _ in range(160):
        for intent in tried(state):
            words = dialogue._words(state, intent, tongue)
            if not words or (str(question(state)), words) in known:
                continue
            known.add((str(question(state)), words))
            assert _taken(ears, state, words, general, intent), (str(question(state)), intent, words)
            seen += 1
        state = after_all(state, decide(state, chance.choice(forward(state) or [Intent("next")]), AT))
        if state.finished_at:
            break
    assert seen > 60


def _taken(ears: Ears, state: State, words: str, general: tuple, intent: Intent) -> bool:
    if intent.value is not None and isinstance(intent.value, Amount):
        if NEVER in intent.words:
            return True  # what can't be right may be refused as it is read
        return typed_value(state, words) == intent.value
    match = ears.read(Hypothesis(words, 0.0, "typed"), allowed(state, general))
    taken = understand(match, str(state.vehicle.units))
    if taken.verdict is not Verdict.ACCEPTED or not taken.intent:
        return False
    if intent.value is not None:
        return taken.intent.name == "value"
    same = {"next": {"next", "done", "claim"}, "claim": {"claim", "next", "done"}}.get(intent.name, {intent.name})
    return taken.intent.name in same and (taken.intent.option or "") == (intent.option or "")


def test_the_lines_for_people_hold_the_command() -> None:
    proof = prove.Proof("my job.yaml", "car", 3, 4, 0.5, (("a promise", ("next step", "@ +10m")),))
    assert list(prove.lines(proof)) == [
        "my job.yaml on car: 3 states, 4 moves, 0.5 s: 1 broken",
        "- a promise. It comes to that by:",
        "assistant run 'my job.yaml' --vehicle car --typed <<'END'",
        "next step", "@ +10m", "END",
    ]  # fmt: skip
