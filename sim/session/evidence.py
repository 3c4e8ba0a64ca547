"""What has told of the sides of rails so far: readings of the meter, and engines that ran.

Only what was seen is kept, with how all points stood; what it proves the coach works out. It is kept when something is
wired: whether it still holds shows in what feeds the rails now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS
from sim.session.points import setting_of
from sim.session.rolling import Rolling
from sim.session.snapshot import Evidence, EvidenceKind, MeterView
from sim.wiring.names import section_of

__all__ = ["EvidenceSoFar", "stand_of"]

_MOST = 4096  # pieces of evidence that are kept: a large yard measured rail by rail; our choice
_WHOLE = 0.5  # of a supply's volts: from here on two rails are on its two sides; our choice

Stand = tuple[tuple[str, str], ...]


def stand_of(travel: Mapping[str, float]) -> Stand | None:
    """How all points and switches stand, by name; None while one of them is on its way."""
    settings = [(name, setting_of(at)) for name, at in sorted(travel.items())]
    return None if any(at is None for _, at in settings) else tuple((name, str(at)) for name, at in settings)


class EvidenceSoFar:
    """Collects what tells of the sides of rails."""

    def __init__(self) -> None:
        """Nothing seen yet."""
        self.so_far: frozenset[Evidence] = frozenset()
        self._looked_at: dict[str, object] = {}  # what each train touched when it was last seen to run

    def take_up(self, remembered: Iterable[Evidence]) -> None:
        """Go on from what was remembered."""
        self.so_far |= frozenset(remembered)

    def measured(self, meter: MeterView, stand: Stand | None, *, plugged: bool, volts: float) -> None:
        """What the meter shows now; `volts`: of the supply with the fewest."""
        red, black, value = meter.red, meter.black, meter.value
        if meter.dial == "off" or stand is None or red is None or black is None or red == black:
            return
        first, second = sorted((red, black))
        what: EvidenceKind | None = None
        if meter.dial == "volts":
            what = "apart" if value is not None and volts and abs(value) >= _WHOLE * volts else None
        elif not plugged:
            what = "open" if value is None or value > OPEN_OHMS else "joined" if value < CLOSED_OHMS else None
        if what is not None:
            self._keep(Evidence(what, (first, second), stand))

    def ran(self, trains: Iterable[Rolling], travel: Mapping[str, float]) -> None:
        """Engines that run now: a rail that all the wheels stand on with which one of them collects on a side."""
        for train in trains:
            if not (train.running and train.motion.moving) or self._looked_at.get(train.train.id) is train.touches:
                continue
            stand = stand_of(travel)
            if stand is None:
                return
            self._looked_at[train.train.id] = train.touches
            for vehicle, touches, volts in zip(train.vehicles, train.touches, train.volts, strict=True):
                if vehicle.draws_amps <= 0 or abs(volts) < vehicle.works_from_volts:
                    continue
                sides = [
                    {section_of(node) for axle in axles for node in touches[axle - 1][side]}
                    for side, axles in enumerate((vehicle.pickup_left, vehicle.pickup_right))
                ]
                if len(sides[0]) == len(sides[1]) == 1:
                    self._keep(Evidence("ran", (min(sides[0]), min(sides[1])), stand))

    def _keep(self, seen: Evidence) -> None:
        if seen not in self.so_far and len(self.so_far) < _MOST:
            self.so_far |= {seen}
