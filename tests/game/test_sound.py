"""The bench is heard: what sounds when, on a device, on none, and never unasked."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pygame
import pytest

from sim.game.app import loop
from sim.game.app.window import Window
from sim.game.look.sound import Heard, Loudspeaker, heard
from sim.game.look.tones import ENGINE_STEPS, RATE, SHORT, Samples, engine, meter_tone, short
from tests.game.playing import EXCHANGED_WIRES, FRAME, GOOD_WIRES, Player


class Ear:
    """A speaker that remembers what it was given."""

    def __init__(self) -> None:
        self.muted = False
        self.moments: list[Heard] = []

    def play(self, moment: Heard) -> None:
        self.moments.append(Heard() if self.muted else moment)

    def close(self) -> None:
        self.moments.clear()

    def once(self) -> list[str]:
        return [name for moment in self.moments for name in moment.once]


def listening(wires: tuple[tuple[str, str], ...] = ()) -> tuple[Player, Ear]:
    player, ear = Player(), Ear()
    player.window.speaker = ear
    for a, b in wires:
        player.wire_by_clicks(a, b)
    player.wait(FRAME)
    ear.moments.clear()
    return player, ear


def powered(player: Player) -> None:
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))
    if not player.bench.snapshot.supplies[0].plugged:
        player.key(pygame.K_u)
    player.key(pygame.K_p)
    assert player.switched_on()


def pitch(samples: Samples) -> float:
    """The strongest frequency, Hz."""
    strength = np.abs(np.fft.rfft(samples.astype(float)))
    return float(np.argmax(strength)) * RATE / len(samples)


def test_the_sounds_are_what_they_should_be() -> None:
    assert pitch(meter_tone()) == pytest.approx(2100, abs=RATE / len(meter_tone()))
    notes = [pitch(engine(step)) for step in range(ENGINE_STEPS)]
    assert notes == sorted(notes)
    assert notes[-1] > 3 * notes[0]
    for samples in (meter_tone(), *(engine(step) for step in range(ENGINE_STEPS)), *(short(name) for name in SHORT)):
        assert samples.dtype == np.int16
        assert 500 < np.max(np.abs(samples.astype(int))) < 0.6 * 32767
    for looped in (meter_tone(), engine(0), engine(ENGINE_STEPS - 1)):
        inside = np.max(np.abs(np.diff(looped.astype(int))))
        assert abs(int(looped[0]) - int(looped[-1])) <= inside  # its end goes over into its beginning
    for name in SHORT:
        assert abs(int(short(name)[0])) < 400
        assert abs(int(short(name)[-1])) < 400


def test_the_meter_sounds_while_it_beeps() -> None:
    player, ear = listening(GOOD_WIRES)
    player.probe("red", "T1.frog")
    player.probe("black", "M1.p")
    player.wait(0.2)
    assert player.bench.snapshot.meter.beeps
    tones = [ear.moments[-1].tone]
    for key in (pygame.K_s, pygame.K_s, pygame.K_BACKSPACE):
        player.key(key)
        tones.append(ear.moments[-1].tone)
    assert tones == [True, False, True, False]


def test_points_are_heard_to_throw_to_change_their_contact_and_to_come_home() -> None:
    player, ear = listening()
    player.key(pygame.K_1)
    player.wait(2.0)
    once = ear.once()
    assert once.count("throw") == once.count("home") == 1
    assert once.index("throw") < once.index("click") < len(once)
    assert once.count("click") == 2  # off the one outer, on to the other
    assert "clack" not in once


def test_a_short_clacks_and_the_engine_is_heard_until_then() -> None:
    player, ear = listening(EXCHANGED_WIRES)
    powered(player)
    for _ in range(12):
        player.key(pygame.K_PLUS)
    for _ in range(60):
        if player.bench.snapshot.fault is None:
            player.wait(0.1)
    assert player.bench.snapshot.fault is not None
    assert ear.once().count("clack") == 1
    notes = [moment.note for moment in ear.moments if moment.note is not None]
    assert notes[0] < max(notes)
    assert "joint" in ear.once()
    player.wait(1.5)
    assert ear.moments[-1].note is None


def test_what_did_not_happen_is_not_heard() -> None:
    player, ear = listening(GOOD_WIRES)
    snapshot = player.bench.snapshot
    assert heard(None, snapshot) == Heard()
    assert heard(snapshot, snapshot) == Heard()
    train = replace(snapshot.trains[0], running=True, speed_mm_s=-80.0)
    assert heard(snapshot, replace(snapshot, trains=(train,))).note == ENGINE_STEPS * 80 // 420
    player.key(pygame.K_t)
    player.wait_for_result()
    assert ear.moments[-1] == Heard()


_PATIENCE_S = 60.0  # only a sound that never ends meets it: the device's own thread can be held up on a busy machine


def works(speaker: Loudspeaker) -> bool | None:
    return speaker.working


@pytest.fixture
def device(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    monkeypatch.delenv("SDL_AUDIO_DRIVER", raising=False)
    yield monkeypatch
    pygame.mixer.quit()


def test_a_device_is_opened_with_the_first_sound_and_given_back(device: pytest.MonkeyPatch) -> None:
    device.setenv("SDL_AUDIODRIVER", "dummy")
    speaker = Loudspeaker()
    speaker.play(Heard())
    assert works(speaker) is None
    assert pygame.mixer.get_init() is None
    speaker.muted = True
    speaker.play(Heard(("clack",), True, 3))
    assert pygame.mixer.get_init() is None
    speaker.muted = False
    speaker.play(Heard(tuple(SHORT), True, 3))
    assert works(speaker)
    assert pygame.mixer.get_init() == (RATE, -16, 1)
    assert pygame.mixer.get_busy()
    tone = sum(pygame.mixer.Channel(k).get_busy() for k in range(pygame.mixer.get_num_channels()))
    assert tone == len(SHORT) + 2
    speaker.play(Heard(tone=True, note=4))
    speaker.muted = True
    speaker.play(Heard(tone=True, note=4))
    end = time.monotonic() + _PATIENCE_S
    while pygame.mixer.get_busy() and time.monotonic() < end:
        time.sleep(0.02)
    assert not pygame.mixer.get_busy()
    speaker.close()
    assert pygame.mixer.get_init() is None


class FadingChannel:
    """A channel as SDL's mixer has it: a fade-in begins at no volume, and at no volume a fade-out is not taken."""

    def __init__(self) -> None:
        self.volume = 0.0
        self.playing = True

    def get_volume(self) -> float:
        return self.volume

    def fadeout(self, _milliseconds: int) -> None:
        self.playing = self.playing and self.volume == 0

    def stop(self) -> None:
        self.playing = False


