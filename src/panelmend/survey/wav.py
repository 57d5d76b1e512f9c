"""Recorded taps: WAV in, each tap with its dominant frequency and decay out; dull ones by a reference."""

from __future__ import annotations

import math
import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import MissingError, ReadingError

Array = NDArray[np.float64]
LONGEST_RECORDING = 3600.0  # [s]
SILENT_BELOW = 1e-3  # of full scale: below this a recording is silent
TAPS_APART = 0.08  # [s] two onsets nearer than this are one tap
LISTEN = 0.06  # [s] listened to after an onset
LOUDNESS_TIME = 0.01  # [s] over which a tap's loudness is taken
TELLING = 12.0  # [dB] above the noise from which a tap is told: see the method page
RINGS_ON = 0.035  # [s] longer than any tap: a voice, a scrape
LOWEST_PITCH = 80.0  # [Hz] handling noise lies below
TOLD = (
    "Told on simulated taps down to 20 dB over steady noise or a compressor; with a voice from 30 dB below "
    "the taps on, taps are missed and voices taken for taps: do not speak. No real hammer was measured."
)
LEAST_REFERENCE_TAPS = 3  # taps on the reference spot
HIGHER = 0.1  # share of taps well above the reference spot from which it is not believed: common practice
DULL_BELOW = 0.8  # frequency over that on the reference spot: common practice, no source


@dataclass(frozen=True)
class HeardTap:
    """One tap: ``onset`` [s], dominant ``frequency`` [Hz], ``decay`` time constant [s], whether clipped.

    ``above`` says how far it stands above the noise between the taps [dB].
    """

    onset: float
    frequency: float
    decay: float
    clipped: bool
    above: float = math.inf

    @property
    def doubtful(self) -> bool:
        """Too near to the noise, too loud, or too long for a tap: its sound is not told."""
        return self.clipped or self.above < TELLING or self.decay > RINGS_ON


def read_taps(path: Path) -> tuple[HeardTap, ...]:
    """Find the taps of a recording in order.

    Args:
        path: an uncompressed WAV file of 8, 16, 24 or 32 bit; several channels are averaged.

    Raises:
        MissingError: no such file.
        ReadingError: it is no WAV file, silent, too long, or has no tap in it.
    """
    samples, rate, full = _samples(path)
    loudest = float(np.abs(samples).max(initial=0.0))
    if loudest < SILENT_BELOW:
        raise ReadingError(
            "the recording is silent", where=path.name, read=f"peak {loudest:.1e} of full scale",
            todo="check the microphone and record again",
        )  # fmt: skip
    onsets = _onsets(samples, rate)
    if not onsets:
        raise ReadingError("no tap stands out of the noise", where=path.name, todo="record closer, in quiet")
    noise = _noise_between_taps(samples, rate, onsets)
    return tuple(tap_of(samples, rate, i, full, noise) for i in onsets)


def dull_taps(taps: tuple[HeardTap, ...], reference: tuple[HeardTap, ...]) -> tuple[bool, ...]:
    """Which taps are dull: their frequency is below DULL_BELOW times the reference's median.

    Raises:
        ReadingError: no reference tap.
    """
    sound = _sound(reference)
    return tuple(t.frequency < DULL_BELOW * sound for t in taps)


def _sound(reference: tuple[HeardTap, ...]) -> float:
    """Frequency of the reference spot [Hz]: three taps that are told, and agree."""
    told = np.array([t.frequency for t in reference if not t.doubtful])
    if len(told) < LEAST_REFERENCE_TAPS:
        raise ReadingError(
            "no reference spot", read=f"{len(told)} taps that can be told, of {len(reference)}",
            expected=f"{LEAST_REFERENCE_TAPS} or more on a place known to be sound",
        )  # fmt: skip
    if told.min() < DULL_BELOW * told.max():
        raise ReadingError(
            "the reference taps differ as much as sound and dull do",
            read=f"{told.min():.0f} to {told.max():.0f} Hz", expected="taps on one sound place",
            todo="record the reference again",
        )  # fmt: skip
    return float(np.median(told))


def higher_than(taps: tuple[HeardTap, ...], reference: tuple[HeardTap, ...]) -> tuple[bool, ...]:
    """Which taps ring as far above the reference spot as dull ones ring below it.

    A few may be stiffer ground; many mean that the reference itself was recorded on damage: all sound ones
    then ring higher, and the dull ones as the reference does.
    """
    sound = _sound(reference)
    return tuple(t.frequency * DULL_BELOW > sound for t in taps)


