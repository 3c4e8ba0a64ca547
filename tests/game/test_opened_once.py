"""Each thing of the test track opened once: the bar, the list, and where each line stands."""

from __future__ import annotations

import pygame
import pytest

from sim.bench.edits import MakeWire, RemoveWire, SetPlace
from sim.game.desk.hit import areas
from sim.game.items.cards.broken import spots_of
from sim.game.screens.bench_page import BenchScreen
from sim.proof.breaking import breakable
from sim.session.acts import Do
from tests.game.yard import bench, lay, track, wait_for, wire, working


def test_each_thing_is_opened_once_with_a_bar_and_a_line_clicked_rings_it() -> None:
    player = track()
    wire(player)
    player.bench.act(Do(SetPlace("T1.bond.left", "open")))
    player.click(player.place("button", "break"))
    shares: list[float] = []
    while (work := player.bench.view.work) is not None:
        shares.append(work[1])
        player.window.tick(1 / 60)
    assert shares == sorted(shares)
    assert shares[-1] > shares[0]
    broken = player.bench.view.broken
    assert broken is not None
    assert {row.ref for row in broken} == set(breakable(bench(player)))
    player.point((640, 430))
    before = player.surface.copy()
    first = broken[0].ref
    player.click(player.place("broken", "0"))
    assert player.bench.view.broken_ref == first
    x, y = player.stage.paths[int(first.detail[0])][0]
    box = pygame.Rect(round(x) - 12, round(y) - 12, 24, 24)
    assert player.surface.subsurface(box).copy().get_buffer().raw != before.subsurface(box).copy().get_buffer().raw
    player.bench.act(Do(RemoveWire(0)))
    assert player.bench.view.broken is None, "the bench is another now"


@pytest.mark.parametrize("key", [pygame.K_o, pygame.K_k])
def test_escape_ends_what_is_being_worked_out_and_so_does_another_bench(key: int) -> None:
    player = track()
    wire(player)
    player.key(pygame.K_k)
    for end in ("escape", "edit"):
        player.key(key)
        assert working(player)
        if end == "escape":
            player.key(pygame.K_ESCAPE)
        else:
            player.bench.act(Do(RemoveWire(0)))
        assert not working(player)
        player.wait(1.0)
        assert (player.bench.view.broken, player.bench.view.compared) == (None, None)
        assert isinstance(player.window.screen, BenchScreen)


def test_every_page_of_the_list_is_reached_and_every_line_stands_on_one() -> None:
    player = track((1024, 720))
    wire(player)
    player.key(pygame.K_o)
    wait_for(player, "broken")
    broken = player.bench.view.broken
    assert broken is not None
    seen: list[str] = []
    for _ in range(30):
        shown = [a.target.name for a in areas(player.stage, player.bench.snapshot, player.bench.view)
                 if a.target.kind == "broken" and a.target.name.isdecimal()]  # fmt: skip
        seen += [name for name in shown if name not in seen]
        top = player.bench.view.broken_top
        player.key(pygame.K_PAGEDOWN)
        if player.bench.view.broken_top == top:
            break
    assert seen == [str(number) for number in range(len(broken))]
    while player.bench.view.broken_top:
        top = player.bench.view.broken_top
        player.click(player.place("broken", "up"))
        assert player.bench.view.broken_top < top
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.broken is None
    assert isinstance(player.window.screen, BenchScreen)


def test_everything_that_can_be_opened_has_a_place_on_the_bench() -> None:
    player = track()
    wire(player)
    lay(player, "plain", "T1.main")
    for item in ("lamp", "polarity", "tap"):
        player.click(player.place("drawer", item))
    player.bench.act(Do(MakeWire("far.A", "L1.1")), Do(MakeWire("bus.A", "Q1.a")), Do(MakeWire("bus.B", "Q1.b")))
    mat = player.stage.rooms.mat
    for ref in breakable(bench(player)):
        if ref.kind == "wire":
            continue
        spots = spots_of(player.stage, ref)
        assert spots, ref
        assert all(mat.collidepoint(spot) for spot in spots), ref
