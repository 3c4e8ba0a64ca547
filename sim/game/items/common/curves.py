"""The way of something slack, such as a lead: a curve that leaves both its ends in a given direction."""

from __future__ import annotations

from functools import lru_cache

from sim.game.paper.view import Point

__all__ = ["slack_way"]


@lru_cache(maxsize=16)
def slack_way(a: Point, b: Point, c: Point, d: Point, steps: int = 40) -> tuple[Point, ...]:
    """From `a` towards `b`, and out of `c` to `d`."""
    out = []
    for k in range(steps + 1):
        t = k / steps
        p, q, r, s = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        out.append(
            (round(a[0] * p + b[0] * q + c[0] * r + d[0] * s, 1), round(a[1] * p + b[1] * q + c[1] * r + d[1] * s, 1))
        )
    return tuple(out)
