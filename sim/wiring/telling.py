"""How a thing found is told: amounts, lists, how a sentence begins, and what stands on what in a fault."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sim.bench.model import Bench
from sim.wiring.loop import LoopStep
from sim.wiring.names import section_of, section_words

__all__ = [
    "amps_words",
    "end_words",
    "joined_rails",
    "listed",
    "metal_words",
    "opening",
    "volts_words",
    "whose_breaker",
]

_SIDES = {"A": " (side A)", "B": " (side B)", "both": " (both sides)", "none": " (no feed)"}


def amps_words(amps: float) -> str:
    """ "41 A", "2.4 A", "0.25 A": two figures, as a builder would say it."""
    size = abs(amps)
    return f"{size:.0f} A" if size >= 10 else f"{size:.1f} A" if size >= 1 else f"{size:.2f} A"


def volts_words(volts: float) -> str:
    """ "13.1 V"; "0 V" for next to nothing."""
    return "0 V" if abs(volts) < 0.05 else f"{volts:.1f} V"


def listed(things: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def opening(points: Mapping[str, str]) -> str:
    """How a sentence begins: "Points normal: ", "T1 normal, T2 diverging: ", or nothing where there are no points."""
    if not points:
        return ""
    several = len(points) > 1
    moving = [piece for piece, setting in points.items() if setting == "throwing"]
    if moving:
        return f"While {moving[0]} is thrown: " if several else "While the points are thrown: "
    if several:
        return ", ".join(f"{piece} {setting}" for piece, setting in points.items()) + ": "
    return f"Points {next(iter(points.values()))}: "


def end_words(bench: Bench, end: str) -> str:
    """ "the toe", or "the toe of T1" where there are several pieces of track."""
    piece, _, local = end.partition(".")
    plain = bench.piece(piece).end_words(local)
    return f"{plain} of {piece}" if len(bench.tracks) > 1 else plain


def whose_breaker(bench: Bench, supply_id: str) -> str:
    """ "the 3 A breaker", or "S2's 3 A breaker" where there are several supplies."""
    supply = next(s for s in bench.supplies if s.id == supply_id)
    whose = "the" if len(bench.supplies) == 1 else f"{supply_id}'s"
    return f"{whose} {supply.trip_amps:g} A breaker"


def _rail(step: LoopStep) -> str:
    return section_of(step.ref.rsplit(":", 1)[1])


def joined_rails(loop: Iterable[LoopStep]) -> tuple[str, ...]:
    """The rails on which the wheels of a loop stand, in its order, each once."""
    return tuple(dict.fromkeys(_rail(step) for step in loop if step.ref.startswith("wheel:")))


def metal_words(
    bench: Bench, loop: Sequence[LoopStep], feeds: Mapping[str, str], names: Mapping[str, str]
) -> str | None:
    """What stands on what where a vehicle's metal makes the loop; None where no wheel is in it.

    Args:
        feeds: the side of every rail with nothing on the track.
        names: of the vehicles, "train:index" to name.
    """
    wheels = [step for step in loop if step.ref.startswith("wheel:")]
    if not wheels:
        return None

    def foot(step: LoopStep) -> str:
        rail = _rail(step)
        return f"the {section_words(bench, rail)}{_SIDES[feeds.get(rail, 'none')]}"

    stands: dict[tuple[str, str], list[str]] = {}
    for step in (wheels[0], wheels[-1]):
        vehicle = names.get(":".join(step.ref.split(":")[1:3]), "vehicle")
        stands.setdefault((vehicle, step.words), []).append(foot(step))
    ((vehicle, wheel), feet), *rest = stands.items()
    if not rest:
        return f"the {vehicle}'s {wheel} stands on {' and on '.join(dict.fromkeys(feet))} at once"
    text = f"the {vehicle}'s {wheel} stands on {listed(feet)}"
    for (other, its_wheel), its_feet in rest:
        whose = "its" if other == vehicle else f"the {other}'s"
        text += f" and {whose} {its_wheel} on {listed(its_feet)}"
    return text
