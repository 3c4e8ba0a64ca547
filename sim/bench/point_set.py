"""A set of points: the blades of a piece that are thrown together, and how they stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sim.bench.vocabulary import SETTINGS

__all__ = ["Blade", "PointSet", "full_id", "setting_near", "travel_of"]

_TRAVEL: Mapping[str, float] = MappingProxyType(dict(zip(SETTINGS, (0.0, 1.0), strict=True)))


def travel_of(setting: str) -> float:
    """Blade travel of a setting: 0.0 for "normal", 1.0 for "diverging". Raises KeyError for another word."""
    return _TRAVEL[setting]


def setting_near(travel: float) -> str:
    """The setting that blades there open the way of: the nearer one, "diverging" from half-way on.

    >>> setting_near(0.3), setting_near(0.5)
    ('normal', 'diverging')
    """
    return SETTINGS[1] if travel >= 0.5 else SETTINGS[0]


def full_id(piece: str, local: str) -> str:
    """The id of a set of points from its name inside its piece, which is "" where the piece has no other.

    >>> full_id("T1", ""), full_id("S1", "ab")
    ('T1', 'S1.ab')
    """
    return f"{piece}.{local}" if local else piece


@dataclass(frozen=True)
class Blade:
    """A blade of a set of points.

    ``name``: in full, as its contact is named, "T1.left". ``section``: the rail that it is part of; ``stock``: the
    rail that it leans on; both in full. ``words``: "left blade".
    """

    name: str
    section: str
    stock: str
    words: str


@dataclass(frozen=True)
class PointSet:
    """Blades that are thrown together.

    ``id``: in full: "T1" of a piece that has no other set, else "S1.ab". ``setting``: how they stand as filed, a word
    of ``settings``.
    """

    id: str
    setting: str
    blades: tuple[Blade, ...]
    settings: tuple[str, ...] = SETTINGS

    @property
    def piece(self) -> str:
        """The id of the piece that they are part of."""
        return self.id.partition(".")[0]

    @property
    def local(self) -> str:
        """Its name inside its piece, "" where the piece has no other."""
        return self.id.partition(".")[2]

    @property
    def travel(self) -> float:
        """Blade travel as filed."""
        return travel_of(self.setting)