@pytest.mark.parametrize("volume", [0.0, 0.5, 1.0])
def test_an_engine_that_stops_as_soon_as_it_started_is_not_heard_for_ever(
    device: pytest.MonkeyPatch, volume: float
) -> None:
    device.setenv("SDL_AUDIODRIVER", "dummy")
    channel = FadingChannel()

    class Still:
        """A sound that no device plays on."""

        def __init__(self, buffer: bytes) -> None:
            self.buffer = buffer

        def play(self, loops: int = 0, fade_ms: int = 0) -> FadingChannel:
            return channel

    device.setattr(pygame.mixer, "Sound", Still)
    speaker = Loudspeaker()
    speaker.play(Heard(note=3))
    channel.volume = volume  # as far as the device's thread has come
    speaker.play(Heard())
    assert not channel.playing
    speaker.close()


def test_without_a_device_nothing_breaks_and_nothing_waits(device: pytest.MonkeyPatch) -> None:
    device.setenv("SDL_AUDIODRIVER", "no-such-device")
    speaker = Loudspeaker()
    speaker.play(Heard(("clack",), True, 3))
    assert speaker.working is False
    tries: list[object] = []
    device.setattr(pygame.mixer, "init", lambda *rest, **more: tries.append(rest))
    began = time.perf_counter()
    for step in range(1000):
        speaker.play(Heard(("joint",), True, step % ENGINE_STEPS))
    assert time.perf_counter() - began < 0.25
    assert tries == []
    speaker.close()


def test_drawing_and_playing_never_open_a_device() -> None:
    player = Player()
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.key(pygame.K_1)
    player.wait(1.5)
    assert pygame.mixer.get_init() is None


def test_the_window_is_given_a_loudspeaker_and_closes_it(device: pytest.MonkeyPatch) -> None:
    device.setenv("SDL_AUDIODRIVER", "dummy")
    made: list[Loudspeaker] = []

    class Told(Loudspeaker):
        def __init__(self) -> None:
            super().__init__()
            made.append(self)

    def one_sound(open_window: Window) -> None:
        assert open_window.speaker is made[0]
        open_window.speaker.play(Heard(("click",)))
        assert pygame.mixer.get_init() is not None

    device.setattr(loop, "Loudspeaker", Told)
    device.setattr(loop, "_run", one_sound)
    assert loop.open_window(None) == 0
    assert len(made) == 1
    assert pygame.mixer.get_init() is None
