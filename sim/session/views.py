"""Trains and supplies as they are seen in a snapshot."""

from __future__ import annotations

from sim.session.rolling import Rolling
from sim.session.snapshot import SupplyView, TrainView, VehicleView
from sim.session.supplies import SupplyState
from sim.track.layout import Layout

__all__ = ["supply_view", "train_view"]


def train_view(train: Rolling, layout: Layout) -> TrainView:
    """The train now."""
    volts = _seen_volts(train)
    vehicles = tuple(
        VehicleView(
            vehicle.name,
            axles,
            tuple((tuple(sorted(left)), tuple(sorted(right))) for left, right in touches),
            at,
        )
        for vehicle, axles, touches, at in zip(train.vehicles, train.poses(layout), train.touches, volts, strict=True)
    )
    return TrainView(
        train.train.id,
        train.throttle,
        train.direction,
        train.motion.speed_mm_s,
        max(volts, key=abs),
        train.running,
        train.derailed is not None,
        vehicles,
    )


def _seen_volts(train: Rolling) -> tuple[float, ...]:
    return train.volts if train.kind == "dc" else tuple(abs(volts) for volts in train.volts)


def supply_view(name: str, state: SupplyState) -> SupplyView:
    """The supply now."""
    breaker = state.breaker
    over = 0.0 if breaker.open else breaker.seconds
    return SupplyView(name, state.on, state.plugged, breaker.open, state.given, state.volts, over)
