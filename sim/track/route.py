"""What a wheelset touches along a path and over whatever is joined to both its ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from sim.bench.piece import Side
from sim.track.contact import ContactTable, contact_length_mm, contacts
from sim.track.layout import Layout
from sim.track.wheels import Wheel

__all__ = ["RouteContacts", "RouteTouch", "route_contacts"]


class RouteTouch(NamedTuple):
    """Axle stations, along the path in question, from which to which the wheel of a side touches a rail.

    ``node``: the rail's name on the bench ("T1.frog"). Infinite where the rail runs on for ever.
    """

    node: str
    side: Side
    from_mm: float
    to_mm: float


@dataclass(frozen=True)
class RouteContacts:
    """Contacts along a path and beyond; left and right as seen along the path from its first end.

    ``stop_before``, ``stop_after``: stations of buffer stops, beyond which no axle gets; None where there are none in
    reach.
    """

    intervals: tuple[RouteTouch, ...]
    stop_before: float | None
    stop_after: float | None

    def touching(self, station: float) -> tuple[frozenset[str], frozenset[str]]:
        """The rails that the left and the right wheel touch with the axle there."""
        on = [touch for touch in self.intervals if touch.from_mm <= station <= touch.to_mm]
        return (
            frozenset(touch.node for touch in on if touch.side == "left"),
            frozenset(touch.node for touch in on if touch.side == "right"),
        )


def route_contacts(
    layout: Layout,
    settings: Mapping[str, float],
    piece: str,
    path_index: int,
    reach_mm: float,
    wheel: Wheel,
    shift_mm: float,
    *,
    as_set: bool = False,
) -> RouteContacts:
    """The contacts of a wheelset over a piece's path and ``reach_mm`` beyond both its ends.

    Args:
        settings: blade travel by set of points, 0 (also for those left out) to 1; they decide the way beyond the piece,
            and where its own blades stand. Where points beyond it are set against the route, it goes on over rail of
            the same sections.
        shift_mm: how far the wheelset is pressed to the left, as seen from the path's first end.
        as_set: the piece's own blades stand as the path needs them, whatever the settings say.
    """
    if as_set:
        settings = {**settings, **layout.set_for(piece, path_index)}
    key = tuple(sorted(settings.items()))
    return _route_contacts(layout, key, piece, path_index, reach_mm, wheel, shift_mm)


@lru_cache(maxsize=4096)
def _route_contacts(
    layout: Layout,
    settings: tuple[tuple[str, float], ...],
    piece: str,
    path_index: int,
    reach_mm: float,
    wheel: Wheel,
    shift_mm: float,
) -> RouteContacts:
    travel = dict(settings)
    found: list[RouteTouch] = []
    path = layout.geometry(piece).tracks[path_index]

    def lay(name: str, index: int, origin: float, direction: int) -> None:
        table = contacts(layout.geometry(name), index, wheel, shift_mm * direction, layout.travel(name, travel))
        found.extend(_laid(layout, name, index, table, origin, direction))

    lay(piece, path_index, 0.0, 1)
    stops: list[float | None] = []
    for outward, end, start in ((-1, path.ends[0], 0.0), (1, path.ends[1], path.length_mm)):
        here, gone = (piece, end), 0.0
        stop = None
        while gone < reach_mm and (met := layout.neighbour(*here)) is not None:
            name, its_end = met
            entry = layout.entered(name, its_end, travel)
            if entry is None:
                stop = start + outward * gone
                break
            index, run = entry
            onward = layout.geometry(name).tracks[index]
            if run < 0 and not onward.open_at(layout.travel(name, travel)):
                found.extend(_waiting(layout, name, its_end, start + outward * gone, outward, wheel))
                break
            direction = outward * run
            near = start + outward * gone
            lay(name, index, near if run > 0 else near + outward * onward.length_mm, direction)
            gone += onward.length_mm
            here = (name, onward.ends[1 if run > 0 else 0])
        else:
            # The loop ended at an open end or out of reach; a buffer stop at the very reach still counts.
            met = layout.neighbour(*here)
            if met is not None and layout.entered(*met, {}) is None:
                stop = start + outward * gone
        stops.append(stop)
    return RouteContacts(tuple(sorted(found)), stops[0], stops[1])


def _laid(
    layout: Layout, piece: str, index: int, table: ContactTable, origin: float, direction: int
) -> Iterator[RouteTouch]:
    """A piece's contacts along the route; station = origin + direction * own station. Backwards its sides change."""
    ends = layout.geometry(piece).tracks[index].ends
    runs_on = [_runs_on(layout, piece, end) for end in ends]
    sides: tuple[Side, Side] = ("left", "right") if direction > 0 else ("right", "left")
    for side, touches in zip(sides, (table.left, table.right), strict=True):
        for touch in touches:
            low = -math.inf if touch.at_first and runs_on[0] else touch.from_mm
            high = math.inf if touch.at_last and runs_on[1] else touch.to_mm
            a, b = origin + direction * low, origin + direction * high
            yield RouteTouch(f"{piece}.{touch.node}", side, min(a, b), max(a, b))


def _waiting(layout: Layout, piece: str, end: str, station: float, outward: int, wheel: Wheel) -> Iterator[RouteTouch]:
    """The rails of a leg that the points are set against: no train runs on over them; they are taken to go on for ever.

    Looking into the leg, its left rail is the left one of a route that goes on that way, else the right one.
    """
    geometry = layout.geometry(piece)
    reach = contact_length_mm(wheel, geometry.gap_mm)
    sides: tuple[Side, Side] = ("left", "right") if outward > 0 else ("right", "left")
    for side, node in zip(sides, geometry.topology.ends[end], strict=True):
        low, high = (station - reach, math.inf) if outward > 0 else (-math.inf, station + reach)
        yield RouteTouch(f"{piece}.{node}", side, low, high)


def _runs_on(layout: Layout, piece: str, end: str) -> bool:
    """Whether an end's rails are taken to go on for ever: it is open, or a buffer stop stands there."""
    met = layout.neighbour(piece, end)
    return met is None or layout.entered(*met, {}) is None
