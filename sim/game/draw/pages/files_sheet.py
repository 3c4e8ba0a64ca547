"""The file dialogue on paper: places at the left, the list of a folder, a line to type a name, and two buttons."""

from __future__ import annotations

import pygame

from sim.game.draw.pages.files import Files, Line, shown
from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.ink import Pen, Sprite, lay, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import box_of
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix
from sim.words import verbatim

__all__ = ["files_sheet", "row_count"]

_WIDE, _HIGH, _EDGE = 900.0, 620.0, 28.0
_HEAD, _FOOT, _SIDE, _ROW, _BUTTON = 132.0, 76.0, 196.0, 32.0, 38.0
_NAME = 52.0  # more at the foot, for the line with the name


_TITLES = {"open": "Open a bench", "save": "Save the bench"}
_GO = {"open": "Open", "save": "Save"}
_NOTHING = "No folders and no bench files in here."


def _box(size: tuple[int, int], unit: float) -> pygame.Rect:
    wide, high = min(size[0] - 48 * unit, _WIDE * unit), min(size[1] - 84 * unit, _HIGH * unit)
    return in_the_middle(size, wide, high, 64 * unit)


def _list_box(box: pygame.Rect, unit: float, saves: bool) -> tuple[float, float, float, float]:
    left, foot = (_EDGE + _SIDE + 16) * unit, (_FOOT + (_NAME if saves else 0.0)) * unit
    return box.x + left, box.y + _HEAD * unit, box.width - left - _EDGE * unit, box.height - _HEAD * unit - foot


