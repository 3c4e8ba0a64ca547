"""What a gap does: held, or asked for with G, it shows the same moment cut and closed side by side."""

from __future__ import annotations

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.items.cards.gap import GapCard
from sim.game.items.common.thing import Sight
from sim.session.acts import Direction, Drive, Plug, Power, Predict
from tests.game.playing import GOOD_WIRES, Player

GAP = "T1.gap.closure.left"


def running(size: tuple[int, int] = (1280, 800)) -> Player:
    player = Player(size=size)
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.3))
    player.wait(0.4)
    return player


def cards(player: Player) -> list[Sprite]:
    return list(GapCard().sprites(Sight(player.stage, player.bench.snapshot, player.bench.view)))


def press(player: Player, kind: int, at: tuple[float, float]) -> None:
    player._post(kind, pos=(round(at[0]), round(at[1])), button=1)


def test_held_it_shows_both_and_let_go_it_is_gone_and_nothing_was_cut() -> None:
    player = running()
    at = player.place("place", GAP)
    before = player.bench.snapshot.bench
    player.point(at)
    press(player, pygame.MOUSEBUTTONDOWN, at)
    player.wait(0.2)
    assert not cards(player)
    player.wait(0.25)
    assert cards(player)
    moments = player.bench.view.gap
    assert moments is not None
    assert [moment.state for moment in moments] == ["cut", "closed"]
    assert moments[0].text.startswith("Cut: the four-wheel shunter draws 0.")
    assert moments[1].text == "Closed: 4.5 A would flow; the 3 A breaker opens."
    press(player, pygame.MOUSEBUTTONUP, at)
    assert not cards(player)
    assert player.bench.snapshot.bench is before


def test_with_the_keyboard_alone() -> None:
    player = running()
    player.focus("place", GAP)
    player.key(pygame.K_g)
    assert cards(player)
    player.key(pygame.K_g)
    assert not cards(player)
    player.key(pygame.K_g)
    player.key(pygame.K_ESCAPE)
    assert not cards(player)
    assert player.bench.view.focus is not None  # only the card was closed
    player.focus("lever", "T1")
    player.key(pygame.K_g)
    assert not cards(player)


def test_the_two_pictures_differ_and_lie_whole_on_the_mat() -> None:
    for size in ((1024, 720), (1280, 800)):
        player = running(size)
        player.focus("place", GAP)
        player.key(pygame.K_g)
        card, one, _, other, _ = cards(player)  # the paper, and each picture with a ring round the gap
        moments = player.bench.view.gap
        assert moments is not None
        assert moments[0].moment.feeds["T1.frog"] == "B"
        assert moments[1].moment.feeds["T1.frog"] == "both"
        assert player.window.rooms.mat.inflate(40, 40).contains(card.rect.inflate(-40, -40))
        assert card.rect.contains(one.rect)
        assert card.rect.contains(other.rect)
        pictures = [pygame.image.tobytes(part.surface, "RGB") for part in (one, other)]
        assert pictures[0] != pictures[1]
        again = cards(player)
        assert again[0].surface is card.surface


def test_it_goes_when_something_is_done() -> None:
    player = running()
    player.focus("place", GAP)
    player.key(pygame.K_g)
    player.key(pygame.K_1)  # the points are thrown: it would show another moment
    assert not cards(player)
