"""What the test advises of without a current: feeds that hang on a touch, contacts near their end, gaps that leak."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from sim.bench.model import Bench
from sim.proof.quiet import MOST_TOGETHER
from sim.proof.subject import Subject
from sim.proof.verdict import Finding, Kind
from sim.wiring.feeds import Feeds
from sim.wiring.names import part_words, place_ref, section_words
from sim.wiring.telling import listed, opening

__all__ = ["advice", "tried"]

_NEAR_END = 0.05  # of the throw (model.md section 5)


_MOST_NAMED = 8  # rails named in one sentence; of more it says how many; our choice
_GIVE = {False: "give it", True: "give them"}


def _named(bench: Bench, rails: Sequence[str]) -> str:
    """ "the frog lives", or of rails that are joined "the frog and the left exit rail, which are joined, live"."""
    words = [f"the {section_words(bench, rail)}" for rail in rails[:_MOST_NAMED]]
    if len(rails) == 1:
        return f"{words[0]} lives"
    if len(rails) > _MOST_NAMED:
        words.append(f"{len(rails) - _MOST_NAMED} more rails")
    return f"{listed(words)}, which are joined, live"


def _about(kind: Kind, rails: tuple[str, ...], text: str, points: Mapping[str, str] | None = None) -> Finding:
    return Finding(kind, "power-on", points or {}, None, None, None, None, None, rails, None, None, text)


def _near_their_end(subject: Subject) -> Iterator[Finding]:
    wired = {end for wire in subject.bench.wires for end in wire.ends}
    for motor in subject.bench.motors:
        for contact in motor.changeovers:
            if f"{motor.id}.{contact.common}" not in wired or contact.stuck is not None:
                continue
            low, high = min(contact.travel), max(contact.travel)
            if low <= _NEAR_END or high >= 1.0 - _NEAR_END:
                at = low if low <= _NEAR_END else high
                yield _about(
                    "near-its-end",
                    (),
                    f"The contact {', '.join(contact.letters)} of {motor.id} changes over at {at:.0%} of the throw, "
                    "close to its end: right today, wrong when it drifts.",
                )


def _leaking(subject: Subject) -> Iterator[Finding]:
    for piece in subject.bench.tracks:
        for place in piece.places():
            if place.state == "leaking":
                words = part_words(subject.bench, place_ref(place.name))
                yield _about("leaking", tuple(sorted((place.a, place.b))), f"The {words} is neither cut nor closed.")


def _joiner_fed(subject: Subject) -> Iterator[Finding]:
    """Rails that no wire and no contact reaches but through rail joiners."""
    bench, switched = subject.bench, subject.switched
    joints = [part for part in switched.bare.parts if part.ref.kind == "joint" and part.stamp().siemens]
    if not joints:
        return
    without = Feeds(bench, switched, ("joint",))
    everything = frozenset(switched.switches)
    alone, joined = without.codes(everything), subject.feeds.codes(everything)
    groups: dict[int, list[str]] = {}
    for section in subject.feeds.sections:
        node = subject.section_node(section)
        if joined[subject.feeds.group_of(node)] and not alone[without.group_of(node)]:
            groups.setdefault(int(subject.whole[node]), []).append(section)
    for rails in groups.values():
        named = _named(bench, rails)
        apart = len({without.group_of(subject.section_node(rail)) for rail in rails})
        give = _GIVE[len(rails) > 1]
        needs = f"{give} a wire" if apart == 1 else f"give each length of rail a wire of its own, {apart} in all"
        yield _about(
            "joiner-fed",
            tuple(rails),
            f"{named[:1].upper()}{named[1:]} only from a rail joiner. Such a joint gets dirty or works loose: {needs}.",
        )


def _blade_fed(subject: Subject) -> Iterator[Finding]:
    """Rails that in some setting live from a blade that touches its stock rail, and from nothing else."""
    switched, conductors = subject.switched, subject.conductors
    blades = {k for k, switch in switched.switches.items() if switch.part.ref.kind == "blade"}
    ties = {
        place
        for place in blades
        if conductors.of_node[switched.bare.branches.a[place]] != conductors.of_node[switched.bare.branches.b[place]]
        and switched.switches[place].part.stamp().siemens
    }
    if not ties:
        return
    told: dict[int, tuple[dict[str, str], list[str]]] = {}
    for group in conductors.groups():
        places = set(subject.places_of(group))
        if not places & ties:
            continue
        for settings in tried(group):
            made = subject.made(settings)
            with_, without = subject.feeds.codes(made), subject.feeds.codes(made - blades)
            lost = np.flatnonzero((with_ > 0) & (without == 0))
            if not len(lost):
                continue
            some = set(lost.tolist())
            for section in subject.feeds.sections:
                node = subject.section_node(section)
                if subject.feeds.group_of(node) in some:
                    whole = int(subject.whole[node])
                    _, rails = told.setdefault(whole, (settings, []))
                    if section not in rails:
                        rails.append(section)
    for settings, rails in told.values():
        near = conductors.near([subject.section_node(rails[0])]).levers
        points = subject.points({lever: word for lever, word in settings.items() if lever in near})
        text = (
            f"{opening(subject.bench, points)}{_named(subject.bench, rails)} only from a blade that touches its stock "
            f"rail. Such a touch gets dirty: {_GIVE[len(rails) > 1]} a contact."
        )
        yield _about("blade-fed", tuple(sorted(rails)), text, points)


def tried(group: tuple[str, ...]) -> Iterator[dict[str, str]]:
    """The settings of levers that belong together that are looked at: every one, or of many each one alone turned."""
    if len(group) <= MOST_TOGETHER:
        for words in itertools.product(("normal", "diverging"), repeat=len(group)):
            yield dict(zip(group, words, strict=True))
        return
    for word in ("normal", "diverging"):
        every = dict.fromkeys(group, word)
        yield every
        for lever in group:
            yield {**every, lever: "diverging" if word == "normal" else "normal"}


def _contested(subject: Subject) -> Iterator[Finding]:
    """Frogs fed in two ways that may disagree, and frogs fed from another supply than the rails beside them."""
    bench, conductors = subject.bench, subject.conductors
    for piece in bench.tracks:
        for frog in sorted(subject.frogs((piece.id,))):
            node = subject.section_node(frog)
            ties = conductors.ties.get(int(conductors.of_node[node]), ())
            units = sorted({tie.unit for tie in ties if tie.unit is not None})
            levers = sorted({tie.lever for tie in ties if tie.lever is not None and _is_contact(subject, tie.place)})
            words = section_words(bench, frog)
            if len(units) > 1:
                yield _about(
                    "contested", (frog,), f"The {words} is fed by {' and '.join(units)}: it works until they disagree."
                )
            elif units and levers:
                both = f"{units[0]} and by a contact of {levers[0]}"
                yield _about("contested", (frog,), f"The {words} is fed by {both}: it works until they disagree.")
            if len(bench.supplies) > 1:
                yield from _foreign(subject, piece.id, frog)


def _is_contact(subject: Subject, place: int) -> bool:
    return subject.switched.switches[place].part.ref.kind == "contact"


def _foreign(subject: Subject, piece: str, frog: str) -> Iterator[Finding]:
    made = subject.base_made
    sections = [section for section in subject.bench.piece(piece).sections() if section != frog]
    nodes = [subject.section_node(section) for section in sections]
    own = {side for sides in subject.feeds.supplies_at(made, nodes) for side in sides}
    foreign = subject.conductors.sides_near(subject.section_node(frog)) - own
    if own and foreign:
        name = subject.bench.supplies[min(foreign)[0]].id
        words = section_words(subject.bench, frog)
        yield _about(
            "contested",
            (frog,),
            f"The {words} is fed from {name}, the rails beside it are not: it works until one of the two is off.",
        )


def _units_that_meet(subject: Subject) -> Iterator[Finding]:
    """Two automatic polarity units whose sections meet at a gap."""
    conductors, bare = subject.conductors, subject.switched.bare

    def unit_of(node: str) -> frozenset[str]:
        ties = conductors.ties.get(int(conductors.of_node[bare.index[node]]), ())
        return frozenset(tie.unit for tie in ties if tie.unit is not None)

    told: set[frozenset[str]] = set()
    for part in bare.parts:
        if part.ref.kind not in ("gap", "joint") or part.stamp().siemens:
            continue
        branch = part.stamp()
        one, other = unit_of(branch.a), unit_of(branch.b)
        both = one | other
        if one and other and one != other and both not in told:
            told.add(both)
            named = " and ".join(sorted(both))
            text = f"The sections of {named} meet at a gap: a wheel there may turn both. Leave fixed rail between them."
            yield _about("contested", tuple(sorted({_section(branch.a), _section(branch.b)})), text)


def _section(node: str) -> str:
    return node.split("/", 1)[0]


def _turned_over(subject: Subject) -> Iterator[Finding]:
    """On DC, plain track whose sides a lever exchanges: a reversing section."""
    if any(supply.kind != "dc" for supply in subject.bench.supplies):
        return
    feeds, conductors = subject.feeds, subject.conductors
    told: set[tuple[int, str]] = set()
    for piece in subject.bench.tracks:
        sections = piece.sections()
        if len(sections) != 2 or subject.needs_any(piece.id):
            continue
        nodes = [subject.section_node(section) for section in sections]
        for lever in conductors.near(nodes).levers:
            if (int(subject.whole[nodes[0]]), lever) in told:
                continue
            ways = []
            for word in ("normal", "diverging"):
                codes = feeds.codes(subject.made({lever: word}))
                ways.append(tuple(int(codes[feeds.group_of(node)]) for node in nodes))
            if sorted(ways) == [(1, 2), (2, 1)]:
                told.add((int(subject.whole[nodes[0]]), lever))
                text = (
                    f"{lever} turns the sides of {piece.id} over. On DC: stop inside, throw it, reverse the throttle, "
                    "and drive on."
                )
                yield _about("set-first", tuple(sorted(sections)), text, subject.points({lever: "diverging"}))


def advice(subject: Subject) -> list[Finding]:
    """All of it."""
    return [
        *_blade_fed(subject),
        *_joiner_fed(subject),
        *_contested(subject),
        *_units_that_meet(subject),
        *_near_their_end(subject),
        *_leaking(subject),
        *_turned_over(subject),
    ]
