"""A buffer stop."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Self

from sim.track.formations.formation import Formation
from sim.track.formations.menu import Bend, BoxItem
from sim.track.geometry import EndPose, Geometry, Marks, Topology
from sim.track.rails import RailSection
from sim.track.standards import Scale

__all__ = ["End"]


@dataclass(frozen=True, kw_only=True)
class End(Formation):
    """A buffer stop: it has one end, no rails of its own, and nothing runs past it."""

    KINDS = ("end",)
    ENDS = ("a",)
    BOX = (BoxItem("end", "stop", "Buffer stop", "E", (Bend(),), stops=True),)

    @classmethod
    def fresh(cls, item: str, name: str, scale: str) -> Self:
        if item != "end":
            raise ValueError(f"no {item!r} in the box")
        return cls(id=name, kind="end")

    @property
    def title(self) -> str:
        return "Buffer stop"

    def geometry(self, scale: Scale, rail: RailSection) -> Geometry:
        return _geometry(scale.gauge_mm, rail.head_mm)


@lru_cache(maxsize=32)
def _geometry(gauge_mm: float, head_mm: float) -> Geometry:
    nothing = Topology((), (), (), {})
    return Geometry(
        gauge_mm,
        head_mm,
        0.0,
        (),
        nothing,
        {"a": EndPose(0.0, 0.0, 3.141592653589793)},
        lambda: Marks({}, {}, {}, {}, ()),
        (),
    )
