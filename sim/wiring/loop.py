"""The way a current takes from side A of a supply to side B, part by part.

Of all the ways that the current takes at once, the one followed is the widest: the way whose thinnest part
carries the most. That is the loop a builder would trace with a clip-on ammeter.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sim.bench.model import Bench
from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef
from sim.wiring.names import axle_words, part_words, place_name, section_of, terminal_words
from sim.wiring.wheels import foot

__all__ = ["LoopStep", "is_meeting", "loop_names", "told", "trace"]

_NO_AMPS = 1e-9
_ALIKE = 1e-6  # currents that differ by less, in amperes or parts, are alike: the first rail by name is told


@dataclass(frozen=True, slots=True)
class LoopStep:
    """One part on the way, in the direction of the current.

    ref: the part's name
    words: the part in words of the trade, a gap with how it is: "the right exit gap, which is not cut"
    node_a, node_b: the terminals or rails that the current enters and leaves it by
    amps: what it carries, positive
    """

    ref: PartRef
    words: str
    node_a: str
    node_b: str
    amps: float


_VEHICLE = frozenset({"wheel", "pickup"})
_LEFT_OUT = frozenset({"supply", "load"})  # a fault does not go through an engine's motor

_Onward = Mapping[str, list[tuple[str, float, PartRef]]]


def _onward(circuit: Circuit, amps: Mapping[PartRef, float]) -> tuple[_Onward, _Onward]:
    """Where the current goes on to from each node, with its size and the part: outside of vehicles, and in them."""
    outside: dict[str, list[tuple[str, float, PartRef]]] = defaultdict(list)
    inside: dict[str, list[tuple[str, float, PartRef]]] = defaultdict(list)
    for part in circuit.parts:
        kind = part.ref.kind
        current = amps.get(part.ref, 0.0)
        if kind in _LEFT_OUT or abs(current) <= _NO_AMPS:
            continue
        branch = part.stamp()
        tail, head = (branch.a, branch.b) if current > 0 else (branch.b, branch.a)
        (inside if kind in _VEHICLE else outside)[tail].append((head, abs(current), part.ref))
    return outside, inside


def _supplied(circuit: Circuit, amps: Mapping[PartRef, float], ends: frozenset[str]) -> _Onward:
    """Where the current goes on to through supplies other than the one that has these ends."""
    found: dict[str, list[tuple[str, float, PartRef]]] = defaultdict(list)
    for part in circuit.parts:
        branch, current = part.stamp(), amps.get(part.ref, 0.0)
        if part.ref.kind == "supply" and {branch.a, branch.b} != ends and abs(current) > _NO_AMPS:
            out_of_a = (current > 0) == branch.delivers
            tail, head = (branch.b, branch.a) if out_of_a else (branch.a, branch.b)
            found[tail].append((head, abs(current), part.ref))
    return found


def _widest(ways: Sequence[_Onward], start: str, goal: str) -> list[tuple[PartRef, str, str, float]] | None:
    """The widest way as (part, from, to, amps); None where there is none."""
    widest = {start: float("inf")}
    came: dict[str, tuple[str, float, PartRef]] = {}
    queue = [(-widest[start], start)]
    while queue:
        width, node = heapq.heappop(queue)
        if node == goal:
            break
        if -width < widest[node]:
            continue
        for head, current, ref in (step for onward in ways for step in onward.get(node, ())):
            through = min(-width, current)
            if through > widest.get(head, 0.0):
                widest[head] = through
                came[head] = (node, current, ref)
                heapq.heappush(queue, (-through, head))
    steps: list[tuple[PartRef, str, str, float]] = []
    node = goal
    while node != start:
        if node not in came:
            return None
        before, current, ref = came[node]
        steps.append((ref, before, node, current))
        node = before
    return steps[::-1]


def _crossed(inside: _Onward) -> tuple[str, str] | None:
    """The rail by which most current enters vehicles' metal, and that by which most leaves it; None without wheels."""
    net: dict[str, float] = defaultdict(float)
    for tail, steps in inside.items():
        for head, current, ref in steps:
            if ref.kind == "wheel":
                net[tail] += current
                net[head] -= current
    rails = sorted({foot(ref) for steps in inside.values() for _, _, ref in steps if ref.kind == "wheel"})
    if len(rails) < 2:
        return None

    def first(sign: int) -> str:
        most = max(sign * net[rail] for rail in rails)
        return next(rail for rail in rails if sign * net[rail] >= most - _ALIKE * (1 + abs(most)))

    return first(1), first(-1)


