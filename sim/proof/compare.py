"""Two wirings of one bench side by side: what each is worth, which findings only one has, and where they differ."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sim.bench.model import Bench, Wire
from sim.proof.prove import steps
from sim.proof.verdict import KINDS, Finding, Shares, Verdict
from sim.wiring.names import part_words, place_ref
from sim.wiring.telling import wire_end_words

__all__ = ["Comparison", "Difference", "Only", "Side", "compare", "compared", "wire_words"]


@dataclass(frozen=True, slots=True)
class Only:
    """A finding that only one of the two has: its kind, whether it fails, its words, how many runs show it."""

    kind: str
    fails: bool
    text: str
    count: int


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that is not alike on the two benches: what it is, and how it is on the first and on the second."""

    what: str
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two: whether every route of it is clean, its shares, its routes, and what only it has."""

    passed: bool
    shares: Shares
    routes: int
    only: tuple[Only, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both sides, how many findings they share, and the differences of the benches.

    A finding is on both where it is of one kind, about the same rails with the same levers: whichever runs show it.
    """

    first: Side
    second: Side
    both: int
    differences: tuple[Difference, ...]


_Key = tuple[str, str, bool, tuple[tuple[str, str], ...], tuple[str, ...]]


def _key(finding: Finding) -> _Key:
    return finding.kind, finding.when, finding.fails, tuple(finding.points.items()), finding.touching


def _grouped(verdict: Verdict) -> dict[_Key, list[Finding]]:
    groups: dict[_Key, list[Finding]] = {}
    for finding in verdict.findings:
        groups.setdefault(_key(finding), []).append(finding)
    return groups


def _side(verdict: Verdict, own: Mapping[_Key, list[Finding]], other: Iterable[_Key]) -> Side:
    there = set(other)
    rank = {kind: number for number, kind in enumerate(KINDS)}
    only = [
        Only(group[0].kind, group[0].fails, group[0].text, sum(each.runs for each in group))
        for key, group in own.items()
        if key not in there
    ]
    only.sort(key=lambda each: (not each.fails, rank[each.kind] if each.kind in rank else len(rank)))
    return Side(verdict.passed, verdict.shares, len(verdict.routes), tuple(only))


def compared(first: Bench, second: Bench, verdicts: tuple[Verdict, Verdict]) -> Comparison:
    """The comparison of two benches that have been tested."""
    one, two = _grouped(verdicts[0]), _grouped(verdicts[1])
    return Comparison(
        _side(verdicts[0], one, two),
        _side(verdicts[1], two, one),
        len(one.keys() & two.keys()),
        tuple(_differences(first, second)),
    )


def compare(first: Bench, second: Bench) -> Iterator[float | Comparison]:
    """The work in slices: yields the share done, and at last the comparison."""
    verdicts = []
    for number, bench in enumerate((first, second)):
        for step in steps(bench):
            if isinstance(step, Verdict):
                verdicts.append(step)
            else:
                yield (number + step) / 2
    yield compared(first, second, (verdicts[0], verdicts[1]))


# Where the benches differ


def wire_words(bench: Bench, wire: Wire) -> str:
    """ "Wire W7 from bus A to the left stock rail"."""
    a, b = (wire_end_words(bench, end) for end in wire.ends)
    return f"Wire {wire.number} from {a} to {b}" if wire.number else f"Wire from {a} to {b}"


def _differences(first: Bench, second: Bench) -> Iterator[Difference]:
    yield from _wires(first, second)
    yield from _pieces(first, second)
    yield from _motors(first, second)
    for what, one, two in (
        ("Automatic polarity unit", {u.id for u in first.polarities}, {u.id for u in second.polarities}),
        ("Lamp", {lamp.id for lamp in first.lamps}, {lamp.id for lamp in second.lamps}),
        ("Tap", set(first.bus.taps if first.bus else ()), set(second.bus.taps if second.bus else ())),
    ):
        for name in sorted(one ^ two):
            yield Difference(f"{what} {name}", "there" if name in one else "none", "there" if name in two else "none")


def _size(wire: Wire) -> str:
    size = f"AWG {wire.awg}" if wire.awg is not None else f"{wire.area_mm2:.2g} mm²"
    return f"{size}, {wire.metres:g} m"


def _wires(first: Bench, second: Bench) -> Iterator[Difference]:
    """Wires between two terminals that are on one bench and not on the other, or of another size there."""
    sets = [Counter((frozenset(wire.ends), _size(wire)) for wire in bench.wires) for bench in (first, second)]
    shared = sets[0] & sets[1]
    left: list[dict[frozenset[str], list[Wire]]] = [{}, {}]
    for number, bench in enumerate((first, second)):
        alike = Counter(shared)
        for wire in bench.wires:
            key = (frozenset(wire.ends), _size(wire))
            if alike[key]:
                alike[key] -= 1
            else:
                left[number].setdefault(key[0], []).append(wire)
    for ends in dict.fromkeys([*left[0], *left[1]]):
        one, two = left[0].get(ends, []), left[1].get(ends, [])
        for k in range(max(len(one), len(two))):
            a, b = one[k] if k < len(one) else None, two[k] if k < len(two) else None
            named = wire_words(first, a) if a is not None else wire_words(second, two[k])
            yield Difference(named, _size(a) if a is not None else "none", _size(b) if b is not None else "none")


def _pieces(first: Bench, second: Bench) -> Iterator[Difference]:
    """Pieces that are on one bench only or made otherwise, gaps, bonds and jumpers, and joints."""
    ours, theirs = ({piece.id: piece for piece in bench.tracks} for bench in (first, second))
    for name in dict.fromkeys([*ours, *theirs]):
        one, two = ours.get(name), theirs.get(name)
        if one is None or two is None:
            yield Difference(f"Track {name}", "there" if one else "none", "there" if two else "none")
            continue
        made = [(piece.sections(), [(place.name, place.usual) for place in piece.places()]) for piece in (one, two)]
        if made[0] != made[1]:
            yield Difference(f"Track {name}", "as it was", "made otherwise")
        states = [{place.name: place.state for place in piece.places()} for piece in (one, two)]
        for place in one.places():
            if place.name in states[1] and states[0][place.name] != states[1][place.name]:
                named = part_words(first, place_ref(place.name))
                yield Difference(named[:1].upper() + named[1:], states[0][place.name], states[1][place.name])
        for end in dict.fromkeys([*one.joins, *two.joins]):
            told = ["none" if end not in piece.joins else " and ".join(piece.joint_states(end)) for piece in (one, two)]
            if told[0] != told[1]:
                yield Difference(f"Joint at {name}.{end}, left and right", told[0], told[1])


def _motors(first: Bench, second: Bench) -> Iterator[Difference]:
    ours, theirs = ({motor.id: motor for motor in bench.motors} for bench in (first, second))
    for name in dict.fromkeys([*ours, *theirs]):
        one, two = ours.get(name), theirs.get(name)
        if one is None or two is None:
            yield Difference(f"Motor {name}", "there" if one else "none", "there" if two else "none")
        elif one != two:
            told = [_motor_words(motor.turned, len(motor.changeovers)) for motor in (one, two)]
            if told[0] == told[1]:
                told = ["as it was", "changed"]
            yield Difference(f"Motor {name}", told[0], told[1])


def _motor_words(turned: bool, contacts: int) -> str:
    count = f"{contacts} contact{'' if contacts == 1 else 's'}"
    return f"turned round, {count}" if turned else count