def _samples(path: Path) -> tuple[Array, int, Array]:
    try:
        with wave.open(str(path), "rb") as file:
            width, channels, rate, count = (
                file.getsampwidth(), file.getnchannels(), file.getframerate(), file.getnframes(),
            )  # fmt: skip
            if count > LONGEST_RECORDING * rate:
                raise ReadingError("longer than an hour", where=path.name, todo="cut it to the taps")
            data = file.readframes(count)
    except FileNotFoundError:
        raise MissingError(f"no file {path.name}") from None
    except (wave.Error, EOFError, OSError) as error:
        raise ReadingError(
            "not an uncompressed WAV file", where=path.name, read=str(error), expected="PCM of 8 to 32 bit"
        ) from None
    if rate < 4000:
        raise ReadingError(
            "too coarse in time", where=path.name, read=f"{rate} Hz", expected="4,000 Hz or more"
        )
    whole = len(data) // (width * channels) * width * channels
    values = decoded_samples(data[:whole], width).reshape(-1, channels)
    return values.mean(axis=1), rate, np.abs(values).max(axis=1, initial=0.0)


def decoded_samples(data: bytes, width: int) -> Array:
    """Samples (n,) [full scale] from little-endian PCM of ``width`` bytes."""
    if width == 1:
        return (np.frombuffer(data, np.uint8).astype(float) - 128.0) / 128.0
    if width == 3:
        raw = np.frombuffer(data, np.uint8).reshape(-1, 3).astype(np.int32)
        value = (raw[:, 0] << 8) | (raw[:, 1] << 16) | (raw[:, 2] << 24)
        return value.astype(float) / 2.0**31
    kind = {2: "<i2", 4: "<i4"}[width]
    return np.frombuffer(data, kind).astype(float) / 2.0 ** (8 * width - 1)


def _onsets(samples: Array, rate: int) -> list[int]:
    """Where the loudness of 2 ms jumps well above the noise and above what came before."""
    step = max(1, rate // 500)
    n = len(samples) // step
    loud = np.sqrt((samples[: n * step].reshape(n, step) ** 2).mean(axis=1))
    if not n:
        return []
    floor = max(4.0 * float(np.median(loud)), 0.05 * float(loud.max()))
    found: list[int] = []
    for i in range(n):
        before = float(loud[max(0, i - 4) : i].min(initial=math.inf)) if i else 0.0
        if (
            loud[i] > floor
            and loud[i] > 3.0 * before
            and (not found or (i * step - found[-1]) > TAPS_APART * rate)
        ):
            found.append(i * step)
    return found


def _noise_between_taps(samples: Array, rate: int, onsets: list[int]) -> float:
    """Loudness of the noise between taps [of full scale]: what nine in ten blocks of 2 ms stay below."""
    quiet = np.ones(len(samples), bool)
    for i in onsets:
        quiet[max(0, i - rate // 500) : i + int(2 * LISTEN * rate)] = False
    left = samples[quiet]
    step = max(1, rate // 500)
    if len(left) < 10 * step:
        return 0.0
    blocks = left[: len(left) // step * step].reshape(-1, step)
    return float(np.quantile(np.sqrt((blocks**2).mean(axis=1)), 0.9))


def tap_of(samples: Array, rate: int, start: int, full: Array, noise: float = 0.0) -> HeardTap:
    """The tap that begins at sample ``start``; ``full`` (n,) [full scale] the loudest channel, ``noise``
    [full scale]."""
    stop = min(len(samples), start + int(LISTEN * rate))
    piece = samples[start:stop] - samples[start:stop].mean()
    padded = 1 << max(14, (4 * len(piece) - 1).bit_length())
    fade = np.hanning(2 * len(piece))[len(piece) :]
    power = np.abs(np.fft.rfft(piece * fade, padded)) ** 2
    low = math.ceil(LOWEST_PITCH * padded / rate)
    k = low + int(np.argmax(power[low:-1]))
    a, b, c = np.log(np.maximum(power[k - 1 : k + 2], 1e-300))
    bend = a - 2.0 * b + c
    shift = 0.5 * (a - c) / bend if abs(bend) > 1e-12 else 0.0
    clipped = bool((full[start:stop] > 0.999).sum() >= 3)
    heard = float(np.sqrt((piece[: max(1, int(LOUDNESS_TIME * rate))] ** 2).mean()))
    above = 20.0 * math.log10(max(heard, 1e-12) / noise) if noise > 0.0 else math.inf
    return HeardTap(start / rate, float((k + shift) * rate / padded), _decay(piece, rate), clipped, above)


def _decay(piece: Array, rate: int) -> float:
    """Time constant of the energy's fall (of the amplitude: twice it), from the centre of energy."""
    energy = piece**2
    total = float(energy.sum())
    if total <= 0.0:
        return 0.0
    return 2.0 * float((energy * np.arange(len(piece))).sum()) / total / rate
