"""What every thing on the bench answers to: where it is, how it looks, what is done with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
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

__all__ = ["NOTHING", "Layer", "Outcome", "Reading", "Sight", "Thing", "emptied"]

Layer = Literal["bed", "board", "paper", "top"]
Reading = Literal["top", "slips", "sheet", "board", "panels"]
"""The parts of the window in the order in which they are read, and Tab goes through them."""


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


def emptied(view: ViewState) -> ViewState:
    """The view with nothing in hand and nothing open."""
    return replace(
        view, hand=None, ghost=None, menu_wire=None, hover=None, opened=None, at_place=None, ghost_rails=()
    )  # fmt: skip


class Thing:
    """A thing that does nothing; each kind of thing overrides what it has.

    kinds: the kinds of Target that are its own, from the uppermost down; of Hand too, where it comes into the hand
    layer: drawn on the board under sheets and panels (the bed lies deepest), on the paper above them, or on top of all
    deep: so much deeper than other things of its layer it lies, when several are under the pointer
    reads: the part of the window that it is read with
    leads: it reaches over the edge of the mat to the instruments
    keeps_slips: a slip that lies open stays so while this is acted on
    hides: kinds that it hides but for their very middle, though they lie over it
    through: kinds that what came from it passes under while it is in hand; None where it does not matter what is there
    meets: kinds on which what is in hand can be put by keyboard
    keys: lines for the page of keys, (key, what it does), under `heading`
    """

    kinds: ClassVar[tuple[str, ...]] = ()
    layer: ClassVar[Layer] = "board"
    deep: ClassVar[float] = 0.0
    reads: ClassVar[Reading] = "slips"
    leads: ClassVar[bool] = False
    keeps_slips: ClassVar[bool] = False
    hides: ClassVar[frozenset[str]] = frozenset()
    through: ClassVar[frozenset[str] | None] = None
    meets: ClassVar[frozenset[str]] = frozenset()
    heading: ClassVar[str] = ""
    keys: ClassVar[tuple[tuple[str, str], ...]] = ()

    def covers(self, sight: Sight) -> bool:
        """Whether it lies over all else, so that nothing else can be pointed at."""
        del sight
        return False

    def settled(self, sight: Sight) -> ViewState:
        """The view without what the bench no longer has of it."""
        return sight.view

    # How it looks

    def areas(self, sight: Sight) -> Iterator[Area]:
        """Where it can be pointed at, in reading order. Called for every motion of the pointer: keep it cheap."""
        del sight
        yield from ()

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        """How it looks, from the ground up."""
        del sight
        yield from ()

    def over(self, sight: Sight) -> Iterator[Sprite]:
        """What of it is drawn over sheets and panels, such as rings."""
        del sight
        yield from ()

    def note(self, sight: Sight, target: Target) -> Note | None:
        """What is said at once while the pointer is on it."""
        del sight, target
        return None

    def words(self, sight: Sight, target: Target) -> str:
        """What it is called and what it is for, in a line, for who rests on it; empty for what has none."""
        del sight, target
        return ""

    # What a click, a drag, a hold, a key does

    def press(self, sight: Sight, target: Target, point: Point) -> Outcome | None:
        """What pressing it does at once; None: nothing until it is let go or dragged."""
        del sight, target, point
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

    def hold(self, sight: Sight, target: Target) -> Outcome | None:
        """What pressing it for a while does; None when that means no more than a click."""
        del sight, target
        return None

    def release(self, sight: Sight) -> Outcome | None:
        """What ends when the press that was held ends."""
        del sight
        return None

    # What is in hand

    def take(self, sight: Sight, target: Target, point: Point) -> Hand | None:
        """What comes into the hand when it is dragged; None when it stays where it is."""
        del sight, target, point
        return None

    def carry(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        """What moving it to a point in hand does; in the view it is there already.

        over: what lies there, of all that it does not pass under; None as long as `through` is None
        """
        del sight, hand, point, over
        return NOTHING

    def drop(self, sight: Sight, hand: Hand, point: Point, over: Target | None) -> Outcome:
        """What letting go of it at a point does; in the view nothing is in hand any more."""
        del sight, hand, point, over
        return NOTHING

    def in_hand(self, sight: Sight, hand: Hand) -> Iterator[Sprite]:
        """How it looks in hand, over sheets and panels."""
        del sight, hand
        yield from ()

    def held_note(self, sight: Sight, hand: Hand) -> Note | None:
        """What is said while it is in hand."""
        del sight, hand
        return None

    def enter(self, sight: Sight, hand: Hand, area: Area) -> Outcome | None:
        """What Enter does with it in hand and the focus on something; None: what Enter does there with a bare hand."""
        del sight, hand, area
        return None
