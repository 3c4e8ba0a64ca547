"""The file dialogue on paper: places at the left, the list of a folder, a line to type a name, and two buttons."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.draw.pages.files import Entry, Line, shown
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import button, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.words import verbatim

__all__ = ["FilesLook", "files_box", "files_places", "files_sheet", "row_count"]

_WIDE, _HIGH = 900.0, 620.0
_HEAD, _FOOT, _SIDE, _ROW, _BUTTON = 132.0, 76.0, 196.0, 32.0, 38.0
_NAME = 52.0  # more at the foot, for the line with the name


class FilesLook(NamedTuple):
    """What is seen of the dialogue.

    rows: the entries in sight; chosen: which of them is under the cursor, -1 for none; first, total: the first one's
    number, and how many there are; name: what is typed, None when nothing is to be typed; note: under the list
    """

    title: str
    folder: str
    places: tuple[str, ...]
    here: int
    rows: tuple[Entry, ...]
    chosen: int
    first: int
    total: int
    name: Line | None
    typing: bool
    note: str
    fault: bool
    go: str
    able: bool


def files_box(size: tuple[int, int], unit: float) -> Box:
    """Where the sheet lies on a picture of that size."""
    width = min(size[0] - 48 * unit, _WIDE * unit)
    height = min(size[1] - 84 * unit, _HIGH * unit)
    return round((size[0] - width) / 2), round(64 * unit), round(width), round(height)


def _list_box(box: Box, unit: float, saves: bool) -> tuple[float, float, float, float]:
    x, y, w, h = box
    foot = _FOOT + (_NAME if saves else 0.0)
    return x + (28 + _SIDE + 16) * unit, y + _HEAD * unit, w - (28 + _SIDE + 16 + 28) * unit, h - (_HEAD + foot) * unit


def row_count(box: Box, unit: float, saves: bool) -> int:
    """How many entries are in sight at once."""
    return max(1, int((_list_box(box, unit, saves)[3] - 8 * unit) // (_ROW * unit)))


def files_places(box: Box, unit: float, saves: bool, places: int, rows: int) -> dict[str, pygame.Rect]:
    """Where everything lies that can be pointed at: "place K", "up", "row K", "list", "name", "cancel", "go"."""
    x, y, w, h = box
    left, top, width, height = _list_box(box, unit, saves)
    out = {f"place {k}": _rect(x + 28 * unit, top + 44 * unit * k, _SIDE * unit, 36 * unit) for k in range(places)}
    out["up"] = _rect(left, y + 84 * unit, 112 * unit, 36 * unit)
    for k in range(rows):
        out[f"row {k}"] = _rect(left + 4 * unit, top + (4 + _ROW * k) * unit, width - 22 * unit, _ROW * unit)
    out["list"] = _rect(left, top, width, height)
    if saves:
        out["name"] = _rect(left, top + height + 12 * unit, width, 40 * unit)
    foot = y + h - (18 + _BUTTON) * unit
    out["cancel"] = _rect(x + w - (28 + 2 * 150 + 12) * unit, foot, 150 * unit, _BUTTON * unit)
    out["go"] = _rect(x + w - (28 + 150) * unit, foot, 150 * unit, _BUTTON * unit)
    return out


def _rect(x: float, y: float, w: float, h: float) -> pygame.Rect:
    return pygame.Rect(round(x), round(y), round(w), round(h))


@kept
def _frame(box: Box, unit: float, theme: Theme) -> Sprite:
    """The empty sheet: the large part that does not change while one looks round."""
    rect = pygame.Rect(box)
    return merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])


@kept
def files_sheet(box: Box, unit: float, theme: Theme, look: FilesLook) -> Sprite:
    """The dialogue as one sprite."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    frame = _frame(box, unit, theme)
    whole = Sprite(frame.surface.copy(), frame.x, frame.y)
    surface, dx, dy = whole.surface, whole.x, whole.y
    ink, second = theme["ink"], theme["ink-second"]
    saves = look.name is not None
    places = files_places(box, unit, saves, len(look.places), len(look.rows))
    put(surface, (rect.x + 28 * unit - dx, rect.y + 20 * unit - dy), look.title, "result", ink, kind)
    put(surface, (rect.right - 28 * unit - dx, rect.y + 40 * unit - dy), "Esc: back", "body", second, kind, "right")
    rule(surface, rect.x + 28 * unit - dx, rect.y + 72 * unit - dy, rect.width - 56 * unit, unit, theme)
    for k, words in enumerate(look.places):
        place = places[f"place {k}"]
        sprite = button(tuple(place), unit, theme, words, "chosen" if k == look.here else "plain")
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    sprite = button(tuple(places["up"]), unit, theme, "Folder up")
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    left = places["up"].right + 14 * unit
    path = kind.squeezed(shown(look.folder), "body", rect.right - 28 * unit - left)
    put(surface, (left - dx, places["up"].centery - kind.height("body") / 2 - dy), path, "body", second, kind)
    _list(surface, dx, dy, places, look, kind)
    if look.name is not None:
        _name(surface, dx, dy, places["name"], look.name, look.typing, kind)
    for name, words, style in (("cancel", "Back", "plain"), ("go", look.go, "main")):
        sprite = button(tuple(places[name]), unit, theme, words, style, name == "cancel" or look.able)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    room = places["cancel"].x - rect.x - 44 * unit
    lines = kind.wrap(look.note, "body", room)[:2]
    y = places["cancel"].centery - dy - kind.height("body") * len(lines) / 2
    for line in lines:
        put(surface, (rect.x + 28 * unit - dx, y), line, "body", theme["pencil-red"] if look.fault else second, kind)
        y += kind.height("body")
    return whole


