"""`assistant hear` as a program uses it: a real process, the real voice detector and recogniser, real sound files.

Synthetic speech is easier than people are; what it shows is that the whole way works, not how well people are heard.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
import soxr
import yaml

from assistant import wiring
from assistant.adapters.library import data_folder
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.commands import hear
from assistant.commands.cli import main
from assistant.commands.hear import Wanted, by_grammar, by_step
from assistant.core.hearing.sound.pauses import LONG_END
from assistant.core.hearing.verdict.report import record
from assistant.core.types import RATE
from assistant.path.ears import Ears

DEMO = data_folder("procedures") / "demo"
DIGITS = Path(__file__).resolve().parents[2] / "shared" / "speech" / "digits"
FIELDS = {
    "file", "start_s", "seconds", "verdict", "intent", "text", "slots", "value", "best", "score", "runner_up", "margin",
    "heard", "compute_s", "latency_s", "noise_start_s",
    "snr_db", "note",
}  # fmt: skip
COUNTER = """#JSGF V1.0 UTF-8 en;
grammar counter;
/* an invented parts counter, and what is invented to be ordered there */
public <order> = (I need | I would like) [a | an] <size> <part> in <material> for <car> by <day> [please];
<size> = small | medium | large;
<part> = gasket | air filter | oil filter | water pump | clutch cable;
<material> = rubber | copper | steel | cork;
<car> = the hatchback | the <colour> van | the coupe;
<colour> = red | blue | green;
<day> = monday | tuesday | wednesday | thursday | friday;
"""
ORDERS = (
    ("large", "oil filter", "steel", "the red van", "friday"),
    ("small", "gasket", "copper", "the coupe", "tuesday"),
    ("medium", "water pump", "rubber", "the hatchback", "monday"),
    ("large", "clutch cable", "steel", "the green van", "wednesday"),
)
TOOLS = ("--job", "oil-and-filter", "--step", "tools")
SLOTS = ("size", "part", "material", "car", "day")


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", "hear", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=600)


Hear = Callable[..., list[dict[str, Any]]]


@pytest.fixture(scope="module")
def hear_by() -> Iterator[Hear]:
    """Hears files in this process, by a grammar or a step: one recogniser for all, for it takes long to load."""
    [engine] = wiring.chosen_recognisers(Path(), ["whisper"], {})
    voice = wiring.SileroVoice()

    def heard(wanted: hear.Wanted, *files: Path, noise: Path | None = None, snr: float | None = None) -> list[dict]:
        ears = Ears(wiring.phrasebook(wanted.rules), (engine,))
        listener = hear.Listener(ears, wanted.phrases, voice, LONG_END, hear.mixer(noise, snr, 0))
        found = [record(one, wanted.system, wanted.depth) for file in files for one in listener.hear(file)]
        assert not ears.faults
        assert all(set(one) == FIELDS for one in found)
        return found

    yield heard
    engine.close()


def recorded(*said: str) -> list[Path]:
    """The recordings of the demonstration in which these words are said; their texts are in its script."""
    turns = yaml.safe_load((DEMO / "oil-and-filter.yaml").read_text(encoding="utf-8"))["turns"]
    texts = [turn["say"] for turn in turns if isinstance(turn, dict)]
    return [DEMO / "oil-and-filter" / f"{texts.index(text) + 1:02d}.ogg" for text in said]


@pytest.fixture(scope="module")
def counter_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("counter") / "counter.jsgf"
    file.write_text(COUNTER, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def counter(counter_file: Path) -> Wanted:
    return by_grammar(counter_file)


@pytest.fixture(scope="module")
def spoken(tmp_path_factory: pytest.TempPathFactory) -> list[np.ndarray]:
    """The orders in the program's own voice, and after them something that is no order."""
    texts = [f"I need a {size} {part} in {material} for {car} by {day}." for size, part, material, car, day in ORDERS]
    voice = Pyttsx3Speech()
    try:
        return [voice.render(text) for text in [*texts, "The children walked to the river after school."]]
    finally:
        voice.close()


def saved(folder: Path, name: str, samples: np.ndarray, rate: int = RATE, **how: str) -> Path:
    soundfile.write(folder / name, samples, rate, **how)
    return folder / name


