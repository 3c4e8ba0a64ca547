"""The page on which all cautions can be read."""

from __future__ import annotations

from sim.coach.cautions import Caution
from sim.game.draw.pen.arrangement import Arrangement, in_the_middle
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Theme

__all__ = ["cautions_sheet"]

_WIDTH, _HEAD, _FOOT, _EDGE, _BREATH = 720.0, 94.0, 20.0, 32.0, 12.0


@kept
def cautions_sheet(
    size: tuple[int, int], unit: float, theme: Theme, cautions: tuple[Caution, ...]
) -> Arrangement[str]:
    """The sheet in a window of that size, as high as it must be."""
    sheet: Arrangement[str] = Arrangement(unit, theme)
    kind, ink, width = sheet.kind, theme["ink"], round(_WIDTH * unit)
    texts = [(caution, kind.wrap(caution.text, "body", width - 2 * _EDGE * unit)) for caution in cautions]
    high = sum(kind.height("heading") + kind.height("body") * len(lines) + _BREATH * unit for _, lines in texts)
    sheet.paper(in_the_middle(size, width, round(high + (_HEAD + _FOOT) * unit), 76 * unit))
    sheet.headed("Cautions", "Esc: back", (26, 44, 76))
    left, y = sheet.box.x + _EDGE * unit, sheet.box.y + _HEAD * unit
    for caution, lines in texts:
        sheet.words((left, y), caution.heading, "heading", ink)
        y = sheet.column((left, y + kind.height("heading")), lines, "body", ink) + _BREATH * unit
    return sheet
