"""What a window shows that is too small for anything else."""

from __future__ import annotations

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite, blank
from sim.game.draw.pen.kept import kept
from sim.game.look.theme import Theme

__all__ = ["too_small"]


@kept
def too_small(size: tuple[int, int], least: tuple[int, int], theme: Theme) -> Sprite:
    """A plain page of the window's size, px, that says what size is needed."""
    page: Arrangement[str] = Arrangement(1.0, theme)
    page.draw(_plain, size, theme)
    text = f"This window is too small for the bench. Make it at least {least[0]} by {least[1]}."
    lines = page.kind.wrap(text, "body", max(160, min(size[0] - 48, 420)))
    top = (size[1] - len(lines) * page.kind.height("body")) / 2
    page.column((size[0] / 2, top), lines, "body", theme["top-text"], "middle")
    return page.sprite


def _plain(size: tuple[int, int], theme: Theme) -> Sprite:
    surface = blank(*size)
    surface.fill(theme["top"])
    return Sprite(surface, 0, 0)