def test_what_is_said_at_a_step_of_a_job() -> None:
    files = recorded(
        "I tightened it to thirty newton metres", "confirm the drain plug", "what is still open",
        "did you see the match on saturday evening",
    )  # fmt: skip
    done = run("--job", "oil-and-filter", "--step", "plug-torque", "--json", *files)
    assert done.returncode == 0, done.stderr
    torque, confirmed, asked, other = (json.loads(line) for line in done.stdout.splitlines())
    assert all(set(one) == FIELDS for one in (torque, confirmed, asked, other))
    assert (torque["verdict"], torque["intent"]) == ("accepted", "value")
    assert torque["slots"] == {"torque": "thirty newton metres"}
    assert torque["value"] == {"slot": "torque", "magnitude": 30.0, "unit": "newton_metre"}
    assert confirmed["text"] == "confirm the drain plug"
    assert asked["text"] == "what is still open"
    assert (other["verdict"], other["text"], other["slots"]) == ("not_for_me", None, {})
    assert "match" in other["heard"]["moonshine"].lower()


def test_a_challenge_of_a_gate_and_a_dipstick_level(tmp_path: Path, hear_by: Hear) -> None:
    [ground] = hear_by(by_step(tmp_path, "oil-and-filter", "tray-off", None), *recorded("on level concrete"))
    assert ground["text"] == "on level concrete"
    dipstick = by_step(tmp_path, "oil-and-filter", "dipstick", "tarnwick-plover-16")
    [level] = hear_by(dipstick, *recorded("the dipstick shows three quarters"))
    assert level["value"] == {"slot": "level", "said": "at three quarters", "lowest": 0.625, "highest": 0.875}


def test_five_slots_of_an_order(tmp_path: Path, hear_by: Hear, counter: Wanted, spoken: Sequence[np.ndarray]) -> None:
    files = [saved(tmp_path, f"{number}.wav", order) for number, order in enumerate(spoken)]
    *orders, other = hear_by(counter, *files)
    right = [
        one["verdict"] == "accepted" and [one["slots"].get(slot) for slot in SLOTS] == list(wanted)
        for one, wanted in zip(orders, ORDERS, strict=True)
    ]
    assert {one["intent"] for one in orders} <= {"order", None}
    assert sum(right) >= 3, [(one["text"], one["heard"]) for one in orders]
    assert all(one["text"] is None for one, is_right in zip(orders, right, strict=True) if not is_right)
    assert (other["verdict"], other["text"]) == ("not_for_me", None)
    coloured = next(one for one in orders if one["slots"].get("car", "").endswith("van"))
    assert coloured["slots"]["colour"] == coloured["slots"]["car"].split()[1]  # a rule inside a rule is told too


def test_formats_rates_channels_and_several_utterances(
    tmp_path: Path, hear_by: Hear, counter: Wanted, spoken: Sequence[np.ndarray]
) -> None:
    first, second = spoken[3], spoken[1]
    stereo = np.repeat(soxr.resample(first, RATE, 44_100)[:, None], 2, axis=1)
    both = np.concatenate([first, np.zeros(2 * RATE, np.float32), second])
    files = [saved(tmp_path, "stereo.flac", stereo, 44_100), saved(tmp_path, "two.ogg", both)]
    stereo_one, *two = hear_by(counter, *files)
    assert stereo_one["text"].startswith("i need a large clutch cable in steel")
    assert [one["file"] for one in two] == [str(files[1])] * 2
    assert [one["text"].split(" in ")[0] for one in two] == ["i need a large clutch cable", "i need a small gasket"]
    gap = two[1]["start_s"] - len(first) / RATE
    assert 1 < gap < 2.2  # the second begins after the pause, less what is kept from before its first word
    assert all(is_timely(one) for one in (stereo_one, *two))


def is_timely(one: dict[str, Any]) -> bool:
    """Tell whether the verdict came after a short silence, or a long one in which most of the work was done."""
    return one["compute_s"] > 0 and 0.25 <= one["latency_s"] <= 0.84 + one["compute_s"]  # one block is 32 ms


def test_telephone_sound(tmp_path: Path, hear_by: Hear) -> None:
    """8 kHz and G.711, as a telephone or a headset's hands-free mode has them."""
    for said in recorded("I tightened it to thirty newton metres", "confirm the drain plug"):
        samples, rate = soundfile.read(said, dtype="float32")
        saved(tmp_path, f"{said.stem}.wav", soxr.resample(samples, rate, 8_000), 8_000, subtype="ULAW")
    step = by_step(tmp_path, "oil-and-filter", "plug-torque", None)
    torque, confirmed = hear_by(step, *sorted(tmp_path.glob("*.wav")))
    assert torque["value"] == {"slot": "torque", "magnitude": 30.0, "unit": "newton_metre"}
    assert confirmed["text"] == "confirm the drain plug"
    assert is_timely(torque) and is_timely(confirmed)


