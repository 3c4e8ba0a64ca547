"""The track as the wheels of running trains find it, its blades where they are."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import replace

from sim.track.contact import trap_mm
from sim.track.layout import Layout
from sim.track.route import RouteContacts, route_contacts
from sim.track.walk import Spot
from sim.track.wheels import Wheel

__all__ = ["Ground"]

_REACH_MM = 5.0  # rail beyond a piece's ends that a wheel on the piece can still touch
_BLADE_STEPS = 20  # places of a moving blade for which contacts are worked out: a twentieth of its throw
_RINGS = 2  # pieces beyond a piece over which a wheel that stands on it reaches, and one more for a very short one
_KEPT = 2000  # tracks with the blades nearby somewhere

Places = tuple[float, ...]


class Ground:
    """The track as wheels find it: contacts of every track and wheel, kept for all places of the blades nearby."""

    def __init__(self, layout: Layout, travel: Mapping[str, float]) -> None:
        """Blades on their way count in twentieths of a throw."""
        self.layout = layout
        self.travel = travel
        self._seen = {mover: _stepped(at) for mover, at in travel.items() if self._has_blades(mover)}
        self._contacts: dict[tuple[str, int, Wheel, Places], RouteContacts] = {}
        self._traps: dict[tuple[str, int, Wheel, Places], float | None] = {}
        self._forks: dict[tuple[str, int], float | None] = {}
        self._nearby: dict[str, tuple[str, ...]] = {}

    def _has_blades(self, mover: str) -> bool:
        """Whether it moves blades; a switch has none."""
        return mover.partition(".")[0] in self.layout.pieces

    def moved(self, travel: Mapping[str, float]) -> Ground:
        """The same track with its blades elsewhere; this very one if that changes no contact."""
        before = self._seen
        stepped = {mover: _stepped(at) for mover, at in travel.items() - self.travel.items() if self._has_blades(mover)}
        if all(before.get(mover) == at for mover, at in stepped.items()):
            self.travel = travel
            return self
        other = copy(self)  # what is known of contacts goes on with it
        other.travel = travel
        other._seen = {**before, **stepped}
        return other

    def _places(self, piece: str) -> Places:
        """Where the blades count as being that an axle on a piece may meet, those of the pieces next to it included."""
        movers = self._nearby.get(piece)
        if movers is None:
            near = {piece}
            for _ in range(_RINGS):
                ends = [(each, end) for each in near for end in self.layout.pieces[each].ENDS]
                near |= {met[0] for each, end in ends if (met := self.layout.neighbour(each, end)) is not None}
            movers = self._nearby[piece] = tuple(
                mover for mover in sorted(self._seen) if mover.partition(".")[0] in near
            )
        return tuple(self._seen[mover] for mover in movers)

    def touching(self, spot: Spot, size: Wheel) -> tuple[frozenset[str], frozenset[str]]:
        """Rails under the left and right wheel of an axle, as seen looking to its vehicle's leading end."""
        key = (spot.piece, spot.path, size, self._places(spot.piece))
        if key not in self._contacts:
            if len(self._contacts) >= _KEPT:
                self._contacts.clear()
            self._contacts[key] = route_contacts(self.layout, self._seen, spot.piece, spot.path, _REACH_MM, size, 0.0)
        left, right = self._contacts[key].touching(spot.s_mm)
        return (left, right) if spot.forward else (right, left)

    def trap(self, spot: Spot, size: Wheel) -> float | None:
        """Where an axle that trails along the spot's track comes off, None where the points are set for it."""
        key = (spot.piece, spot.path, size, self._places(spot.piece))
        if key not in self._traps:
            if len(self._traps) >= _KEPT:
                self._traps.clear()
            geometry = self.layout.geometry(spot.piece)
            self._traps[key] = trap_mm(geometry, spot.path, size, self.layout.travel(spot.piece, self._seen))
        return self._traps[key]

    def fork(self, spot: Spot) -> float | None:
        """Where on the spot's track the blades' tips are, None on a piece without blades."""
        key = (spot.piece, spot.path)
        if key not in self._forks:
            tips = self.layout.geometry(spot.piece).marks.tips.values()
            found = [at for tip in tips if (at := tip.stations[spot.path]) is not None]
            self._forks[key] = min(found, default=None)
        return self._forks[key]

    def between(self, spot: Spot, share: float) -> bool:
        """Whether blades that the spot's track needs stand further than that share of a throw from both its ends."""
        travel = self.layout.travel(spot.piece, self.travel)
        needs = self.layout.geometry(spot.piece).tracks[spot.path].needs
        return any(share < travel[name] < 1.0 - share for name in needs)

    def settled(self, spot: Spot) -> Spot:
        """The spot on the track that the blades now lead to, if its axle has not reached them yet."""
        fork = self.fork(spot)
        if fork is None or spot.s_mm >= fork:
            return spot
        tracks = self.layout.geometry(spot.piece).tracks
        travel = self.layout.travel(spot.piece, self._seen)
        first = tracks[spot.path].ends[0]
        for index, track in enumerate(tracks):
            if track.open_at(travel) and track.ends[0] == first and index != spot.path:
                return replace(spot, path=index)
        return spot


def _stepped(at: float) -> float:
    """Blade travel to the nearest place for which contacts are worked out; the ends are kept apart."""
    if at in (0.0, 1.0):
        return at
    return min(max(round(at * _BLADE_STEPS), 1), _BLADE_STEPS - 1) / _BLADE_STEPS
