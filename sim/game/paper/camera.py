"""What of the mat is seen, as a plain value: how close, and which place is in the middle."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from sim.game.paper.view import Point

__all__ = ["HOME", "MOST_ZOOM", "Camera"]

MOST_ZOOM = 12.0


class Camera(NamedTuple):
    """What of the mat is seen: how many times larger than the whole, and which place of it is in the middle (0..1)."""

    zoom: float = 1.0
    x: float = 0.5
    y: float = 0.5

    def held(self) -> Camera:
        """The same within bounds: nothing beyond the mat's edges is shown."""
        zoom = min(max(self.zoom, 1.0), MOST_ZOOM)
        half = 0.5 / zoom
        return Camera(round(zoom, 4), min(max(self.x, half), 1 - half), min(max(self.y, half), 1 - half))

    def moved(self, dx: float, dy: float, mat: pygame.Rect) -> Camera:
        """The mat drawn along by so many px."""
        return self._replace(x=self.x - dx / mat.width / self.zoom, y=self.y - dy / mat.height / self.zoom).held()

    def closer(self, times: float, at: Point, mat: pygame.Rect) -> Camera:
        """So many times closer; the place under a point (px) stays where it is."""
        zoom = min(max(self.zoom * times, 1.0), MOST_ZOOM)
        u, v = (at[0] - mat.centerx) / mat.width, (at[1] - mat.centery) / mat.height
        return Camera(zoom, self.x + u / self.zoom - u / zoom, self.y + v / self.zoom - v / zoom).held()

    def over(self, at: Point, mat: pygame.Rect) -> Camera:
        """The same, with the place at a point (px) moved to the middle."""
        return self.moved(mat.centerx - at[0], mat.centery - at[1], mat)


HOME = Camera()
