"""Findings in words: what stands on what, how much flows or is missing, and the way that the current takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof.faults import Quiet
from sim.wiring.loop import LoopStep, told, trace
from sim.wiring.names import part_words, section_of, section_words
from sim.wiring.telling import amps_words, listed, metal_words, opening, volts_words, whose_breaker
from sim.wiring.wheels import Standing

__all__ = ["fault_loop", "hottest", "power_on_text", "rails_of", "shorted_text", "starved_text"]


def fault_loop(bench: Bench, quiet: Quiet) -> tuple[LoopStep, ...]:
    """The way of the fault's current from side A of its supply to side B."""
    if quiet.fault is None:
        return ()
    supply = next(s for s in bench.supplies if s.id == quiet.fault[1])
    given = quiet.solution.amps[PartRef("supply", supply.id)]
    start, goal = (supply.a, supply.b) if given >= 0 else (supply.b, supply.a)
    return trace(bench, quiet.circuit, quiet.solution.amps, start, goal)


def hottest(bench: Bench, quiet: Quiet) -> tuple[str, float]:
    """The element that takes the most watts, in words, and the watts; the supply itself left out."""
    watts = {ref: power for ref, power in quiet.solution.watts.items() if ref.kind != "supply"}
    ref = max(watts, key=lambda name: (watts[name], name))
    return part_words(bench, ref), watts[ref]


# Until its filament is warm a lamp lets more current through: it helps where the breaker waits so long (trade.md E1).
LAMP_WARMS_S = 0.25
_SHARE = 0.25  # of the fault's current: a rail that carries less is not told


def rails_of(bench: Bench, quiet: Quiet) -> tuple[str, ...]:
    """The rails that the fault's current runs through, those with a quarter of it or more, sorted."""
    if quiet.fault is None:
        return ()
    into: dict[str, float] = {}
    for part in quiet.circuit.parts:
        branch, amps = part.stamp(), quiet.solution.amps[part.ref]
        head = branch.b if (amps > 0) != branch.delivers else branch.a
        into[head] = into.get(head, 0.0) + abs(amps)
    rails = {node: section_of(node) for piece in bench.tracks for node in piece.nodes()}
    least = _SHARE * quiet.fault[2] * (1 - 1e-9)
    return tuple(sorted({rail for node, rail in rails.items() if into.get(node, 0.0) >= least}))


def _verdict_words(bench: Bench, quiet: Quiet) -> str:
    if quiet.fault is None:
        return ""
    kind, supply_id, amps = quiet.fault
    breaker = whose_breaker(bench, supply_id)
    if kind == "short":
        return f"That would be {amps_words(amps)}; {breaker} opens."
    where, power = hottest(bench, quiet)
    does = "glows" if where.startswith("lamp ") else "burns"
    said = f"{amps_words(amps)} flows, too little to open {breaker}: {where} takes {power:.0f} W and {does}."
    if bench.lamps:
        first = abs(solve(quiet.circuit, cold=True).amps[PartRef("supply", supply_id)])
        said += f" In the first instant, the lamp still cold, it is {amps_words(first)}"
        supply = next(each for each in bench.supplies if each.id == supply_id)
        quick = supply.trip_seconds < LAMP_WARMS_S and first >= supply.trip_amps
        said += ": a breaker as quick as this one may open before the lamp glows." if quick else "."
    return said


def _way(bench: Bench, loop: tuple[LoopStep, ...]) -> str:
    names = told(bench, loop)
    return f" Its way: {', '.join(names)}." if names else ""


def power_on_text(bench: Bench, points: Mapping[str, str], quiet: Quiet, loop: tuple[LoopStep, ...]) -> str:
    """A fault with nothing on the track."""
    return (
        f"{opening(points)}with nothing on the track the two sides are joined. "
        f"{_verdict_words(bench, quiet)}{_way(bench, loop)}"
    )


def shorted_text(
    bench: Bench,
    points: Mapping[str, str],
    standing: Standing,
    quiet: Quiet,
    loop: tuple[LoopStep, ...],
    feeds: Mapping[str, str],
) -> str:
    """A fault that a vehicle's metal makes: which wheels stand on what."""
    what = metal_words(bench, loop, feeds, {standing.name: standing.vehicle.name})
    what = what or f"the {standing.vehicle.name}'s wheels join two rails"
    return f"{opening(points)}{what}. {_verdict_words(bench, quiet)}{_way(bench, loop)}"


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
    begin = f"{opening(points)}the {vehicle}"
    if weak:
        return f"{begin} runs on only {volts_words(volts)} here: too much is lost on the way from the supply."
    if not rails:
        return (
            f"{begin} stops: no wheel that collects on one side stands on metal. It has {volts_words(volts)}, "
            f"and needs {needs:g} V."
        )
    sides = {feeds.get(rail, "none") for rail in rails}
    where = listed([f"the {section_words(bench, rail)}" for rail in rails])
    if sides == {"none"}:
        which = ", which nothing feeds" if len(rails) == 1 else "; nothing feeds them"
        what = f"wheels that it collects with stand only on {where}{which}"
    elif len(sides) == 1:
        what = f"its wheels stand on {where}, all of them on side {sides.pop()}"
    else:
        what = f"its wheels stand on {where}, and too few volts are left there"
    store = f" What it can store, {stored_joules:g} J, may carry it over; the track does not." if stored_joules else ""
    return f"{begin} stops: {what}. It has {volts_words(volts)}, and needs {needs:g} V.{store}"
