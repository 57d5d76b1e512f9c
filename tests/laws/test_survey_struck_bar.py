"""Recorded taps on a model the detector was not built on, in the noise of a shop; taps told as they come."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest

import struck_bar
from panelmend.app.listening import Guide, listen
from panelmend.errors import InputError, MissingError, ReadingError
from panelmend.survey.listen import Frames, Listener, growing, raw
from panelmend.survey.wav import HeardTap, dull_taps, read_taps


def heard(tmp_path: Path, kind: str, below: float, seed: int) -> tuple[int, int, int, int]:
    """Taps that were missed, found without a tap and trusted, told wrongly and trusted; and found in all."""
    rng = np.random.default_rng(seed)
    dull = list(rng.random(20) < 0.5)
    samples, at = struck_bar.recording(dull, kind, below, rng)
    quiet, _ = struck_bar.recording([False] * 6, "none", 60.0, np.random.default_rng(99))
    reference = read_taps(struck_bar.write(tmp_path / "spot.wav", quiet))
    taps = read_taps(struck_bar.write(tmp_path / "panel.wav", samples))
    told = dull_taps(taps, reference)
    used, missed, wrong = set(), 0, 0
    for onset, d in zip(at, dull, strict=True):
        near = [i for i, t in enumerate(taps) if abs(t.onset - onset) < 0.02]
        missed += not near
        if near:
            used.add(near[0])
            wrong += told[near[0]] != d and not taps[near[0]].doubtful
    extra = sum(not t.doubtful for i, t in enumerate(taps) if i not in used)
    return missed, extra, wrong, len(taps)


@pytest.mark.parametrize(
    ("kind", "below"), [("none", 40), ("none", 20), ("compressor", 40), ("compressor", 20), ("speech", 35)]
)
def test_taps_of_a_struck_bar_are_told_down_to_the_noise_that_is_printed(
    tmp_path: Path, kind: str, below: float
) -> None:
    for seed in (11, 12):
        assert heard(tmp_path, kind, below, seed) == (0, 0, 0, 20)


def test_nearer_noise_stops_it_and_it_says_so(tmp_path: Path) -> None:
    """Steady noise 10 dB below: taps are missed, and none that is found is trusted."""
    missed, extra, wrong, _ = heard(tmp_path, "none", 10.0, 11)
    assert missed > 0
    assert (extra, wrong) == (0, 0)
    missed, _, _, found = heard(tmp_path, "speech", 25.0, 11)
    assert missed > 0
    assert found > 20, "voices are taken for taps: the count does not fill the grid, and the table is refused"


@pytest.mark.parametrize("cut", [1, 37, 4096, 10**9])
def test_what_is_heard_does_not_depend_on_how_it_came(cut: int) -> None:
    dull = [False, True, True, False, True]
    samples, at = struck_bar.recording(dull, "compressor", 35.0, np.random.default_rng(3))
    samples = samples[: 30_000 if cut == 1 else None]
    at = [t for t in at if t * struck_bar.RATE < len(samples) - 100]
    listener, found = Listener(struck_bar.RATE), list[HeardTap]()
    for i in range(0, len(samples), cut):
        found += listener.feed(samples[i : i + cut])
    found += listener.finish()
    whole = Listener(struck_bar.RATE)
    assert [*whole.feed(samples), *whole.finish()] == found
    np.testing.assert_allclose([t.onset for t in found], at, atol=0.004)


def test_a_growing_file_is_followed_and_ends_when_it_stands_still(tmp_path: Path) -> None:
    samples, _ = struck_bar.recording([False, True, False], "none", 40.0, np.random.default_rng(4))
    quiet, _ = struck_bar.recording([False] * 4, "none", 40.0, np.random.default_rng(5))
    spot = struck_bar.write(tmp_path / "spot.wav", quiet)
    whole = struck_bar.write(tmp_path / "whole.wav", samples).read_bytes()
    path = tmp_path / "growing.wav"
    path.write_bytes(whole[: 44 + 10_001])  # in the middle of a sample; the head names the final size
    rest = [whole[44 + 10_001 : 44 + 30_001], whole[44 + 30_001 :]]

    def sleep(seconds: float) -> None:
        if rest:
            with path.open("ab") as file:
                file.write(rest.pop(0))

    rate, pieces = growing(path, 0.3, sleep)
    assert rate == struck_bar.RATE
    got = np.concatenate(list(pieces))
    np.testing.assert_allclose(got, samples, atol=1e-4)
    said: list[str] = []
    _, dull = listen(str(path), spot, said.append, quiet=0.0)
    assert dull == (False, True, False)
    with pytest.raises(MissingError):
        growing(tmp_path / "none.wav")
    path.write_bytes(b"RIFF....WAVEfmt ")
    with pytest.raises(ReadingError, match="not an uncompressed WAV"):
        growing(path)


def test_taps_against_a_damaged_reference_are_told_and_never_written(tmp_path: Path) -> None:
    over, _ = struck_bar.recording([True] * 4, "none", 40.0, np.random.default_rng(5))
    taps, _ = struck_bar.recording([False] * 6, "none", 40.0, np.random.default_rng(6))
    spot = struck_bar.write(tmp_path / "spot.wav", over)
    path = struck_bar.write(tmp_path / "taps.wav", taps)
    said: list[str] = []
    listen(str(path), spot, said.append, quiet=0.0)
    assert any("do not go on" in line for line in said)
    with pytest.raises(InputError, match="nothing was written"):
        listen(str(path), spot, said.append, quiet=0.0, believed=True)


def test_raw_samples_on_a_stream() -> None:
    data = (np.sin(np.arange(5000)) * 20000).astype("<i2")
    np.testing.assert_allclose(np.concatenate(list(raw(io.BytesIO(data.tobytes())))), data / 32768.0)
    frames = Frames(2, 2)
    assert len(frames.take(b"\0\0\0")) == 0
    assert len(frames.take(b"\0\0")) == 1


def test_the_guide_goes_through_the_grid_then_asks_again_and_further() -> None:
    guide = Guide(9, 9, 0.02, (0.1, 0.2), there_and_back=True)
    assert guide.next() == (0.1, 0.2)
    for n in range(81):
        at = guide.next()
        assert at is not None
        if n == 9:
            assert guide.place(at).startswith("row 2, column 9")
        middle = np.hypot(at[0] - 0.18, at[1] - 0.28) < 0.045
        lone = np.hypot(at[0] - 0.10, at[1] - 0.36) < 1e-9
        guide.take(bool(middle or lone))
    for _ in range(2):
        assert guide.next() == pytest.approx((0.10, 0.36)), "the lone dull tap, twice more"
        guide.take(False)
    assert guide.next() not in (None, *guide.at[:81])
