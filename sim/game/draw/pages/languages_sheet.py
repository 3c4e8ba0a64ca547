"""The page of the parts in other languages: one sheet, a table with a line for each part."""

from __future__ import annotations

from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.kept import kept
from sim.game.look.languages import LANGUAGES, PARTS
from sim.game.look.theme import Theme
from sim.words import verbatim

__all__ = ["languages_sheet"]

_EDGE, _HEAD, _STEP, _FOOT = 32.0, 84.0, 23.0, 24.0
_COLUMNS = (206.0, 226.0, 218.0, 166.0)  # layout px


@kept
def languages_sheet(size: tuple[int, int], unit: float, theme: Theme) -> Arrangement[str]:
    """The sheet in a window of that size; the parts' own names in the theme's words."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, ink, second = sheet.kind, theme["ink"], theme["ink-second"]
    high = _HEAD + _STEP * (len(PARTS) + 1) + _FOOT
    sheet.paper(in_the_middle(size, round((2 * _EDGE + sum(_COLUMNS)) * unit), round(high * unit), 40 * unit))
    sheet.headed("In other languages", "Esc: back", (22, 40, 72))
    rows = [("Part", *LANGUAGES), *((part.said, *map(verbatim, part[1:])) for part in PARTS)]
    for number, row in enumerate(rows):
        x, y = sheet.box.x + _EDGE * unit, sheet.box.y + (_HEAD + _STEP * number) * unit
        for column, (text, wide) in enumerate(zip(row, _COLUMNS, strict=True)):
            role = "body-bold" if not (number and column) else "body"
            sheet.words((x, y), kind.fit(text, role, (wide - 12) * unit), role, ink if number else second)
            x += wide * unit
    return sheet