def trace(
    bench: Bench,
    circuit: Circuit,
    amps: Mapping[PartRef, float],
    start: str,
    goal: str,
) -> tuple[LoopStep, ...]:
    """The widest way of a fault's current from `start` to `goal` (a supply's side A and B), source and loads left out.

    Through another supply it goes only where there is no other way.

    Where vehicles' metal carries current, the way goes through it between the rails by which most enters and leaves.

    Args:
        amps: current through each part from its first end to its second, in amperes.

    Returns an empty tuple where no current flows between the two.
    """
    outside, inside = _onward(circuit, amps)
    found: list[tuple[PartRef, str, str, float]] | None = None
    across = _crossed(inside)
    if across is not None:
        one, other = across
        legs = (
            _widest((outside,), start, one), _widest((inside,), one, other), _widest((outside,), other, goal)
        )  # fmt: skip
        if all(leg is not None for leg in legs):
            found = [step for leg in legs for step in leg or ()]
    if found is None:
        found = _widest((outside, inside), start, goal)
    if found is None:  # two supplies in one loop
        found = _widest((outside, inside, _supplied(circuit, amps, frozenset((start, goal)))), start, goal)
    return tuple(
        LoopStep(ref, _words(bench, ref), before, after, current) for ref, before, after, current in found or ()
    )


_NOT_CUT = ", which is not cut"
_LEAKS = ", which leaks"


def _words(bench: Bench, ref: PartRef) -> str:
    words = part_words(bench, ref)
    if ref.kind != "gap":
        return words
    name = place_name(ref)
    leaks = any(
        place.state == "leaking" for piece in bench.tracks if piece.id == ref.owner for place in piece.places()
        if place.name == name
    )  # fmt: skip
    return f"the {words}{_LEAKS if leaks else _NOT_CUT}"


def is_meeting(line: str) -> bool:
    """Whether a line of `told` is a place where the two sides meet that should not: a wheel, or a gap that conducts."""
    return line.endswith((" wheel", _NOT_CUT, _LEAKS))


def _told(step: LoopStep) -> str:
    """A part in the list: a wheel by its axle alone, for the rails that it stands on are beside it."""
    if step.ref.kind == "wheel":
        axle, count = step.ref.detail[:2]
        return f"{axle_words(int(axle), int(count))} wheel"
    return step.words


def told(bench: Bench, loop: tuple[LoopStep, ...]) -> tuple[str, ...]:
    """The loop as the short list on the job sheet: rails, contacts and wheels by name, plain wires left out.

    A screw has its line where the current comes and goes by wires: where it goes through the contact, that is named.
    """
    if not loop:
        return ()
    lines = [terminal_words(bench, loop[0].node_a)]
    for step, onward in zip(loop, (*loop[1:], None), strict=True):
        if step.ref.kind in {"contact", "wheel", "gap", "lamp", "unit"}:
            lines.append(_told(step))
        named = terminal_words(bench, step.node_b)
        by_wires = step.ref.kind == "wire" and onward is not None and onward.ref.kind == "wire"
        if named and (by_wires or not named.startswith("screw ")):
            lines.append(named)
    return tuple(line for k, line in enumerate(lines) if k == 0 or line != lines[k - 1])


_MOST_NAMES = 40  # of a loop that is told (architecture.md); a longer one is told by its two ends


def loop_names(loop: Sequence[LoopStep]) -> tuple[str, ...]:
    """The loop as terminals, sections and places, by the names that a bench file has for them."""
    if not loop:
        return ()
    names = [loop[0].node_a]
    for step in loop:
        if step.ref.kind in ("gap", "bond", "jumper"):
            names.append(place_name(step.ref))
        elif step.ref.kind == "joint":
            names.append(f"{step.ref.owner}.joint.{'.'.join(str(word) for word in step.ref.detail)}")
        if step.ref.kind == "wheel":
            names.append(str(step.ref.detail[3]))
        elif step.ref.kind != "pickup":
            names.append(step.node_b)
    names = [section_of(name) for name in names]
    once = [name for k, name in enumerate(names) if k == 0 or name != names[k - 1]]
    if len(once) > _MOST_NAMES:
        half = _MOST_NAMES // 2
        once = [*once[:half], *once[-half:]]
    return tuple(once)
