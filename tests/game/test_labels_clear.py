"""Labels and their beaks cover nothing of what they speak of."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.game.desk.hit import areas
from sim.game.desk.overlay import note_for, note_sprite
from sim.game.desk.prompting import label_of
from sim.game.desk.scene import picture
from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.thing import Sight
from sim.game.items.tools.ammeter import hung_tag
from sim.game.items.tools.magnifier import Magnifier, label_place
from sim.game.items.tools.probes import Probes
from sim.game.picture.laying import APART, places_for
from sim.game.shorts.lensing import lens_words
from sim.game.whereabouts.viewstate import Clip, Lens, PromptView, Target
from sim.resources import level_path
from tests.game.large import TWO_TURNOUTS
from tests.game.lettering import watching
from tests.game.playing import Player

SIZES = [(1024, 720), (1280, 800), (1920, 1080)]


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    ("kind", "name"), [("rocker", "supply"), ("lever", "T1"), ("knob", "meter"), ("button", "test")]
)
def test_a_prompt_leaves_the_instruments_and_the_button_to_be_read(
    kind: str, name: str, size: tuple[int, int], theme: str
) -> None:
    player = Player(level_path("first-frog"), size, theme, watching=False)
    target = Target(kind, name)
    bench, stage = player.bench, player.stage
    view = dataclasses.replace(bench.view, prompt=PromptView(target, "Plug in and switch on: the lamp is your safety."))
    every = areas(stage, bench.snapshot, view)
    label = label_of(stage, view, every)
    assert label is not None
    covered = label.box.union(pygame.Rect(label.tip, (1, 1)))
    meant = next(area.rect for area in every if area.target == target)
    assert not covered.colliderect(meant.inflate(-4, -4))
    for panel in (stage.rooms.meter, stage.rooms.supply, stage.rooms.throttle):
        assert not covered.colliderect(panel.inflate(-round(28 * stage.unit), 0))


@pytest.mark.parametrize("size", SIZES)
def test_the_clocks_note_points_at_the_clock(size: tuple[int, int]) -> None:
    player = Player(size=size, watching=False)
    place = player.area("pace", "").rect
    player.click(place.center)
    bench = player.bench
    note = note_for(player.stage, bench.snapshot, bench.view)
    assert note is not None
    assert place.left <= note.tip[0] <= place.right
    assert note.clear == tuple(place)  # it lies under the button, and its beak ends there
    assert note_sprite(player.stage, note).rect.bottom > place.bottom


def test_the_lens_says_that_an_engine_stands_over_the_place_and_where_none_does() -> None:
    player = Player(watching=False)
    stage, shot = player.stage, player.bench.snapshot
    axles = [axle[:2] for axle in shot.trains[0].vehicles[0].axles]
    (x0, y0), (x1, _) = axles[0], axles[-1]
    between = ((x0 + x1) / 2, y0 + 8.25)
    assert "stands over it" in " ".join(lens_words(stage, shot, between, 2.0))
    assert "No wheel is here" in " ".join(lens_words(stage, shot, (x0 + 120, y0 + 8.25), 2.0))


def texts(player: Player) -> dict[str, pygame.Rect]:
    """Every line that is seen now, and its box."""
    shown, divided = player.window.theme, player.window.rooms
    with watching() as lettering:
        page = lettering.page(player.bench.sprites(divided, shown), divided.size, shown.words.of)
    return {text.words: text.box for text in page.texts}


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", SIZES)
def test_the_words_at_an_end_of_track_lie_beside_its_ring_and_its_rails(
    tmp_path: Path, size: tuple[int, int], theme: str
) -> None:
    path = tmp_path / "two.toml"
    path.write_text(TWO_TURNOUTS, encoding="utf-8")
    player = Player(path, size, theme, watching=False)
    player.click(player.place("drawer", "turnout-right"))
    for name, (x, y) in places_for(player.stage, "turnout-right").items():
        if name == APART:
            continue
        player.point((x, y))
        found = next(box for words, box in texts(player).items() if words.startswith("by its "))
        ring = pygame.Rect(0, 0, round(26 * player.stage.unit), round(26 * player.stage.unit))
        ring.center = round(x), round(y)
        assert not found.inflate(round(10 * player.stage.unit), round(6 * player.stage.unit)).colliderect(ring)


def test_the_lens_does_not_hide_what_the_clip_reads() -> None:
    player = Player(level_path("first-frog"), watching=False)
    bench, world = player.bench, player.stage.world
    hidden = []
    for number, wire in enumerate(bench.snapshot.bench.wires):
        bench.view = replace(bench.view, clip=Clip("wire", str(number), (0.8, 0.0), wire.ends))
        tag = hung_tag(Sight(player.stage, bench.snapshot, bench.view))
        assert tag is not None
        for dx in range(-200, 201, 50):
            for dy in (70, 110, 150):
                place = world.to_bench((tag.centerx + dx, tag.centery + dy))
                bench.view = replace(bench.view, lens=Lens(place, None))
                label = pygame.Rect(label_place(Sight(player.stage, bench.snapshot, bench.view)))
                hidden += [(number, dx, dy)] if label.colliderect(tag) else []
    assert hidden == []


def test_the_leads_run_under_the_lens_and_its_words() -> None:
    player = Player(watching=False)
    player.probe("red", "T1.stock.left")
    player.key(pygame.K_l)
    bench, stage = player.bench, player.stage
    every = picture(stage, bench.snapshot, bench.view)
    words = max(
        k for sprite in Magnifier().sprites(Sight(stage, bench.snapshot, bench.view)) for k in places(every, sprite)
    )
    leads = [k for sprite in Probes().sprites(Sight(stage, bench.snapshot, bench.view)) for k in places(every, sprite)]
    assert leads
    assert max(leads) < words


def places(every: Sequence[Sprite], sprite: Sprite) -> list[int]:
    """Where in a picture a sprite is."""
    return [k for k, other in enumerate(every) if other.surface is sprite.surface]
