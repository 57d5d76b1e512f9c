"""Recorded taps by a second model, which the detector was not built on: a struck bar in a noisy shop.

A skin strip over its support is a bar with free ends, struck by a ball: the force is a half sine as long as
the contact; it excites the bar's bending modes (frequencies as the squares of 4.730, 7.853, 10.996, 14.137:
the usual table of free bars, from memory), each with its own damping. Over a loose skin the contact is longer
and the bar lower and more damped. The shop answers with echoes, speech and a compressor.
"""

from __future__ import annotations

import math
import wave
from pathlib import Path

import numpy as np

RATIOS = np.array([4.730, 7.853, 10.996, 14.137]) ** 2 / 4.730**2
RATE = 22_050
SOUND, DULL = (1900.0, 0.00025), (800.0, 0.0009)  # first mode [Hz] and contact time [s]


def strike(first: float, contact: float, rng: np.random.Generator, length: float = 0.12) -> np.ndarray:
    """One blow: sum of modes excited by a half sine of force, with the scatter of hand and place."""
    t = np.arange(int(length * RATE)) / RATE
    first, contact = first * rng.uniform(0.93, 1.07), contact * rng.uniform(0.85, 1.15)
    out = np.zeros(len(t))
    for i, f in enumerate(first * RATIOS):
        if f > 0.45 * RATE:
            continue
        a = 2.0 * f * contact  # half sine spectrum: cos(pi f tau) / (1 - (2 f tau)^2)
        force = math.pi / 4 if abs(1 - a * a) < 1e-6 else abs(math.cos(0.5 * math.pi * a) / (1 - a * a))
        damping = 0.012 * (1.5 if contact > 0.0005 else 1.0) * (1 + 0.4 * i)
        shape = rng.uniform(0.4, 1.0)  # where on the mode shape it was struck
        out += shape * force * np.exp(-2 * math.pi * damping * f * t) * np.sin(2 * math.pi * f * t)
    thud = np.where(t < contact, np.sin(np.pi * np.minimum(t / contact, 1.0)), 0.0)
    return (out + 0.3 * thud) * rng.uniform(0.6, 1.0)


def echo(dry: np.ndarray, rng: np.random.Generator, level: float = 0.3) -> np.ndarray:
    """Five reflections of 6 to 40 ms."""
    wet = dry.copy()
    for k in range(5):
        n = int(rng.uniform(0.006, 0.04) * RATE)
        wet[n:] += level * 0.7**k * dry[:-n]
    return wet


def speech(n: int, rng: np.random.Generator) -> np.ndarray:
    """Syllables of a voice: harmonics of 110 to 180 Hz under two formants, four syllables a second."""
    t, out = np.arange(n) / RATE, np.zeros(n)
    pitch = rng.uniform(110, 180) * (1 + 0.05 * np.sin(2 * np.pi * 2.3 * t))
    phase = 2 * np.pi * np.cumsum(pitch) / RATE
    for h in range(1, 25):
        f = h * 145.0
        out += (np.exp(-(((f - 600) / 250) ** 2)) + 0.5 * np.exp(-(((f - 1700) / 400) ** 2))) * np.sin(
            h * phase
        )
    return out * np.maximum(0.0, np.sin(2 * np.pi * 4.0 * t + rng.uniform(0, 6.28))) ** 1.5


def compressor(n: int, rng: np.random.Generator) -> np.ndarray:
    """A piston compressor: 24 strokes a second, hum, and hiss of the outlet."""
    t = np.arange(n) / RATE
    strokes = np.maximum(0.0, np.sin(2 * np.pi * 24.0 * t)) ** 6
    hum = sum(np.sin(2 * np.pi * 48.0 * k * t + rng.uniform(0, 6.28)) / k for k in range(1, 6))
    return 0.5 * hum + strokes * rng.standard_normal(n) + 0.3 * rng.standard_normal(n)


NOISES = {"speech": speech, "compressor": compressor}


def recording(
    dull: list[bool], kind: str, below: float, rng: np.random.Generator, apart: float = 0.35
) -> tuple[np.ndarray, list[float]]:
    """Taps every ``apart`` [s], noise ``below`` [dB] them: rms of their first 10 ms over the noise rms."""
    n = int((0.6 + apart * len(dull)) * RATE)
    dry, at, loud = np.zeros(n), [], []
    for i, d in enumerate(dull):
        start = int((0.5 + apart * i + rng.uniform(-0.03, 0.03)) * RATE)
        blow = strike(*(DULL if d else SOUND), rng)[: n - start]
        dry[start : start + len(blow)] += blow
        loud.append(np.sqrt((blow[: RATE // 100] ** 2).mean()))
        at.append(start / RATE)
    wet = echo(dry, rng) if kind != "none" else dry
    made = NOISES[kind](n, rng) if kind in NOISES else rng.standard_normal(n)
    made *= float(np.median(loud)) * 10 ** (-below / 20) / np.sqrt((made**2).mean())
    whole = wet + made
    return 0.5 * whole / np.abs(whole).max(), at


def write(path: Path, samples: np.ndarray) -> Path:
    """A WAV file of 16 bit."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return path
