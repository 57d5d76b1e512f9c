"""The microphone at the survey: each tap told against a sound place, as a proposal; nothing is taken down."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.screen.guard import BODY
from panelmend.screen.hearing import EARS, LAPSE, LEAST_RATE, LONGEST, MOST_RATE, Hearing
from screen_made import REPAIR, Answer, Desk, Ticks, chromium, desk, lan_desk, served, signed_in_as
from screen_window import Window
from struck_bar import RATE, recording, write

UPLOAD = "application/octet-stream"


def _pcm(dull: list[bool], seed: int = 3, below: float = 40.0) -> bytes:
    samples, _ = recording(dull, "none", below, np.random.default_rng(seed))
    return (np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes()


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk on this machine alone."""
    with desk() as made:
        yield made


def _hear(at: Desk, part: int, data: bytes, on: str = "panel", rate: int = RATE) -> Answer:
    path = f"{REPAIR}/microphone?part={part}&rate={rate}&on={on}"
    return at.ask("POST", path, data, content_type=UPLOAD)


def _pieces(data: bytes, each: int = 5000) -> list[bytes]:
    return [data[i : i + each] for i in range(0, len(data), each)]


def test_taps_are_told_against_the_sound_place_and_nothing_is_taken_down(at: Desk) -> None:
    before = at.get(f"{REPAIR}/survey?side=outside").json["count"]
    truth = [False, True, False, True, True, False]
    told: list[str] = []
    first = _pieces(_pcm([False] * 5))
    for part, piece in enumerate(first):
        answer = _hear(at, part, piece, "sound-place").json
        assert all(h["told"] == "" for h in answer["heard"])
    assert answer["reference_taps"] >= 4
    assert 1500 < answer["reference"] < 2500
    for part, piece in enumerate(_pieces(_pcm(truth, 4)), len(first)):
        told += [h["told"] for h in _hear(at, part, piece).json["heard"]]
    assert told == ["dull" if d else "sound" for d in truth]
    assert at.get(f"{REPAIR}/survey?side=outside").json["count"] == before


def test_without_a_sound_place_nothing_is_told(at: Desk) -> None:
    answers = [_hear(at, part, piece).json for part, piece in enumerate(_pieces(_pcm([False, True])))]
    heard = [h for a in answers for h in a["heard"]]
    assert len(heard) >= 1
    assert {h["told"] for h in heard} == {""}
    assert answers[-1]["reference"] is None
    assert "no reference spot" in answers[-1]["doubt"]


def test_a_sound_place_that_is_damaged_itself_is_doubted(at: Desk) -> None:
    first = _pieces(_pcm([True] * 5))
    for part, piece in enumerate(first):
        _hear(at, part, piece, "sound-place")
    for part, piece in enumerate(_pieces(_pcm([False] * 7, 5)), len(first)):
        answer = _hear(at, part, piece).json
    assert "may itself be damaged" in answer["doubt"]


def test_a_piece_that_is_lost_ends_it(at: Desk) -> None:
    piece = bytes(2000)
    assert _hear(at, 0, piece).status == 200
    assert _hear(at, 1, piece).status == 200
    for part in (1, 3):
        refused = _hear(at, part, piece)
        assert (refused.status, refused.json["title"]) == (422, "a piece of the sound is missing")
    assert _hear(at, 2, piece, rate=RATE + 1).status == 422
    assert _hear(at, 0, piece).status == 200


@pytest.mark.parametrize(
    ("rate", "status"), [(LEAST_RATE - 1, 422), (LEAST_RATE, 200), (MOST_RATE, 200), (MOST_RATE + 1, 422)]
)
def test_a_rate_has_its_bounds(at: Desk, rate: int, status: int) -> None:
    assert _hear(at, 0, bytes(200), rate=rate).status == status


def test_a_piece_has_its_length_and_whole_samples(at: Desk) -> None:
    longest = int(2 * RATE * LONGEST)
    assert [_hear(at, 0, bytes(n)).status for n in (longest, longest + 2, 3)] == [200, 422, 422]
    assert [_hear(at, 0, bytes(n), rate=MOST_RATE).status for n in (BODY, BODY + 1)] == [422, 413]


def test_so_many_devices_listen_and_one_that_is_silent_makes_room() -> None:
    clock = Ticks()
    hearing = Hearing(clock)
    for i in range(EARS):
        hearing.take(f"token {i}", "R", 0, RATE, bytes(20), on_sound=False)
    with pytest.raises(InputError, match="too many"):
        hearing.take("one more", "R", 0, RATE, bytes(20), on_sound=False)
    clock.now += LAPSE
    hearing.take("token 0", "R", 1, RATE, bytes(20), on_sound=False)
    clock.now += 1
    hearing.take("one more", "R", 0, RATE, bytes(20), on_sound=False)
    with pytest.raises(InputError, match="nobody listens"):
        hearing.take("token 1", "R", 1, RATE, bytes(20), on_sound=False)


def test_on_other_machines_it_listens_to_who_may_tap() -> None:
    with lan_desk() as made:
        assert _hear(made, 0, bytes(20)).status == 401
        assert _hear(signed_in_as(made, "S1"), 0, bytes(20)).status == 403
        assert _hear(signed_in_as(made, "T1"), 0, bytes(20)).status == 200


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser whose microphone hears a recording of taps on a sound place, again and again."""
    folder = Path(mkdtemp(prefix="workshop"))
    samples, _ = recording([False] * 12, "none", 40.0, np.random.default_rng(3))
    heard = write(folder / "taps.wav", samples)
    flags: tuple[Any, ...] = (
        "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={heard}",
    )  # fmt: skip
    with served(folder / "workshop") as running, chromium(1180, 820, *flags) as driver:
        driver.get(running.for_the_browser)
        yield Window(driver, running)
    shutil.rmtree(folder, ignore_errors=True)


def test_a_browser_listens_proposes_and_takes_nothing_down_by_itself(window: Window) -> None:
    window.panel()
    window.press('[data-mode="survey"]')
    window.press("[data-microphone] summary")
    assert window.one('[data-listen="panel"]').get_property("disabled")
    window.press('[data-listen="sound-place"]')
    window.wait("return document.querySelector('[data-mic-place]').textContent.includes('Hz')")
    count = window.one("[data-survey-count]").text
    window.press('[data-listen="panel"]')
    window.wait("return document.querySelector('[data-mic-told]').textContent.includes('sound')")
    assert "heard" in window.one('[data-tap="sound"]').get_attribute("class")
    assert window.one("[data-survey-count]").text == count
    window.press("[data-listen-end]")
    assert window.one("[data-mic-told]").text == ""
    assert window.js("return document.querySelector('[data-listen-end]').hidden")
    assert window.said() == []
