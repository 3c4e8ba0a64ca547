"""What the bench sounds like: which sounds follow from two moments of it, and the loudspeaker that plays them.

`heard` is pure. The loudspeaker opens a device with the first sound, never before; where there is none it stays silent
and does not try again.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple, Protocol

import pygame

from sim.bench.levers import mover
from sim.game.look.tones import ENGINE_STEPS, RATE, Samples, engine, meter_tone, short
from sim.session.snapshot import Snapshot

__all__ = ["Heard", "Loudspeaker", "Silence", "Speaker", "heard"]

_FASTEST_MM_S = 420.0  # the engine's highest note; an HO engine at a scale 130 km/h, by ear
_LEAST_MM_S = 1.0


class Heard(NamedTuple):
    """What is heard at a moment.

    once: sounds that begin now; tone: the meter's buzzer sounds; note: the engine's note, None while none runs
    """

    once: tuple[str, ...] = ()
    tone: bool = False
    note: int | None = None


def heard(before: Snapshot | None, now: Snapshot) -> Heard:
    """What is heard when a moment follows another; `before` None: a bench that has just been opened."""
    once: list[str] = []
    if before is not None:
        was = {supply.id: supply.tripped for supply in before.supplies}
        if any(supply.tripped and not was.get(supply.id, False) for supply in now.supplies):
            once.append("clack")
        if now.meter.caution and not before.meter.caution:
            once.append("caution")
        if now.throwing - before.throwing:
            once.append("throw")
        if before.throwing - now.throwing:
            once.append("home")
        if _contacts(before) != _contacts(now):
            once.append("click")
        if _over_a_gap(before, now):
            once.append("joint")
    speeds = [abs(train.speed_mm_s) for train in now.trains if train.running]
    fastest = max(speeds, default=0.0)
    note = None
    if fastest >= _LEAST_MM_S:
        note = min(ENGINE_STEPS - 1, int(fastest / _FASTEST_MM_S * ENGINE_STEPS))
    return Heard(tuple(once), now.meter.beeps, note)


def _contacts(moment: Snapshot) -> tuple[tuple[str, int, int], ...]:
    """How every changeover lies: 0 on its normal outer, 2 on its diverging one, 1 between."""
    out = []
    for motor in moment.bench.motors:
        at = moment.travel.get(mover(motor), 0.0)
        for k, contact in enumerate(motor.changeovers):
            low, high = min(contact.travel), max(contact.travel)
            out.append((motor.id, k, 0 if at <= low else 2 if at >= high else 1))
    return tuple(out)


def _over_a_gap(before: Snapshot, now: Snapshot) -> bool:
    """Whether a wheel of a moving train has come from one length of rail on to another."""
    was = {train.id: train for train in before.trains}
    for train in now.trains:
        old = was.get(train.id)
        if old is None or abs(train.speed_mm_s) < _LEAST_MM_S:
            continue
        for vehicle, earlier in zip(train.vehicles, old.vehicles, strict=False):
            for sides, sides_then in zip(vehicle.touching, earlier.touching, strict=False):
                if any(set(a) - set(b) and b for a, b in zip(sides, sides_then, strict=True)):
                    return True
    return False


class Speaker(Protocol):
    """Something that lets a bench be heard."""

    muted: bool

    def play(self, moment: Heard) -> None:
        """Let this be heard."""
        ...

    def close(self) -> None:
        """Be silent and give the device back."""
        ...


class Silence:
    """A speaker that plays nothing and needs no device."""

    def __init__(self) -> None:
        self.muted = False

    def play(self, moment: Heard) -> None:
        """Nothing is heard."""

    def close(self) -> None:
        """Nothing to give back."""


class Loudspeaker:
    """The computer's loudspeaker, opened with the first sound. `muted` can be set at any time."""

    def __init__(self) -> None:
        self.muted = False
        self._open: bool | None = None  # None: not tried yet
        self._kept: dict[str, pygame.mixer.Sound] = {}
        self._looping: dict[str, tuple[str, pygame.mixer.Channel]] = {}

    @property
    def working(self) -> bool | None:
        """Whether there is a device; None as long as none was needed."""
        return self._open

    def _ready(self) -> bool:
        if self._open is None:
            try:
                pygame.mixer.init(RATE, -16, 1, 512, allowedchanges=0)
                self._open = True
            except (pygame.error, NotImplementedError):
                self._open = False
        return self._open

    def play(self, moment: Heard) -> None:
        """Let this be heard: what begins now, and what goes on until another moment says otherwise."""
        if self.muted:
            moment = Heard()
        wanted = bool(moment.once) or moment.tone or moment.note is not None
        if not (wanted or self._looping) or not self._ready():
            return
        for name in moment.once:
            self._sound(name, short(name)).play()
        self._go_on("tone", "tone" if moment.tone else "", meter_tone)
        note = moment.note
        self._go_on("engine", "" if note is None else f"engine {note}", lambda: engine(note or 0))

    def _go_on(self, what: str, name: str, samples: Callable[[], Samples]) -> None:
        """Keep a sound going, change it for another of its kind, or let it end."""
        now = self._looping.get(what)
        if now is not None and now[0] == name:
            return
        if now is not None:
            _let_end(now[1])
            del self._looping[what]
        if name:
            channel = self._sound(name, samples()).play(loops=-1, fade_ms=60 if what == "engine" else 4)
            if channel is not None:  # None: every channel is taken
                self._looping[what] = (name, channel)

    def _sound(self, name: str, samples: Samples) -> pygame.mixer.Sound:
        if name not in self._kept:
            self._kept[name] = pygame.mixer.Sound(buffer=samples.tobytes())
        return self._kept[name]

    def close(self) -> None:
        """Be silent and give the device back."""
        if self._open:
            pygame.mixer.quit()
        self._open = None
        self._kept.clear()
        self._looping.clear()


def _let_end(channel: pygame.mixer.Channel) -> None:
    """Fade a sound that goes on. One that has only begun to fade in stands at no volume: SDL's mixer does not fade that
    out, so it would go on for ever."""
    if channel.get_volume() > 0:
        channel.fadeout(60)
    else:
        channel.stop()
