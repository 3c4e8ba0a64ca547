"""What every thing on the bench answers to: where it is, how it looks, what is done with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal, NamedTuple

import pygame

from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.commands import Command
from sim.game.paper.view import Point
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, Note, Target, ViewState
from sim.session.acts import Act
from sim.session.snapshot import Snapshot

__all__ = ["NOTHING", "Layer", "Outcome", "Sight", "Thing"]

Layer = Literal["bed", "board", "paper", "top"]


class Sight(NamedTuple):
    """All that a thing is drawn from: the bench in its window, this moment of it, and the view."""

    stage: Stage
    snapshot: Snapshot
    view: ViewState


class Outcome(NamedTuple):
    """What a gesture came to: acts for the session, a command for the bench or the window, the view as it is after it.

    view: None where it stays as it is
    """

    acts: tuple[Act, ...] = ()
    command: Command | None = None
    view: ViewState | None = None


NOTHING = Outcome()


class Thing:
    """A thing that does nothing; each kind of thing overrides what it has.

    kinds: the kinds of Target that are its own, from the uppermost down
    layer: drawn on the board under sheets and panels (the bed lies deepest), on the paper above them, or on top of all
    deep: so much deeper than other things of its layer it lies, when several are under the pointer
    keys: lines for the page of keys, (key, what it does), under `heading`
    """

    kinds: ClassVar[tuple[str, ...]] = ()
    layer: ClassVar[Layer] = "board"
    deep: ClassVar[float] = 0.0
    heading: ClassVar[str] = ""
    keys: ClassVar[tuple[tuple[str, str], ...]] = ()

    def covers(self, sight: Sight) -> bool:
        """Whether it lies over all else, so that nothing else can be pointed at."""
        del sight
        return False

    def areas(self, sight: Sight) -> Iterator[Area]:
        """Where it can be pointed at, in reading order. Called for every motion of the pointer: keep it cheap."""
        del sight
        yield from ()

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        """How it looks, from the ground up."""
        del sight
        yield from ()

    def note(self, sight: Sight, target: Target) -> Note | None:
        """What is said while the pointer, or the focus, is on it."""
        del sight, target
        return None

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        """What a click on it, or Enter, does."""
        del sight, target, point
        return NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        """What a key does with it; None when that key is not its own. Ctrl is asked about here too."""
        del sight, event
        return None

    def wheel(self, sight: Sight, target: Target | None, turns: int) -> Outcome | None:
        """What turning the wheel over a target, or over bare mat (None), does; None when that is not its own."""
        del sight, target, turns
        return None

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        """What comes into the hand when it is dragged; None when it stays where it is."""
        del sight, target, point
        return None

    def carry(self, sight: Sight, hand: Hand, point: Point) -> ViewState:
        """The view while what came from it is in hand, at a point; `hand.at` follows by itself."""
        del hand, point
        return sight.view

    def drop(self, sight: Sight, hand: Hand, point: Point) -> Outcome:
        """What letting go of it at a point does."""
        del sight, hand, point
        return NOTHING

    def hold(self, sight: Sight, target: Target) -> Outcome | None:
        """What pressing it for a while does; None when that means no more than a click."""
        del sight, target
        return None

    def release(self, sight: Sight) -> Outcome | None:
        """What ends when the press that was held ends."""
        del sight
        return None
