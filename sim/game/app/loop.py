"""The real window: opened on the desktop, fed with events and time until it is closed."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pygame
from platformdirs import user_documents_path, user_pictures_path

from sim.game.app.allocation import give_back_freed
from sim.game.app.bookkeeper import Bookkeeper
from sim.game.app.incoming import Incoming
from sim.game.app.mishaps import NoDisplay, NotKept
from sim.game.app.window import TITLE, Window
from sim.game.draw.pen.emblem import emblem
from sim.game.look.settings import Settings
from sim.game.look.sound import Loudspeaker
from sim.game.paper.view import LEAST_SIZE
from sim.game.screens.marksbook import Forgetful, MarksBook

__all__ = ["open_window"]

_FRAMES = 60
_NAP_MS = 16
_NAPS = 25  # in a row until what rests is written down
_ICON = 64  # px; the desktop takes its smaller ones from it
_KINDS_KEPT = (
    pygame.QUIT, pygame.KEYDOWN, pygame.KEYUP, pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP,
    pygame.TEXTINPUT, pygame.MOUSEWHEEL, pygame.VIDEORESIZE, pygame.VIDEOEXPOSE, pygame.DROPFILE, pygame.WINDOWLEAVE,
)  # fmt: skip

_ASKED = ("SDL_VIDEODRIVER", "SDL_VIDEO_DRIVER")
_SCREENS = ("DISPLAY", "WAYLAND_DISPLAY", *_ASKED)
_UNSEEN = frozenset({"dummy", "offscreen"})


def _desktop() -> tuple[int, int]:
    """Size of the desktop. Raises NoDisplay where there is none, also where the library would draw unseen unasked."""
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in _SCREENS):
        raise NoDisplay("no screen to open a window on: neither DISPLAY nor WAYLAND_DISPLAY is set")
    try:
        pygame.display.init()
        if pygame.display.get_driver() in _UNSEEN and not any(os.environ.get(name) for name in _ASKED):
            pygame.display.quit()
            raise NoDisplay("no screen to open a window on: none was found")
        return pygame.display.get_desktop_sizes()[0]
    except pygame.error as fault:
        raise NoDisplay(f"no screen to open a window on: {fault}") from None


def open_window(target: Path | None, book: MarksBook | None = None) -> int:
    """Open the window and run it until it is closed. Raises NoDisplay, BenchFaults; NotKept when all is over."""
    desktop = _desktop()
    give_back_freed()
    keeper = Bookkeeper(book if book is not None else Forgetful())
    window = Window(Settings().window, target, keeper, Loudspeaker(), user_pictures_path(), user_documents_path())
    wanted = window.settings.window
    size = (
        min(wanted[0], max(LEAST_SIZE[0], desktop[0])),
        min(wanted[1], max(LEAST_SIZE[1], desktop[1] - 60)),
    )
    window.resize(size)
    try:
        pygame.display.set_caption(TITLE)
        pygame.display.set_icon(emblem(_ICON))
        pygame.display.set_mode(size, pygame.RESIZABLE)
        window.fill_screen()
    except pygame.error as fault:
        raise NoDisplay(f"no screen to open a window on: {fault}") from None
    pygame.key.set_repeat(350, 60)
    try:
        _run(window)
    finally:
        window.rest()
        window.speaker.close()
        pygame.display.quit()
        not_kept = _closed(keeper)
    if not_kept:
        raise NotKept(not_kept)
    return 0


def _closed(keeper: Bookkeeper) -> str:
    """Close the book; gives why not all of it could be written, or nothing."""
    try:
        keeper.close()
    except ValueError as wrong:
        return str(wrong)
    return ""


def _run(window: Window) -> None:
    """The loop: events, time, picture; it sleeps while nothing moves."""
    clock = pygame.time.Clock()
    incoming = Incoming()
    pygame.event.set_allowed(_KINDS_KEPT)
    shown = False
    naps = 0
    caption = TITLE
    while window.running:
        events = pygame.event.get()
        if shown and not events and not window.lively:
            pygame.time.wait(_NAP_MS)  # the library's own waiting looks a thousand times a second
            clock.tick()  # the time asleep is not the bench's time
            naps += 1
            if naps == _NAPS:
                window.rest()
            continue  # nothing moved and nothing was done: the picture stands
        naps = 0
        if window.title != caption:
            caption = window.title
            pygame.display.set_caption(caption)
        for event in incoming.sift(events):
            if event.type == pygame.VIDEOEXPOSE:
                window.compositor.forget()
            window.handle(event)
        window.tick(min(0.1, clock.tick(_FRAMES) / 1000))
        display = pygame.display.get_surface()
        if display.get_size() != window.size:
            window.resize(display.get_size())
        boxes = window.frame(display)
        if boxes:
            pygame.display.update(boxes)
        shown = True