def buzz() -> np.ndarray:
    """The hum of a transformer or a compressor: 50 Hz with its harmonics."""
    seconds = np.arange(3 * RATE) / RATE
    return sum(np.sin(2 * np.pi * 50 * n * seconds) / n for n in range(1, 8)) * 0.1


def music() -> np.ndarray:
    """Three chords of decaying strings, with a beat under them."""
    seconds = np.arange(RATE) / RATE
    chords = [(220, 277.2, 329.6), (196, 246.9, 293.7), (174.6, 220, 261.6)]
    bars = [
        sum(np.sin(2 * np.pi * note * n * seconds) / n for note in chord for n in range(1, 6)) * np.exp(-2 * seconds)
        for chord in chords
    ]
    beat = np.sin(2 * np.pi * 60 * seconds) * np.exp(-20 * (seconds % 0.5))
    return np.concatenate([0.05 * bar + 0.2 * beat for bar in bars])


def clang() -> np.ndarray:
    seconds = np.arange(RATE) / RATE
    return 0.8 * np.exp(-12 * seconds) * sum(np.sin(2 * np.pi * tone * seconds) for tone in (870, 2210, 3700)) / 3


NO_WORDS = {
    "zeros": np.zeros(2 * RATE), "hum": 0.2 * np.sin(2 * np.pi * 50 * np.arange(3 * RATE) / RATE), "buzz": buzz(),
    "hiss": 0.1 * np.random.default_rng(1).standard_normal(3 * RATE), "music": music(), "clang": clang(),
    "clipped": np.clip(50 * buzz(), -1, 1), "short": np.zeros(10) + 0.01,
}  # fmt: skip


def test_sound_without_words_is_for_nobody(tmp_path: Path, hear_by: Hear, counter: Wanted) -> None:
    files = [saved(tmp_path, f"{name}.wav", samples) for name, samples in NO_WORDS.items()]
    found = hear_by(counter, *files)
    assert {Path(one["file"]).stem for one in found} == set(NO_WORDS)
    for one in found:
        assert (one["verdict"], one["text"], one["slots"]) == ("not_for_me", None, {}), one
    notes = {Path(one["file"]).stem: one["note"] or "" for one in found}
    assert "No speech" in notes["hum"]
    assert "No speech" in notes["hiss"]
    assert "I hear nothing at all" in notes["zeros"]
    assert "too loud" in notes["clipped"]


def test_noise_is_mixed_in_at_the_wanted_ratio(
    tmp_path: Path, hear_by: Hear, counter: Wanted, spoken: Sequence[np.ndarray]
) -> None:
    noise = saved(tmp_path, "noise.wav", 0.05 * np.random.default_rng(2).standard_normal(2 * RATE))
    order = saved(tmp_path, "order.wav", spoken[1])
    [quiet] = hear_by(counter, order, noise=noise, snr=40)
    assert quiet["text"].startswith("i need a small gasket")
    assert quiet["snr_db"] == 40
    buried = hear_by(counter, order, noise=noise, snr=-20)
    assert all(one["text"] is None for one in buried)


def test_speech_that_clips_is_said_to(
    tmp_path: Path, hear_by: Hear, counter: Wanted, spoken: Sequence[np.ndarray]
) -> None:
    loud = saved(tmp_path, "loud.wav", np.clip(60 * spoken[1], -1, 1))
    assert all("too loud" in one["note"] for one in hear_by(counter, loud))


def test_lines_for_people(tmp_path: Path, counter_file: Path, spoken: Sequence[np.ndarray]) -> None:
    files = [saved(tmp_path, "order.wav", spoken[1]), saved(tmp_path, "nothing.wav", np.zeros(RATE))]
    done = run("--grammar", counter_file, "--engines", "whisper", *files)
    assert done.returncode == 0
    order, nothing, counts, late, sound = done.stdout.splitlines()
    assert "accepted: 'i need a small gasket in copper" in order
    assert "part: gasket" in order
    assert nothing.endswith("No speech was found in it.)")
    assert counts == "files: 2; 1 accepted, 0 unclear, 1 not for me"
    assert late.startswith("from the end of speech to the verdict: median")
    assert sound.startswith("sound listened to: ")
    assert done.stderr.splitlines() == [f"1 of 2: {files[0]}", f"2 of 2: {files[1]}"]


