"""What the meter shows, and the zigzag on rails, explained in one line each, the first time that it is seen."""

from __future__ import annotations

from collections.abc import Mapping

from sim.coach.sides import seen_sides
from sim.electric.meter import BUZZER_OHMS, RANGE_OHMS
from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS
from sim.session.snapshot import Snapshot

__all__ = ["BOTH", "MEANINGS", "meanings_due"]

BOTH = "both"
"""The one that is about rails and not about the meter."""

MEANINGS: Mapping[str, str] = {
    "buzzer": f"The buzzer sounds below {BUZZER_OHMS:.0f} ohm: metal joins the two tips.",
    "over": f"O.L: over the limit of {RANGE_OHMS / 1e6:.0f} megohm. Nothing joins the two tips.",
    "high": f"As good as open: wire and rail read below {CLOSED_OHMS:.0f} ohm. More is an engine's, or a leak.",
    BOTH: "Zigzag: these rails are joined to both sides. Nothing flows yet, but power would meet a short.",
}
"""By name."""


def meanings_due(before: Snapshot, now: Snapshot) -> tuple[str, ...]:
    """What has begun to show between two moments."""
    was, shows = _shows(before), _shows(now)
    if _joined(now) and (not _joined(before) or _live(before)):
        shows |= {BOTH}
    return tuple(name for name in MEANINGS if name in shows and name not in was)


def _joined(now: Snapshot) -> bool:
    """Whether a rail is seen on both sides, with no power that would tell of it by itself."""
    return "both" in now.feeds.values() and not _live(now) and "both" in seen_sides(now).values()


def _live(now: Snapshot) -> bool:
    return any(supply.plugged and (supply.on or now.fault is not None) for supply in now.supplies)


def _shows(now: Snapshot) -> frozenset[str]:
    meter = now.meter
    if meter.caution or meter.red is None or meter.black is None or meter.red == meter.black:
        return frozenset()
    if meter.dial not in ("ohms", "buzzer"):
        return frozenset()
    found = {"buzzer"} if meter.beeps else set()
    if meter.value is None:
        found.add("over")
    elif meter.value > OPEN_OHMS:
        found.add("high")
    return frozenset(found)