def row_count(size: tuple[int, int], unit: float, saves: bool) -> int:
    """How many entries are in sight at once."""
    return max(1, int((_list_box(_box(size, unit), unit, saves)[3] - 8 * unit) // (_ROW * unit)))


def _rect(x: float, y: float, w: float, h: float) -> pygame.Rect:
    left, top = round(x), round(y)
    return pygame.Rect(left, top, round(x + w) - left, round(y + h) - top)  # so that neighbours share an edge


@kept
def files_sheet(size: tuple[int, int], unit: float, theme: Theme, files: Files, note: str) -> Arrangement[str]:
    """The dialogue in a window of that size: "place K", "up", "row K" by the entry's number, "list", "name", "cancel",
    "go". `note`: what there is to know, where nothing is wrong."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, box, second = sheet.kind, _box(size, unit), theme["ink-second"]
    saves, edge, folder = files.purpose == "save", box.x + _EDGE * unit, files.listing.folder
    sheet.paper(box)
    sheet.headed(_TITLES[files.purpose], "Esc: back", (20, 40, 72), _EDGE)
    left, top, width, height = _list_box(box, unit, saves)
    for k, each in enumerate(files.places):
        place = _rect(edge, top + 44 * unit * k, _SIDE * unit, 36 * unit)
        sheet.button(f"place {k}", place, each.words, "chosen" if each.folder == folder else "plain")
    up = _rect(left, box.y + 84 * unit, 112 * unit, 36 * unit)
    sheet.button("up", up, "Folder up")
    begin, end = up.right + 14 * unit, box.right - _EDGE * unit
    sheet.level((begin, up.centery), kind.squeezed(shown(str(folder)), "body", end - begin), "body", second)
    _list(sheet, _rect(left, top, width, height), files, row_count(size, unit, saves))
    if saves:
        field = _rect(left, top + height + 12 * unit, width, 40 * unit)
        sheet.level((field.x - 14 * unit, field.centery), "Name", "body-bold", theme["ink"], "right")
        sheet.spot("name", field)
        sheet.draw(_field, field, files.name, files.focus == "name", kind)
    foot, wide = box.bottom - (18 + _BUTTON) * unit, 150 * unit
    cancel = _rect(end - 2 * wide - 12 * unit, foot, wide, _BUTTON * unit)
    sheet.button("cancel", cancel, "Back")
    able = saves or files.entry is not None
    sheet.button("go", _rect(end - wide, foot, wide, _BUTTON * unit), _GO[files.purpose], "main", able)
    words = files.wrong or note or ("" if files.listing.entries else _NOTHING)
    lines = kind.wrap(words, "body", cancel.x - box.x - 44 * unit)[:2]
    sheet.aside((edge, cancel.centery), lines, "body", theme["pencil-red"] if files.wrong else second)
    return sheet


def _list(sheet: Arrangement[str], box: pygame.Rect, files: Files, count: int) -> None:
    """The entries in sight, so many at most."""
    unit, kind, theme, every = sheet.unit, sheet.kind, sheet.theme, files.listing.entries
    first = min(files.first, max(0, len(every) - count))
    rows = [
        (number, _rect(box.x + 4 * unit, box.y + (4 + _ROW * k) * unit, box.width - 22 * unit, _ROW * unit))
        for k, number in enumerate(range(first, min(first + count, len(every))))
    ]
    sheet.draw(_listed, box, rows, files, kind)
    for number, row in rows:
        sheet.spot(f"row {number}", row)
        role = "body-bold" if every[number].folder else "body"
        text = kind.squeezed(shown(every[number].name), role, row.width - 50 * unit)
        colour = theme["paper" if number == files.chosen else "ink"]
        sheet.level((row.x + 38 * unit, row.centery), text, role, colour)
    sheet.spot("list", box)  # under its rows


def _listed(box: pygame.Rect, rows: list[tuple[int, pygame.Rect]], files: Files, kind: Type) -> Sprite:
    """The list without its words, and at its right how far it is turned."""
    unit, theme, every = kind.scale, kind.theme, files.listing.entries
    pen = Pen(box.inflate(2, 2), 2)
    pen.polygon(rounded(box_of(box), 6 * unit), (255, 255, 255), 0.22)
    pen.frame(box_of(box), 6 * unit, 1.3 * unit, mix(theme["ink-second"], theme["paper"], 0.3))
    for number, row in rows:
        colour, within = ("paper", "ink") if number == files.chosen else ("ink-second", "paper")
        if number == files.chosen:
            pen.polygon(rounded(box_of(row), 5 * unit), theme["ink"])
        _sign(pen, row, every[number].folder, theme[colour], theme[within], unit)
    if len(rows) < len(every):
        way = box.height - 12 * unit
        long = max(26 * unit, way * len(rows) / len(every))
        at = (way - long) * rows[0][0] / (len(every) - len(rows))
        x, y = box.right - 13 * unit, box.y + 6 * unit
        pen.polygon(rounded((x, y, 7 * unit, way), 3.5 * unit), theme["ink-second"], 0.16)
        pen.polygon(rounded((x, y + at, 7 * unit, long), 3.5 * unit), theme["ink-second"])
    return pen.done()


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


def _field(field: pygame.Rect, name: Line, typing: bool, kind: Type) -> Sprite:
    """The line with the name, turned so far that the caret is seen."""
    unit, theme = kind.scale, kind.theme
    pen = Pen(field.inflate(2, 2), 2)
    edge = box_of(field)
    pen.polygon(rounded(edge, 5 * unit), (255, 255, 255), 0.5)
    pen.frame(edge, 5 * unit, (2.0 if typing else 1.3) * unit, theme["ink"] if typing else theme["ink-second"])
    part = pen.done()
    room = field.width - 22 * unit
    parts = [kind.line(_as_it_is(part), "body", theme["ink"]) if part else None for part in name.parted]
    before = parts[0].get_width() if parts[0] is not None else 0
    slit = round(4 * unit) if typing and not name.marked and None not in parts else 0  # so that the caret hides no sign
    shift = max(0.0, before + slit + 2 * unit - room)
    left, middle = field.x + 11 * unit - part.x, field.centery - part.y
    high = kind.height("body") * 0.9
    if typing and name.marked:
        shade, wide = mix(theme["paper"], theme["ink"], 0.24), min(before - shift, room)
        pygame.draw.rect(part.surface, shade, _rect(left, middle - high / 2, wide, high))
    for text, begin in zip(parts, (-shift, before + slit - shift), strict=True):
        if text is not None:
            seen = pygame.Rect(round(max(0.0, -begin)), 0, round(room - max(0.0, begin)), text.get_height())
            strip = text.subsurface(seen.clip(text.get_rect()))
            lay(part.surface, strip, (left + max(0.0, begin), middle - text.get_height() / 2))
    if typing and not name.marked:
        wide = max(2, round(1.6 * unit))
        caret = left + before - shift + (slit - wide) / 2
        pygame.draw.rect(part.surface, theme["ink"], _rect(caret, middle - high / 2, wide, high))
    return part


def _as_it_is(text: str) -> str:
    return verbatim(shown(text))
