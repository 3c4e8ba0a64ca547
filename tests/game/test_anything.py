"""Whatever is done at the window, in whatever order: nothing breaks, and the bench stays sound."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.electric.parts import PartRef
from sim.game.desk.gestures import Gestures
from sim.game.items.common.commands import SaveTo
from sim.session.acts import Do
from sim.track.formations import KINDS
from tests.cli.running import ROOT
from tests.game.playing import LEVEL, Player
from tests.game.storm import Storm, StormFault, faults_of

SEEDS = range(10)
EVENTS = 10_000


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_a_hundred_thousand_events_break_nothing(seed: int) -> None:
    """A tenth of them, in a process of its own."""
    assert len(SEEDS) * EVENTS == 100_000
    done = subprocess.run(
        [sys.executable, "-m", "tests.game.storm", str(seed), "--events", str(EVENTS)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode:
        pytest.fail(done.stdout, pytrace=False)
    assert done.stdout.endswith(f"{EVENTS} events of seed {seed}: nothing broke\n")


def test_a_thousand_events_break_nothing(tmp_path: Path) -> None:
    Storm(len(SEEDS), tmp_path).blow(EVENTS // 10)


def test_a_storm_saves_in_its_own_folder_and_nowhere_else(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    inside, outside = tmp_path / "in", tmp_path / "out"
    inside.mkdir()
    outside.mkdir()
    storm = Storm(3, inside)
    page = storm.player.window
    page.opening.open(inside / "own.toml")

    def save(events: int) -> None:
        for folder in (inside, outside):
            page.do(SaveTo(folder / "new.toml"))

    monkeypatch.setattr(storm, "_blow", save)
    storm.blow(1)
    assert (inside / "new.toml").exists()
    assert list(outside.iterdir()) == []


def test_a_storm_that_breaks_something_says_how_to_play_it_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError("broken on purpose")

    monkeypatch.setattr(Gestures, "_wheel", breaks)
    with pytest.raises(StormFault) as told:
        Storm(3, tmp_path).blow(EVENTS)
    words = str(told.value)
    assert "ZeroDivisionError: broken on purpose" in words
    assert "again by: python -m tests.game.storm 3" in words
    assert len(words.splitlines()) == 3 + 20
    assert "MOUSEWHEEL" in words.splitlines()[-1]
    with pytest.raises(StormFault) as again:
        Storm(3, tmp_path).blow(EVENTS)
    assert str(again.value) == words


def test_a_number_that_is_none_and_a_way_back_that_goes_astray_are_noticed() -> None:
    player = Player()
    filed = load(LEVEL, KINDS)
    screen = player.bench
    screen.act(Do(MakeWire("bus.A", "M1.k")))
    assert faults_of(screen, filed) == []
    good = screen.snapshot
    screen.snapshot = replace(good, amps={**good.amps, PartRef("wire", "", (0,)): math.nan})
    assert faults_of(screen, filed) == ["snapshot.amps[wire 0] is nan"]
    screen.snapshot = good
    assert faults_of(screen, replace(filed, title="Another")) == ["with everything undone it is not the bench as filed"]
