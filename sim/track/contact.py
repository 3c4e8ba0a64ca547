"""Contact tables: which rails a wheelset touches, at every place of a track.

A wheel covers two zones across the track: the tread, from flange root to wheel face, at the height of the rail heads,
and the flange below it. It touches a rail where a zone overlaps the rail's band by more than ``GIVE_MM``, within a
contact length before or behind the axle. Bands are straight between their vertices, so the places where a contact
begins and ends are found exactly, and a table is a few intervals instead of thousands of samples.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.track.geometry import Band, Geometry, Stand, Travel
from sim.track.lines import Floats
from sim.track.wheels import Wheel, play_mm

__all__ = ["GIVE_MM", "ContactTable", "Touch", "contact_length_mm", "contacts", "trap_mm"]

GIVE_MM = 0.02
"""How far a wheel and a rail give where they meet: an overlap of no more is no contact. model.md section 3."""

_WIDEST_BRIDGED_MM = 1.5
"""A round wheel over a slot up to this width rests on both its edges. model.md section 3."""

_CLOSED_MM = 1e-6
"""Contact intervals are closed: a wheel over the middle of a slot touches both its edges."""

_AT_END_MM = 1e-6


class Touch(NamedTuple):
    """Axle stations from which to which a wheel touches a rail.

    ``node``: the rail, in the piece. ``at_first``, ``at_last``: the contact reaches the track's first or last end,
    where a rail joined there goes on with it.
    """

    node: str
    from_mm: float
    to_mm: float
    at_first: bool
    at_last: bool


@dataclass(frozen=True)
class ContactTable:
    """What the left and the right wheel of a wheelset touch along a track; left as seen from the track's first end.

    ``flange_left``, ``flange_right``: the part of it that flanges do, from their outer face to their back.
    """

    length_mm: float
    left: tuple[Touch, ...]
    right: tuple[Touch, ...]
    flange_left: tuple[Touch, ...]
    flange_right: tuple[Touch, ...]

    def touching(self, station: float) -> tuple[frozenset[str], frozenset[str]]:
        """The rails that the left and the right wheel touch with the axle there."""
        return _at(self.left, station), _at(self.right, station)

    def sample(self, step_mm: float) -> tuple[Floats, tuple[str, ...], NDArray[np.bool_]]:
        """The same as booleans, from end to end: stations (n,), nodes (m,), and (2, m, n), left wheel first."""
        stations = np.linspace(0.0, self.length_mm, max(2, math.ceil(self.length_mm / step_mm) + 1))
        nodes = tuple(sorted({touch.node for touch in self.left + self.right}))
        table = np.zeros((2, len(nodes), len(stations)), dtype=bool)
        for side, touches in enumerate((self.left, self.right)):
            for touch in touches:
                table[side, nodes.index(touch.node)] |= (stations >= touch.from_mm) & (stations <= touch.to_mm)
        return stations, nodes, table


def _at(touches: tuple[Touch, ...], station: float) -> frozenset[str]:
    return frozenset(touch.node for touch in touches if touch.from_mm <= station <= touch.to_mm)


def contact_length_mm(wheel: Wheel, gap_mm: float) -> float:
    """How far before or behind its axle a wheel still touches a rail, on track with gaps of that width."""
    return max(math.sqrt(2 * wheel.radius_mm * GIVE_MM), min(gap_mm, _WIDEST_BRIDGED_MM) / 2)


def contacts(geometry: Geometry, index: int, wheel: Wheel, shift_mm: float, travel: Travel) -> ContactTable:
    """The contact table of a wheelset on a track; the same object for the same question.

    Args:
        index: of the track, in the geometry.
        shift_mm: how far the wheelset is pressed to the left of the track's middle; negative to the right.
        travel: where the blades are.
    """
    return _contacts(geometry, index, wheel, shift_mm, geometry.stand(travel))


@lru_cache(maxsize=8192)
def _contacts(geometry: Geometry, index: int, wheel: Wheel, shift_mm: float, stand: Stand) -> ContactTable:
    root, face = wheel.back_to_back_mm / 2 + wheel.flange_mm, wheel.reach_mm
    back = wheel.back_to_back_mm / 2
    zones = np.array([(root, face), (back, root), (-face, -root), (-root, -back)]) + shift_mm
    bands = geometry.bands(index, geometry.travel(stand))
    reach = contact_length_mm(wheel, geometry.gap_mm) + _CLOSED_MM
    length = geometry.tracks[index].length_mm
    found: list[list[Touch]] = [[], [], [], []]
    if bands:
        for zone, band, start, end in _overlaps(bands, zones):
            at_first, at_last = start <= _AT_END_MM, end >= length - _AT_END_MM
            found[zone].append(Touch(bands[band].node, start - reach, end + reach, at_first, at_last))
    left, right = _merged(found[0] + found[1]), _merged(found[2] + found[3])
    return ContactTable(length, left, right, _merged(found[1]), _merged(found[3]))


def _overlaps(bands: tuple[Band, ...], zones: Floats) -> Iterable[tuple[int, int, float, float]]:
    """Every stretch in which a zone overlaps a band by more than the give: (zone, band, from, to)."""
    s = np.concatenate([band.s for band in bands])
    lo = np.concatenate([band.lo for band in bands])
    hi = np.concatenate([band.hi for band in bands])
    sizes = np.array([len(band.s) for band in bands])
    owner = np.repeat(np.arange(len(bands)), sizes)
    inside = np.ones(len(s), dtype=bool)
    inside[np.cumsum(sizes) - 1] = False  # the last vertex of a band begins no segment
    first = np.flatnonzero(inside)
    # Three things must exceed the give; each is straight along a segment. Shape (3, zones, segments), at either end.
    ahead = _margins(lo[first], hi[first], zones)
    behind = _margins(lo[first + 1], hi[first + 1], zones)
    slope = behind - ahead
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -ahead / slope
    enter = np.where(ahead > 0, 0.0, np.where(slope > 0, crossing, 2.0)).max(axis=0)
    leave = np.where(behind > 0, 1.0, np.where(slope < 0, crossing, -1.0)).min(axis=0)
    touching = (enter < leave) & (zones[:, 1] - zones[:, 0] > GIVE_MM)[:, None]
    # A stretch goes on through a vertex when it fills the segment up to there and the next one from there.
    goes_on = np.zeros_like(touching)
    joined = (owner[first[1:]] == owner[first[:-1]]) & (np.diff(first) == 1)
    goes_on[:, 1:] = touching[:, 1:] & touching[:, :-1] & (enter[:, 1:] <= 0) & (leave[:, :-1] >= 1) & joined
    stops = np.ones_like(touching)
    stops[:, :-1] = ~goes_on[:, 1:]
    span = s[first + 1] - s[first]
    starts_at, ends_at = np.nonzero(touching & ~goes_on), np.nonzero(touching & stops)
    for zone, i, j in zip(starts_at[0], starts_at[1], ends_at[1], strict=True):
        start = s[first[i]] + enter[zone, i] * span[i]
        end = s[first[j]] + leave[zone, j] * span[j]
        yield int(zone), int(owner[first[i]]), float(start), float(end)


def _margins(lo: Floats, hi: Floats, zones: Floats) -> Floats:
    """By how much more than the give: the band reaches into the zone from either side, and is wide. (3, zones, n)."""
    low, high = zones[:, :1], zones[:, 1:]
    return np.stack([hi - low, high - lo, np.broadcast_to(hi - lo, (len(zones), len(lo)))]) - GIVE_MM


def _merged(touches: list[Touch]) -> tuple[Touch, ...]:
    """The same with overlapping intervals of one rail made one; sorted by rail and place."""
    merged: list[Touch] = []
    for touch in sorted(touches):
        last = merged[-1] if merged else None
        if last is not None and last.node == touch.node and touch.from_mm <= last.to_mm:
            merged[-1] = Touch(
                last.node,
                last.from_mm,
                max(last.to_mm, touch.to_mm),
                last.at_first or touch.at_first,
                last.at_last or touch.at_last,
            )
        else:
            merged.append(touch)
    return tuple(merged)


def trap_mm(geometry: Geometry, index: int, wheel: Wheel, travel: Travel) -> float | None:
    """Where an axle that comes along a track from its last end, against the set points, derails.

    Returns the station, to a hundredth of a millimetre, at which there is no lateral place left, within the play, in
    which no flange meets a rail; None if there is one all along, as with the points set for the track.
    """
    return _trap_mm(geometry, index, wheel, geometry.stand(travel))


@lru_cache(maxsize=2048)
def _trap_mm(geometry: Geometry, index: int, wheel: Wheel, stand: Stand) -> float | None:
    track, travel = geometry.tracks[index], geometry.travel(stand)
    if all(travel[name] == at for name, at in track.travel.items()):
        return None
    stations = np.arange(track.length_mm, 0.0, -_TRAP_STEP_MM)
    free = _room_for_flanges(geometry, index, wheel, travel, stations)
    if free.all():
        return None
    first = int(np.argmin(free))
    if first == 0:
        return float(stations[0])
    closer = np.linspace(stations[first - 1], stations[first], _TRAP_PARTS + 1)
    free = _room_for_flanges(geometry, index, wheel, travel, closer)
    return float(closer[np.argmin(free)])


_TRAP_STEP_MM = 0.5
_TRAP_PARTS = 50


def _room_for_flanges(
    geometry: Geometry, index: int, wheel: Wheel, travel: Travel, stations: Floats
) -> NDArray[np.bool_]:
    """At each station, whether some shift within the play leaves both flanges clear of every rail."""
    back, root = wheel.back_to_back_mm / 2, wheel.back_to_back_mm / 2 + wheel.flange_mm
    play = play_mm(geometry.gauge_mm, wheel)
    # A wheelset too wide for the gauge rubs everywhere; only what is worse than that derails it.
    give = GIVE_MM + max(0.0, root - geometry.gauge_mm / 2)
    lows, highs = [], []
    for band in geometry.bands(index, travel):
        lo = np.interp(stations, band.s, band.lo, left=np.nan, right=np.nan)
        hi = np.interp(stations, band.s, band.hi, left=np.nan, right=np.nan)
        thin = hi - lo <= give
        for low, high in ((back, root), (-root, -back)):
            lows.append(np.where(thin, np.nan, lo + give - high))
            highs.append(np.where(thin, np.nan, hi - give - low))
    barred_from, barred_to = np.array(lows), np.array(highs)  # (intervals, stations); NaN bars nothing
    edges = np.concatenate(
        [barred_from, barred_to, np.full((1, len(stations)), play), np.full((1, len(stations)), -play)]
    )
    tries = np.clip(np.where(np.isnan(edges), 0.0, edges), -play, play)
    free = np.zeros(len(stations), dtype=bool)
    barred = np.arange(len(stations))
    with np.errstate(invalid="ignore"):
        for shift in tries[::-1]:  # the ends of the play first: nearly everywhere one of them is free
            here = (shift[barred] > barred_from[:, barred] + _AT_END_MM) & (
                shift[barred] < barred_to[:, barred] - _AT_END_MM
            )
            free[barred] = ~here.any(axis=0)
            barred = np.flatnonzero(~free)
            if not len(barred):
                break
    return free
