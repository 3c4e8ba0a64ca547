"""Why a breaker opened: the amps that flowed, the loop they took, what touched what, in a sentence."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.model import Bench
from sim.session.electrics import Solved
from sim.session.points import words_of
from sim.session.sentences import amps_words, listed
from sim.session.snapshot import FaultView
from sim.wiring.loop import LoopStep, trace
from sim.wiring.names import section_of, section_words

__all__ = ["fault_of"]

_SIDES = {"A": " (side A)", "B": " (side B)", "both": " (both sides)", "none": " (no feed)"}


def fault_of(
    bench: Bench, supply: str, solved: Solved, travel: Mapping[str, float], feeds: Mapping[str, str],
    names: Mapping[str, str],
) -> FaultView:  # fmt: skip
    """The fault that opens a supply's breaker.

    Args:
        solved: what flowed at the last moment before it opened.
        names: of every vehicle on the track, "train:index" to its name.
    """
    model = next(each for each in bench.supplies if each.id == supply)
    amps = solved.solution.amps[f"supply:{supply}"]
    start, goal = (model.a, model.b) if amps >= 0 else (model.b, model.a)
    loop = trace(bench, solved.circuit, solved.solution.amps, start, goal)
    wheels = [step for step in loop if step.ref.startswith("wheel:")]
    touching = tuple(dict.fromkeys(_rail(step) for step in wheels))
    whose = "the" if len(bench.supplies) == 1 else f"{supply}'s"
    text = (
        f"{_opening(travel)}{_what(bench, wheels, feeds, names)}. "
        f"{amps_words(amps)} flowed; {whose} {model.trip_amps:g} A breaker opened."
    )
    return FaultView(supply, abs(amps), text, loop, touching)


def _opening(travel: Mapping[str, float]) -> str:
    points = words_of(travel)
    moving = [piece for piece, setting in points.items() if setting == "throwing"]
    if moving:
        return f"While {moving[0]} is thrown: " if len(points) > 1 else "While the points are thrown: "
    if len(points) > 1:
        return ", ".join(f"{piece} {setting}" for piece, setting in points.items()) + ": "
    return f"Points {next(iter(points.values()))}: " if points else ""


def _rail(step: LoopStep) -> str:
    return section_of(step.ref.rsplit(":", 1)[1])


def _what(bench: Bench, wheels: list[LoopStep], feeds: Mapping[str, str], names: Mapping[str, str]) -> str:
    if not wheels:
        return "the two sides are joined with no wheel between them"

    def foot(step: LoopStep) -> str:
        rail = _rail(step)
        return f"the {section_words(bench, rail)}{_SIDES[feeds.get(rail, 'none')]}"

    stands: dict[tuple[str, str], list[str]] = {}
    for step in (wheels[0], wheels[-1]):
        name = names.get(":".join(step.ref.split(":")[1:3]), "train")
        stands.setdefault((name, step.words), []).append(foot(step))
    (first, one), *rest = stands.items()
    text = f"the {first[0]}'s {first[1]} stands on {listed(list(dict.fromkeys(one)))}"
    for (name, wheel), feet in rest:
        whose = "its" if name == first[0] else f"the {name}'s"
        text += f" and {whose} {wheel} on {listed(feet)}"
    return text if rest else f"{text} at once"
