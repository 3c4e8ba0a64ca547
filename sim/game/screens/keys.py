"""The page of keys, F1."""

from __future__ import annotations

import pygame

from sim.game.draw.ink import Sprite
from sim.game.draw.ledger import keys_sheet
from sim.game.draw.mat import ground
from sim.game.theme import Theme
from sim.game.view import Rooms, World

__all__ = ["KEYS", "KeysScreen"]

KEYS = (
    ("", "Getting about"),
    ("Tab", "to the next thing; with Shift, back"),
    ("Arrows", "to the nearest thing that way"),
    ("Enter", "act on it, as a click does"),
    ("Esc", "let go; close; back to the jobs, all kept as it is"),
    ("Ctrl R", "begin the job again"),
    ("F1", "this page"),
    ("V", "turn the board over, to see it from below"),
    ("S", "sound off, or on"),
    ("F2", "settings: light, size, motion"),
    ("F11", "full screen"),
    ("Ctrl + / Ctrl -", "everything larger or smaller"),
    ("", "Wiring"),
    ("Enter, Enter", "a wire from one screw or tab to another"),
    ("Del", "take the wire off that is ringed"),
    ("Ctrl Z", "undo; Ctrl Shift Z redo"),
    ("J", "fold the job sheet away, or open it"),
    ("F", "fold the frog's slip away, or open it"),
    ("", "Meter"),
    ("R / B", "red or white tip on the ringed place"),
    ("Backspace", "both tips off"),
    ("M", "turn the knob; with Shift, back"),
    ("", "Power and points"),
    ("U", "plug the supply in, or pull it out"),
    ("P", "the supply's rocker: on, off, reset"),
    ("1 to 9", "throw the points of that lever"),
    ("", "Driving"),
    ("+ / -", "throttle up, down"),
    ("0", "stop"),
    ("D", "the other direction"),
    (". / ,", "nudge the train on, or back"),
    ("T", "test every route"),
)


class KeysScreen:
    """All keys on one sheet; any of Esc, F1, Enter or a click goes back."""

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        """Take an event."""
        del rooms, theme
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return "close"
        if event.type == pygame.KEYDOWN and event.key in (
            pygame.K_ESCAPE,
            pygame.K_RETURN,
            pygame.K_SPACE,
            pygame.K_KP_ENTER,
        ):
            return "close"
        return ""

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Nothing moves here."""

    @property
    def lively(self) -> bool:
        """Nothing moves here."""
        return False

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        width = min(rooms.size[0] - 96 * unit, 1000 * unit)
        height = min(rooms.size[1] - 120 * unit, 620 * unit)
        box = (round((rooms.size[0] - width) / 2), round(76 * unit), round(width), round(height))
        return [Sprite(ground(rooms, world, 0.0, theme), 0, 0), keys_sheet(box, unit, theme, KEYS)]