def test_a_file_that_is_none_does_not_keep_others_from_being_heard(
    tmp_path: Path, counter_file: Path, spoken: Sequence[np.ndarray]
) -> None:
    text = tmp_path / "text.wav"
    text.write_text("this is no sound", encoding="utf-8")
    order = saved(tmp_path, "order.wav", spoken[1])
    done = run("--grammar", counter_file, "--json", tmp_path / "missing.wav", text, order)
    assert done.returncode == 2
    assert [json.loads(line)["file"] for line in done.stdout.splitlines()] == [str(order)]
    assert "missing.wav: there is no such file" in done.stderr
    assert "text.wav: it is no sound file" in done.stderr
    assert "Traceback" not in done.stderr


def code_of(*arguments: str) -> int:
    """The exit code of a command that fails before anything is loaded, so that it can be run in this process."""
    try:
        return main(arguments)
    except SystemExit as ended:
        return int(ended.code or 0)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--job", "oil-and-filter", "--step", "tray"), "there is no step 'tray' in oil-and-filter. There are: "),
        (("--job", "oil-and-filter"), "assistant list steps --job oil-and-filter"),
        (("--job", "oil", "--step", "tools"), "Did you mean oil-and-filter?"),
        ((*TOOLS, "--vehicle", "tarnwik"), "Did you mean tarnwick-plover-16?"),
        ((*TOOLS, "--engines", "whisper,ear"), "no engine 'ear'. There are: "),
        ((*TOOLS, "--snr", "10"), "--noise FILE"),
        ((*TOOLS, "--noise", "NOISE"), "--snr DB"),
        ((*TOOLS, "--noise", "NOISE", "--snr", "nan"), "-40 to 100 dB are allowed"),
        ((*TOOLS, "--noise", "SOUND", "--snr", "6"), "sound.wav: the noise holds no sound"),
        ((*TOOLS, "--noise", "NOISE", "--snr", "6", "--seed", "-1"), "no whole number from 0 on"),
        ((*TOOLS, "--end-silence", "60"), "not from 0.1 to 5 seconds"),
        (("--grammar", "GRAMMAR", "--job", "oil-and-filter"), "not allowed with"),
        (("--grammar", "no.jsgf"), "check its name and folder"),
        ((), "is required"),
    ],
)  # fmt: skip
def test_what_can_not_be_done_says_what_can(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
) -> None:
    sound = saved(tmp_path, "sound.wav", np.zeros(RATE))
    noise = saved(tmp_path, "noise.wav", buzz())
    words = [str({"SOUND": sound, "NOISE": noise}.get(word, word)) for word in arguments]
    assert code_of("hear", *words, "--", str(sound)) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "#JSGF V1.0;\ngrammar g;\nimport <other.*>;\npublic <a> = b;",
            "g.jsgf, line 3: imports are not read: put",
        ),
        ("#JSGF V1.0;\npublic <a> = <b>;", "g.jsgf, line 2: the rule <b> is not defined"),
        ("#JSGF V1.0;\npublic <a> = x <a> y | z;", "g.jsgf: the rule <a> contains itself before its end"),
        ("#JSGF V1.0;\n<a> = b;", "g.jsgf: no rule is public"),
    ],
)
def test_a_grammar_that_is_wrong_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, said: str
) -> None:
    file = tmp_path / "g.jsgf"
    file.write_text(text, encoding="utf-8")
    assert code_of("hear", "--grammar", str(file), str(saved(tmp_path, "sound.wav", np.zeros(RATE)))) == 2
    assert said in capsys.readouterr().err


@pytest.mark.skipif(not DIGITS.is_dir(), reason="the digit recordings are not here")
def test_digits_of_four_people_with_a_grammar_of_digits(tmp_path: Path) -> None:
    # Free Spoken Digit Dataset (CC BY-SA 4.0), every hundredth recording, by the engines of a job. Lone digits at 8 kHz
    # that are cut close are hard for models of sentences: Whisper alone hears 9 or 10 of these 20, by the processor.
    names = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    grammar = tmp_path / "digits.jsgf"
    grammar.write_text(f"#JSGF V1.0;\npublic <said> = <digit>;\n<digit> = {' | '.join(names)};\n", encoding="utf-8")
    files = sorted(DIGITS.glob("*.wav"))[::100]
    done = run("--grammar", str(grammar), "--json", *files)
    assert done.returncode == 0, done.stderr
    found = [json.loads(line) for line in done.stdout.splitlines()]
    taken = [(one["slots"]["digit"], names[int(Path(one["file"]).name[0])]) for one in found if one["text"]]
    assert len(found) >= len(files)
    assert sum(said == wanted for said, wanted in taken) >= 0.8 * len(files)
    assert sum(said != wanted for said, wanted in taken) <= 0.05 * len(files)
