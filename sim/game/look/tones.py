"""The sounds of the bench, made from numbers: each an array of samples, the same every time.

Samples are mono, 16 bits signed, RATE to the second. Pitches and lengths are by ear, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import numpy as np

__all__ = ["ENGINE_STEPS", "RATE", "SHORT", "Samples", "engine", "meter_tone", "short"]

RATE = 22050
ENGINE_STEPS = 24
_FULL = 32767

Samples = np.ndarray[Any, np.dtype[np.int16]]
Wave = np.ndarray[Any, np.dtype[np.float64]]


def _time(seconds: float) -> Wave:
    out: Wave = np.arange(round(seconds * RATE)) / RATE
    return out


def _noise(count: int, seed: int) -> Wave:
    out: Wave = np.random.default_rng(seed).uniform(-1.0, 1.0, count)
    return out


def _softened(wave: Wave, span: int) -> Wave:
    """Duller: the mean over so many samples."""
    out: Wave = np.convolve(wave, np.ones(span) / span, mode="same")
    return out


def _samples(wave: Wave, loudness: float, edge_s: float = 0.002) -> Samples:
    """A wave as samples with its peak at `loudness` (0..1), its first and last moments faded so that nothing cracks."""
    edge = min(len(wave) // 2, round(edge_s * RATE))
    shape = np.ones(len(wave))
    if edge:
        ramp = np.linspace(0.0, 1.0, edge)
        shape[:edge] = ramp
        shape[-edge:] = ramp[::-1]
    faded = wave * shape
    peak = float(np.max(np.abs(faded))) or 1.0
    return np.round(faded / peak * loudness * _FULL).astype(np.int16)


def _looped(wave: Wave, loudness: float) -> Samples:
    """A wave that is played round and round: no fading, its end goes over into its beginning."""
    return np.round(wave / (float(np.max(np.abs(wave))) or 1.0) * loudness * _FULL).astype(np.int16)


@lru_cache(maxsize=1)
def meter_tone() -> Samples:
    """The meter's buzzer, whole periods of it: a thin 2100 Hz with its third."""
    t = _time(0.1)  # 210 periods
    return _looped(np.sin(2 * np.pi * 2100 * t) + 0.22 * np.sin(2 * np.pi * 6300 * t), 0.16)


@lru_cache(maxsize=ENGINE_STEPS)
def engine(step: int) -> Samples:
    """A motor's note with its gears, whole periods of it; `step` 0 (creeping) .. ENGINE_STEPS - 1 (flat out)."""
    share = min(ENGINE_STEPS - 1, max(0, step)) / (ENGINE_STEPS - 1)
    base = round((46 + 150 * share) * 2) / 2  # a multiple of 0.5 Hz: two seconds hold whole periods of all
    t = _time(2.0)
    wave = sum(
        (level * np.sin(2 * np.pi * base * part * t) for part, level in ((1, 1.0), (2, 0.55), (3, 0.34), (7, 0.20))),
        start=np.zeros(len(t)),
    )
    wave = wave * (1 + 0.16 * np.sin(2 * np.pi * (3 + round(9 * share)) * t))
    return _looped(wave, 0.05 + 0.07 * share)


def _clack() -> Samples:
    """A breaker that opens: a hard knock and the ring of its housing."""
    t = _time(0.16)
    knock = _noise(len(t), 5) * np.exp(-t * 190)
    ring = np.sin(2 * np.pi * 310 * t) * np.exp(-t * 42) + 0.5 * np.sin(2 * np.pi * 1240 * t) * np.exp(-t * 80)
    return _samples(knock + 0.8 * ring, 0.55, 0.0008)


def _click() -> Samples:
    """A contact that changes over."""
    t = _time(0.03)
    return _samples(
        _noise(len(t), 9) * np.exp(-t * 420) + 0.6 * np.sin(2 * np.pi * 2900 * t) * np.exp(-t * 300), 0.22, 0.0005
    )


def _throw() -> Samples:
    """Blades that begin to move: a short scrape."""
    t = _time(0.22)
    return _samples(_softened(_noise(len(t), 13), 5) * np.sin(np.pi * t / 0.22) ** 2, 0.12)


def _home() -> Samples:
    """A blade that comes to lie on its stock rail."""
    t = _time(0.12)
    ring = np.sin(2 * np.pi * 880 * t) * np.exp(-t * 60) + 0.7 * np.sin(2 * np.pi * 2310 * t) * np.exp(-t * 95)
    return _samples(ring + 0.6 * _noise(len(t), 17) * np.exp(-t * 260), 0.24, 0.0005)


def _joint() -> Samples:
    """A wheel over a gap or a joint."""
    t = _time(0.05)
    return _samples(
        np.sin(2 * np.pi * 190 * t) * np.exp(-t * 90) + 0.5 * _softened(_noise(len(t), 21), 3) * np.exp(-t * 240),
        0.2,
        0.001,
    )


def _caution() -> Samples:
    """The meter's caution: two low notes."""
    t = _time(0.12)
    note = np.sin(2 * np.pi * 420 * t) * np.sin(np.pi * t / 0.12) ** 0.5
    return _samples(np.concatenate([note, np.zeros(round(0.05 * RATE)), note]), 0.2)


_MADE: Mapping[str, Callable[[], Samples]] = {
    "clack": _clack, "click": _click, "throw": _throw, "home": _home, "joint": _joint, "caution": _caution,
}  # fmt: skip
SHORT = tuple(_MADE)


@lru_cache(maxsize=len(_MADE))
def short(name: str) -> Samples:
    """A sound that is heard once: one of SHORT. Raises KeyError for any other."""
    return _MADE[name]()
