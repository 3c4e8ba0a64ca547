"""Findings in words: what stands on what, how much flows or is missing, and the way that the current takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof.instant import Instant
from sim.wiring.loop import LoopStep, told
from sim.wiring.names import part_words, section_words
from sim.wiring.telling import amps_words, fault_words, listed, metal_words, opening, volts_words, whose_breaker
from sim.wiring.wheels import Standing

__all__ = ["power_on_text", "shorted_text", "starved_text", "way_words"]

# Until its filament is warm a lamp lets more current through: it helps where the breaker waits so long (trade.md E1).
LAMP_WARMS_S = 0.25


def _verdict_words(instant: Instant) -> str:
    bench = instant.bench
    level, amps, supply = instant.worst
    if level == 2:
        return fault_words(bench, supply.id, abs(instant.solution.amps[PartRef("supply", supply.id)]))
    if level == 0:
        return ""
    ref, power = instant.hottest
    where = f"the {part_words(bench, ref)}"
    does = "glows" if ref.kind == "lamp" else "overheats"
    breaker = whose_breaker(bench, supply.id)
    said = f"{amps_words(amps)} flows, too little to open {breaker}: {where} takes {power:.0f} W and {does}."
    if bench.lamps:
        first = min(abs(solve(instant.circuit, cold=True).amps[PartRef("supply", supply.id)]), supply.most_amps)
        said += f" In the first instant, the lamp still cold, it is {amps_words(first)}"
        quick = supply.trip_seconds < LAMP_WARMS_S and first >= supply.trip_amps
        said += ": a breaker as quick as this one may open before the lamp glows." if quick else "."
    return said


def way_words(bench: Bench, loop: tuple[LoopStep, ...]) -> str:
    """ " The current's way: bus A, ..., bus B." """
    names = told(bench, loop)
    return f" The current's way: {', '.join(names)}." if names else ""


def power_on_text(points: Mapping[str, str], instant: Instant) -> str:
    """A fault with nothing on the track."""
    bench = instant.bench
    return (
        f"{opening(bench, points)}with nothing on the track the two sides are joined. "
        f"{_verdict_words(instant)}{way_words(bench, instant.loop)}"
    )


def shorted_text(
    points: Mapping[str, str], standing: Sequence[Standing], name: str, instant: Instant, feeds: Mapping[str, str]
) -> str:
    """A fault that a vehicle's metal makes: which wheels stand on what."""
    bench = instant.bench
    what = metal_words(bench, instant.loop, feeds, {one.name: one.vehicle.name for one in standing})
    what = what or f"the {name}'s wheels join two rails"
    return f"{opening(bench, points)}{what}. {_verdict_words(instant)}{way_words(bench, instant.loop)}"


def starved_text(
    bench: Bench,
    points: Mapping[str, str],
    vehicle: str,
    rails: Sequence[str],
    volts: float,
    needs: float,
    feeds: Mapping[str, str],
    *,
    weak: bool,
    stored_joules: float = 0.0,
) -> str:
    """A place where a vehicle has too few volts, or fewer than it should; what it has stored is left out."""
    begin = f"{opening(bench, points)}the {vehicle}"
    if weak:
        return f"{begin} runs on only {volts_words(volts)} here: too much is lost on the way from the supply."
    if not rails:
        return (
            f"{begin} stops: none of its pick-up wheels on one side stands on metal. It has {volts_words(volts)}, "
            f"and needs {needs:g} V."
        )
    sides = {feeds.get(rail, "none") for rail in rails}
    where = listed([f"the {section_words(bench, rail)}" for rail in rails])
    if sides == {"none"}:
        which = ", which nothing feeds" if len(rails) == 1 else "; nothing feeds them"
        what = f"its pick-up wheels stand only on {where}{which}"
    elif len(sides) == 1:
        what = f"its pick-up wheels stand on {where}, all of them on side {sides.pop()}"
    else:
        what = f"its pick-up wheels stand on {where}, and too few volts are left there"
    store = f" What it can store, {stored_joules:g} J, may carry it over; the track does not." if stored_joules else ""
    return f"{begin} stops: {what}. It has {volts_words(volts)}, and needs {needs:g} V.{store}"
