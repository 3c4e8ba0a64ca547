"""What the meter shows, explained in one line each, the first time that it shows it."""

from __future__ import annotations

from collections.abc import Mapping

from sim.electric.meter import BUZZER_OHMS, RANGE_OHMS
from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS
from sim.session.snapshot import Snapshot

__all__ = ["MEANINGS", "meanings_due"]

MEANINGS: Mapping[str, str] = {
    "buzzer": f"The buzzer sounds below {BUZZER_OHMS:.0f} ohm: metal joins the two tips.",
    "over": f"O.L: over the limit of {RANGE_OHMS / 1e6:.0f} megohm. Nothing joins the two tips.",
    "high": f"As good as open: wire and rail read below {CLOSED_OHMS:.0f} ohm. More is an engine's, or a leak.",
}
"""By name."""


def meanings_due(before: Snapshot, now: Snapshot) -> tuple[str, ...]:
    """What of the meter has begun to show between two moments."""
    was, shows = _shows(before), _shows(now)
    return tuple(name for name in MEANINGS if name in shows and name not in was)


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
