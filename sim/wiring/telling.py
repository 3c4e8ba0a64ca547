"""How a thing found is told: amounts, lists, how a sentence begins, and what stands on what in a fault."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sim.bench.levers import filed_settings, lever_named, levers
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.wiring.loop import LoopStep
from sim.wiring.names import axle_words, section_of, section_words, terminal_words
from sim.wiring.wheels import foot

__all__ = [
    "amps_words",
    "end_words",
    "fault_words",
    "flow_words",
    "joined_rails",
    "listed",
    "metal_words",
    "opening",
    "setting_words",
    "volts_words",
    "whose_breaker",
    "wire_end_words",
]

_SIDES = {"A": " (side A)", "B": " (side B)", "both": " (both sides)", "none": " (no feed)"}


def amps_words(amps: float) -> str:
    """ "41 A", "2.4 A", "0.25 A": two figures, as a builder would say it."""
    size = abs(amps)
    return f"{size:.0f} A" if size >= 10 else f"{size:.1f} A" if size >= 1 else f"{size:.2f} A"


def flow_words(bench: Bench, supply_id: str, amps: float, flows: str) -> str:
    """How much a supply gives where so much would flow: "4.0 A flowed", or above what it can give "more flowed than the
    3 A at which the breaker opens".

    "2.0 A flowed, the most that it can give" where that is too little for its breaker.

    Args:
        amps: that would flow from a supply without limit.
        flows: "flowed" or "would flow".
    """
    supply = next(s for s in bench.supplies if s.id == supply_id)
    if abs(amps) <= supply.most_amps:
        return f"{amps_words(amps)} {flows}"
    if supply.most_amps < supply.trip_amps:
        return f"{amps_words(supply.most_amps)} {flows}, the most that it can give"
    whose = "the" if len(bench.supplies) == 1 else f"{supply_id}'s"
    return f"more {flows} than the {supply.trip_amps:g} A at which {whose} breaker opens"


def volts_words(volts: float) -> str:
    """ "13.1 V"; "0 V" for next to nothing."""
    return "0 V" if abs(volts) < 0.05 else f"{volts:.1f} V"


def listed(things: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def opening(bench: Bench, points: Mapping[str, str]) -> str:
    """How a sentence begins: "Points normal: " where the bench has no others, "T1 normal, switch S1 diverging: ", or
    nothing where no points matter."""
    if not points:
        return ""
    stand = filed_settings(bench)
    switches = {lever.id for lever in levers(bench) if lever.is_switch}
    moving = [name for name, setting in points.items() if setting == "throwing"]
    if len(stand) == 1 and not switches:
        return "While the points are thrown: " if moving else f"Points {next(iter(points.values()))}: "
    named = {name: f"switch {name}" if name in switches else name for name in points}
    if moving:
        verb = "is" if len(moving) == 1 else "are"
        return f"While {listed([named[name] for name in moving])} {verb} thrown: "
    return ", ".join(f"{named[name]} {setting}" for name, setting in points.items()) + ": "


def end_words(bench: Bench, end: str) -> str:
    """ "the toe", or "the toe of T1" where there are several pieces of track."""
    piece, _, local = end.partition(".")
    plain = bench.piece(piece).end_words(local)
    return f"{plain} of {piece}" if len(bench.tracks) > 1 else plain


def wire_end_words(bench: Bench, terminal: str) -> str:
    """ "M1.k" for a screw, as it is lettered; "the left stock rail" for what has words of its own."""
    named = terminal_words(bench, terminal)
    if not named or named.startswith("screw "):
        return terminal
    return named if named.startswith("bus ") else f"the {named}"


def whose_breaker(bench: Bench, supply_id: str) -> str:
    """ "the 3 A breaker", or "S2's 3 A breaker" where there are several supplies."""
    supply = next(s for s in bench.supplies if s.id == supply_id)
    whose = "the" if len(bench.supplies) == 1 else f"{supply_id}'s"
    return f"{whose} {supply.trip_amps:g} A breaker"


def setting_words(bench: Bench, name: str, setting: str) -> str:
    """ "T1 diverging", "switch S1 normal": a lever, by its id, and how it is set."""
    lever = lever_named(bench, name)
    if lever is None:
        return f"{name} {setting}"
    if lever.is_switch:
        return f"switch {lever.id} {setting}"
    return f"{listed(lever.points)} {setting}"


def fault_words(bench: Bench, supply_id: str, amps: float) -> str:
    """How much would flow in a short: "That would be 3.4 A; the 3 A breaker opens." A supply gives no more than it can.

    Args:
        amps: that would flow from a supply without limit.
    """
    supply = next(s for s in bench.supplies if s.id == supply_id)
    if amps > supply.most_amps:
        much = flow_words(bench, supply_id, amps, "would flow")
        return f"{much[:1].upper()}{much[1:]}: it opens."
    return f"That would be {amps_words(amps)}; {whose_breaker(bench, supply_id)} opens."


def _rail(step: LoopStep) -> str:
    return section_of(foot(step.ref))


def joined_rails(loop: Iterable[LoopStep]) -> tuple[str, ...]:
    """The rails on which the wheels of a loop stand, in its order, each once."""
    return tuple(dict.fromkeys(_rail(step) for step in loop if step.ref.kind == "wheel"))


def metal_words(
    bench: Bench, loop: Sequence[LoopStep], feeds: Mapping[str, str], names: Mapping[str, str]
) -> str | None:
    """What stands on what where a vehicle's metal makes the loop; None where no wheel is in it.

    Args:
        feeds: the side of every rail with nothing on the track.
        names: of the vehicles, "train:index" to name.
    """
    wheels = [step.ref for step in loop if step.ref.kind == "wheel"]
    if not wheels:
        return None

    def under(wheel: PartRef) -> str:
        rail = section_of(foot(wheel))
        return f"the {section_words(bench, rail)}{_SIDES[feeds.get(rail, 'none')]}"

    def words(wheel: PartRef) -> str:
        return f"{axle_words(int(wheel.detail[0]), int(wheel.detail[1]))} wheel"

    first, last = wheels[0], wheels[-1]
    vehicle, other = (names.get(wheel.owner, "vehicle") for wheel in (first, last))
    begin = f"the {vehicle}'s {words(first)}"
    if (first.owner, first.detail[:3]) == (last.owner, last.detail[:3]):
        return f"{begin} stands on {' and on '.join(dict.fromkeys((under(first), under(last))))} at once"
    whose = f"another {other}'s" if other == vehicle else f"the {other}'s"
    if first.owner == last.owner:
        whose = "its"
    return f"{begin} stands on {under(first)} and {whose} {words(last)} on {under(last)}"
