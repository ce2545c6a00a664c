"""The shapes of what was heard: every case of a verdict, on findings that are written down by hand."""

from __future__ import annotations

import json

import pytest

from assistant.core.grammar.word_graph import Step
from assistant.core.hearing.verdict.matching import Found, Match
from assistant.core.hearing.verdict.report import Heard, line, record, summary
from assistant.core.types import Hypothesis, Phrase, Verdict

pytestmark = pytest.mark.pure

INFINITE = float("inf")


def found(*words: tuple[str, str], score: float = -0.1) -> Found:
    """A finding of words, each with the rules that it stands in."""
    steps = tuple(Step(0, word, 0, tuple(rules.split())) for word, rules in words)
    return Found(Phrase("order", "any"), steps, score, 0.0)


LITRES = found(("pour", ""), ("three", "quantity number"), ("litres", "quantity unit"))
ROUTE = found(("from", ""), ("bath", "city"), ("to", ""), ("york", "city"))
WRITTEN = (Hypothesis("Pour 3 L", -0.1, "one"), Hypothesis("pore three", -0.4, "one"), Hypothesis("pour", -0.2, "two"))


def heard(match: Match, note: str | None = None) -> Heard:
    return Heard("a.wav", 8_000, 1.5, match, computed=0.25, latency=1.05, note=note)


def test_an_accepted_phrase() -> None:
    told = record(heard(Match(Verdict.ACCEPTED, LITRES, ROUTE, 3.21987, WRITTEN)), "metric", 1)
    assert told == {
        "file": "a.wav", "start_s": 0.5, "seconds": 1.5, "verdict": "accepted", "intent": "order",
        "text": "pour three litres",
        "slots": {"quantity": "three litres"}, "value": {"slot": "quantity", "magnitude": 3.0, "unit": "litre"},
        "best": "pour three litres", "score": -0.1, "runner_up": "from bath to york", "margin": 3.22,
        "heard": {"one": "Pour 3 L", "two": "pour"}, "compute_s": 0.25, "latency_s": 1.05, "noise_start_s": None,
        "snr_db": None, "note": None,
    }  # fmt: skip


def test_rules_inside_rules_and_several_of_one_name() -> None:
    told = record(heard(Match(Verdict.ACCEPTED, LITRES)), "metric", None)
    assert told["slots"] == {"quantity": "three litres", "number": "three", "unit": "litres"}
    assert record(heard(Match(Verdict.ACCEPTED, ROUTE)), "metric", None)["slots"] == {"city": ["bath", "york"]}


def test_a_unit_that_is_not_the_same_everywhere_has_no_value_without_a_system() -> None:
    # A US quart is 0.946 L and an imperial one 1.137 L (NIST Handbook 44, appendix C).
    quarts = found(("two", "quantity"), ("quarts", "quantity"))
    assert record(heard(Match(Verdict.ACCEPTED, quarts)), "us", 1)["value"]["unit"] == "US_quart"
    assert record(heard(Match(Verdict.ACCEPTED, quarts)), "", 1)["value"] is None


def test_a_level_is_a_dipstick_reading_in_a_job_only() -> None:
    full = found(("full", "level"))
    assert record(heard(Match(Verdict.ACCEPTED, full)), "metric", 1)["value"]["said"] == "at the full mark"
    assert record(heard(Match(Verdict.ACCEPTED, full)), "", 1)["value"] is None


@pytest.mark.parametrize("verdict", [Verdict.UNCLEAR, Verdict.NOT_FOR_ME])
def test_what_was_not_accepted_has_no_text_but_its_best_guess(verdict: Verdict) -> None:
    told = record(heard(Match(verdict, LITRES, None, INFINITE, WRITTEN)), "metric", 1)
    assert (told["intent"], told["text"], told["slots"], told["value"]) == (None, None, {}, None)
    assert told["margin"] is None
    assert told["best"] == "pour three litres"


def test_a_file_without_speech() -> None:
    told = record(Heard("a.wav", 0, 2.0, Match(Verdict.NOT_FOR_ME), note="No speech."), "metric", 1)
    assert (told["score"], told["latency_s"], told["heard"], told["note"]) == (None, None, {}, "No speech.")


@pytest.mark.parametrize("score", [-1e6, -INFINITE])
def test_every_record_is_json_that_any_program_reads(score: float) -> None:
    far = found(score=score)
    told = record(heard(Match(Verdict.NOT_FOR_ME, far, far, INFINITE)), "metric", 1)
    json.loads(json.dumps(told), parse_constant=lambda name: pytest.fail(f"{name} is no JSON (RFC 8259, section 6)"))
    assert (told["best"], told["score"]) == (None, None)


@pytest.mark.parametrize(
    ("match", "said"),
    [
        (Match(Verdict.ACCEPTED, LITRES), "accepted: 'pour three litres', score -0.10; quantity: three litres"),
        (Match(Verdict.UNCLEAR, LITRES, ROUTE), "unclear: 'pour three litres' or 'from bath to york', score -0.10"),
        (Match(Verdict.UNCLEAR, LITRES), "unclear: 'pour three litres', score -0.10"),
        (Match(Verdict.NOT_FOR_ME, LITRES, heard=WRITTEN), "not for me, heard 'Pour 3 L'"),
        (Match(Verdict.NOT_FOR_ME), "not for me"),
    ],
)
def test_a_line_for_the_eye(match: Match, said: str) -> None:
    assert line(heard(match)) == f"a.wav, 0.5 s: {said}"
    assert line(heard(match, "Too loud.")) == f"a.wav, 0.5 s: {said} (Too loud.)"


def test_the_noise_that_was_laid_under_is_told() -> None:
    one = Heard(
        "a.wav", 8_000, 1.5, Match(Verdict.NOT_FOR_ME), latency=1.0, note="Short.", noise_start=40_000, snr_db=6.0
    )
    assert (record(one, "", 1)["noise_start_s"], record(one, "", 1)["snr_db"]) == (2.5, 6.0)
    assert line(one) == "a.wav, 0.5 s: not for me; 6 dB above noise from 2.5 s on (Short.)"


def test_the_summary_counts_and_gives_the_middle_and_the_late() -> None:
    each = [Heard("a.wav", 0, 2.0, Match(Verdict.ACCEPTED, LITRES), latency=late / 100) for late in range(101)]
    none = Heard("b.wav", 0, 3.0, Match(Verdict.NOT_FOR_ME))
    assert summary([*each, none], 2, 10.0) == [
        "files: 2; 101 accepted, 0 unclear, 1 not for me",
        "from the end of speech to the verdict: median 0.50 s, 95 % within 0.95 s",
        "sound listened to: 205.0 s; worked out in 10.0 s",
    ]
    assert len(summary([none], 1, 1.0)) == 2
    assert summary([], 1, 1.0)[0] == "files: 1; 0 accepted, 0 unclear, 0 not for me"