def _list(
    surface: pygame.Surface, dx: int, dy: int, places: dict[str, pygame.Rect], look: FilesLook, kind: Type
) -> None:
    unit, theme = kind.scale, kind.theme
    box = places["list"]
    pen = Pen(box.inflate(2, 2), 2)
    edge = (float(box.x), float(box.y), float(box.width), float(box.height))
    pen.polygon(rounded(edge, 6 * unit), (255, 255, 255), 0.22)
    pen.frame(edge, 6 * unit, 1.3 * unit, mix(theme["ink-second"], theme["paper"], 0.3))
    if 0 <= look.chosen < len(look.rows):
        row = places[f"row {look.chosen}"]
        pen.polygon(rounded((row.x, row.y, row.width, row.height), 5 * unit), theme["ink"])
    for k, entry in enumerate(look.rows):
        row = places[f"row {k}"]
        colour = theme["paper"] if k == look.chosen else theme["ink-second"]
        _sign(pen, row, entry.folder, colour, theme["ink"] if k == look.chosen else theme["paper"], unit)
    if look.total > len(look.rows):
        _bar(pen, box, look, kind)
    part = pen.done()
    lay(surface, part.surface, (part.x - dx, part.y - dy))
    for k, entry in enumerate(look.rows):
        row = places[f"row {k}"]
        role = "body-bold" if entry.folder else "body"
        text = kind.squeezed(shown(entry.name), role, row.width - 50 * unit)
        colour = theme["paper"] if k == look.chosen else theme["ink"]
        at = (row.x + 38 * unit - dx, row.centery - kind.height(role) / 2 - dy)
        put(surface, at, text, role, colour, kind)


def _bar(pen: Pen, box: pygame.Rect, look: FilesLook, kind: Type) -> None:
    """How far the list is turned."""
    unit, theme = kind.scale, kind.theme
    way = box.height - 12 * unit
    long = max(26 * unit, way * len(look.rows) / look.total)
    at = (way - long) * look.first / max(1, look.total - len(look.rows))
    x, y = box.right - 13 * unit, box.y + 6 * unit
    pen.polygon(rounded((x, y, 7 * unit, way), 3.5 * unit), theme["ink-second"], 0.16)
    pen.polygon(rounded((x, y + at, 7 * unit, long), 3.5 * unit), theme["ink-second"])


def _sign(
    pen: Pen, row: pygame.Rect, folder: bool, colour: tuple[int, int, int], within: tuple[int, int, int], unit: float
) -> None:
    """A folder with its tab, or a sheet on which two rails part."""
    x, y = row.x + 10 * unit, row.centery - 8 * unit
    if folder:
        pen.polygon(rounded((x, y + 1 * unit, 8 * unit, 6 * unit), 1.5 * unit), colour)
        pen.polygon(rounded((x, y + 3.5 * unit, 18 * unit, 12 * unit), 2 * unit), colour)
        return
    pen.polygon(rounded((x + 2 * unit, y, 14 * unit, 17 * unit), 1.5 * unit), colour)
    pen.stroke([(x + 6 * unit, y + 14.5 * unit), (x + 6 * unit, y + 2.5 * unit)], 1.7 * unit, within)
    pen.stroke([(x + 6 * unit, y + 11 * unit), (x + 12.5 * unit, y + 2.5 * unit)], 1.7 * unit, within)


def _name(surface: pygame.Surface, dx: int, dy: int, box: pygame.Rect, name: Line, typing: bool, kind: Type) -> None:
    """The line with the name, turned so far that the caret is seen."""
    unit, theme = kind.scale, kind.theme
    label = "Name"
    field, middle = box, box.centery - dy
    at = (box.x - 14 * unit - dx, middle - kind.height("body-bold") / 2)
    put(surface, at, label, "body-bold", theme["ink"], kind, "right")
    pen = Pen(field.inflate(2, 2), 2)
    edge = (float(field.x), float(field.y), float(field.width), float(field.height))
    pen.polygon(rounded(edge, 5 * unit), (255, 255, 255), 0.5)
    pen.frame(edge, 5 * unit, (2.0 if typing else 1.3) * unit, theme["ink"] if typing else theme["ink-second"])
    part = pen.done()
    lay(surface, part.surface, (part.x - dx, part.y - dy))
    room = field.width - 22 * unit
    parts = [kind.line(_as_it_is(part), "body", theme["ink"]) if part else None for part in name.parted]
    before = parts[0].get_width() if parts[0] is not None else 0
    slit = round(4 * unit) if typing and not name.marked and None not in parts else 0  # so that the caret hides no sign
    shift = max(0.0, before + slit + 2 * unit - room)
    left = field.x + 11 * unit - dx
    high = kind.height("body") * 0.9
    if typing and name.marked:
        wide = min(before - shift, room)
        pygame.draw.rect(surface, mix(theme["paper"], theme["ink"], 0.24), _rect(left, middle - high / 2, wide, high))
    for text, begin in zip(parts, (-shift, before + slit - shift), strict=True):
        if text is not None:
            seen = pygame.Rect(round(max(0.0, -begin)), 0, round(room - max(0.0, begin)), text.get_height())
            strip = text.subsurface(seen.clip(text.get_rect()))
            lay(surface, strip, (left + max(0.0, begin), middle - text.get_height() / 2))
    if typing and not name.marked:
        wide = max(2, round(1.6 * unit))
        caret = left + before - shift + (slit - wide) / 2
        pygame.draw.rect(surface, theme["ink"], _rect(caret, middle - high / 2, wide, high))


def _as_it_is(text: str) -> str:
    return verbatim(shown(text))
