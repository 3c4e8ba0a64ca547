"""What must be true between the things on a bench: every name means something, and nothing contradicts.

The fields of each thing are checked where it is read; here are the rules that need the whole bench.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import cached_property
from typing import TypeVar

from sim.bench.faults import Faults, at_key, shown
from sim.bench.level import (
    Allow,
    Level,
    PlaceStep,
    ProbeStep,
    ThrowStep,
    TurnStep,
    UnwireStep,
    WireStep,
)
from sim.bench.model import SINGLE_SUPPLY, Bench, Motor
from sim.bench.piece import Piece, Place
from sim.bench.prompt import SPOTS, Joined, Over, Prompt, Runs, Stalled
from sim.bench.terminals import terminals_by_owner
from sim.bench.vocabulary import DEFAULT_SCALE, STANDARD_VEHICLES

__all__ = ["THROWN", "Checker", "check", "full_place"]

THROWN = "the id of a piece that has blades, of a motor or of a switch"
"""What can be thrown, as it ends the sentence "expected …"."""


def check(bench: Bench, faults: Faults, *, unclear: Collection[str] = ()) -> None:
    """Note everything that is wrong between the things on the bench.

    ``unclear``: ids of things in which faults were found already: what they have is not known, so names that begin
    with one of these are let pass. Names that are "" stand for missing ones and are let pass as well.
    """
    Checker(bench, faults, unclear).run()


def full_place(places: Iterable[Place], name: str, kinds: tuple[str, ...]) -> Place | None:
    """The place that a list of [level.allow] means: "T1.closure.left", or in full "T1.gap.closure.left".

    ``kinds``: the kinds of place it may be; the short name is taken as the first of them that fits.
    """
    found = [place for place in places if place.kind in kinds and name in (place.name, short_place(place))]
    return min(found, key=lambda place: kinds.index(place.kind), default=None)


def short_place(place: Place) -> str:
    """The name of a place without the word gap, bond or jumper: "T1.closure.left"."""
    return f"{place.name.split('.', 1)[0]}.{place.key}"


_T = TypeVar("_T")


def _counted(path: str, things: Iterable[_T]) -> Iterator[tuple[str, _T]]:
    for i, thing in enumerate(things, 1):
        yield f"{path}[{i}]", thing


class Checker:
    """One pass over a bench."""

    def __init__(self, bench: Bench, faults: Faults, unclear: Collection[str] = ()) -> None:
        self.bench = bench
        self.faults = faults
        self.unclear = set(unclear)
        self.owners = terminals_by_owner(bench)
        self.pieces = {piece.id: piece for piece in bench.tracks}
        self.met: dict[str, str] = {}
        self.scales: dict[str, str] = {}
        self.vehicles = {*STANDARD_VEHICLES, *(vehicle.name for vehicle in bench.vehicles)} - {""}

    def run(self) -> None:
        self.supplies()
        self.ids()
        self.vehicle_names()
        self.kinds()
        self.joints()
        self.motors()
        for path, wire in _counted("wire", self.bench.wires):
            self.two_terminals(f"{path}.ends", wire.ends)
        self.trains()
        for path, name in _counted("test.vehicles", self.bench.test or ()):
            self.vehicle(path, name)
        if self.bench.level is not None:
            self.level(self.bench.level)

    # The things themselves

    def supplies(self) -> None:
        """There is power, and a bus has one supply to begin at."""
        if not self.bench.supplies:
            self.faults.add("supply", "nothing", "a table [supply] with its kind")
        elif self.bench.bus is not None and [supply.id for supply in self.bench.supplies] != [SINGLE_SUPPLY]:
            self.faults.add("bus", "[bus] beside [[supply]]", "[bus] only with a single [supply]")

    def ids(self) -> None:
        """Each id, and each tap, names one thing."""
        bench = self.bench
        single = [supply.id for supply in bench.supplies] == [SINGLE_SUPPLY]
        named = [
            ("supply" if single else f"{path}.id", supply.id) for path, supply in _counted("supply", bench.supplies)
        ]
        named += [(at_key("bus.taps", tap), tap) for tap in (bench.bus.taps if bench.bus is not None else ())]
        named += [(f"{path}.id", piece.id) for path, piece in _counted("track", bench.tracks)]
        named += [(f"{path}.id", motor.id) for path, motor in _counted("motor", bench.motors)]
        named += [(f"{path}.id", polarity.id) for path, polarity in _counted("polarity", bench.polarities)]
        named += [(f"{path}.id", lamp.id) for path, lamp in _counted("lamp", bench.lamps)]
        named += [(f"{path}.id", train.id) for path, train in _counted("train", bench.trains)]
        first: dict[str, str] = {}
        for path, name in named:
            if name and name in first:
                self.faults.add(path, f"{shown(name)}, which is the name of {first[name]}", "a name used once")
                self.unclear.add(name)  # which of the two a longer name means is not known
            first.setdefault(name, path.removesuffix(".id"))

    def vehicle_names(self) -> None:
        """Each vehicle has a name of its own."""
        first = dict.fromkeys(STANDARD_VEHICLES, "a vehicle that comes with the program")
        for path, vehicle in _counted("vehicle", self.bench.vehicles):
            if vehicle.name and vehicle.name in first:
                found = f"{shown(vehicle.name)}, which is the name of {first[vehicle.name]}"
                self.faults.add(f"{path}.name", found, "a name used once")
            first.setdefault(vehicle.name, path)

    def kinds(self) -> None:
        """A piece is of a kind that its class serves."""
        for path, piece in _counted("track", self.bench.tracks):
            if piece.id not in self.unclear and piece.kind not in piece.KINDS:
                self.faults.add(f"{path}.kind", shown(piece.kind), " or ".join(piece.KINDS))

    def joints(self) -> None:
        """Each joint is written once, between two ends that exist and are free, of one scale."""
        taken: dict[str, str] = {}
        group = {piece.id: piece.id for piece in self.bench.tracks}
        scale = {piece.id: piece.scale for piece in self.bench.tracks}

        def head(piece_id: str) -> str:
            while group[piece_id] != piece_id:
                group[piece_id] = group[group[piece_id]]
                piece_id = group[piece_id]
            return piece_id

        for path, piece in _counted("track", self.bench.tracks):
            for own, other in piece.joins.items():
                where = at_key(f"{path}.joins", own)
                if piece.id in self.unclear:
                    continue
                if own not in piece.ENDS:
                    ends = ", ".join(piece.ENDS)
                    self.faults.add(where, "an unknown end", f"one of {ends}", like=own, known=piece.ENDS)
                    continue
                target = self.end(where, other)
                if target is None:
                    continue
                if target.id == piece.id:
                    self.faults.add(where, shown(other), "an end of another piece")
                    continue
                ends_here = (f"{piece.id}.{own}", other)
                for end in ends_here:
                    if end in taken:
                        self.faults.add(
                            where,
                            f"a joint at {end}, which is joined in {taken[end]}",
                            "each joint once, two ends in each",
                        )
                        break
                else:
                    taken.update(dict.fromkeys(ends_here, where))
                    self.met |= {ends_here[0]: ends_here[1], ends_here[1]: ends_here[0]}
                one, two = head(piece.id), head(target.id)
                if one != two:
                    if scale[one] and scale[two] and scale[one] != scale[two]:
                        self.faults.add(where, f"a joint of {scale[one]} with {scale[two]}", "one scale on both sides")
                    scale[two] = scale[two] or scale[one]
                    group[one] = two
        self.scales = {piece.id: scale[head(piece.id)] or DEFAULT_SCALE for piece in self.bench.tracks}

    def motors(self) -> None:
        """Each motor drives points that no other drives, and that are set alike."""
        driven: dict[str, str] = {}
        for path, motor in _counted("motor", self.bench.motors):
            where = f"{path}.drives"
            stand: dict[str, str] = {}
            for k, points in enumerate(motor.drives, 1):
                place = where if len(motor.drives) == 1 else f"{where}[{k}]"
                piece = self.points(place, points)
                if piece is None:
                    continue
                if points in driven and driven[points] != motor.id:
                    expected = "points that no other motor drives"
                    self.faults.add(place, f"{points}, driven by {driven[points]} already", expected)
                driven.setdefault(points, motor.id)
                stand |= {each.id: each.setting for each in piece.point_sets if each.id == points}
            if len(set(stand.values())) > 1:
                found = ", ".join(f"{points} {setting}" for points, setting in stand.items())
                self.faults.add(where, f"points set unlike: {found}", "all that one motor throws set alike")

    def trains(self) -> None:
        """Trains are made of known vehicles and stand on track of their scale."""
        for path, train in _counted("train", self.bench.trains):
            piece = None
            if train.end:
                piece = self.end(f"{path}.at.end", train.end)
                if piece is not None and self._stop(train.end) and self._stop(self.met.get(train.end)):
                    self.faults.add(f"{path}.at.end", shown(train.end), "an end of track, or one joined to track")
            elif not self.bench.tracks or self.bench.tracks[0].id not in self.unclear:
                self.faults.add(f"{path}.at", "a train without track", "an end of a piece of track to stand at")
            for where, name in _counted(f"{path}.vehicles", train.vehicles):
                self.vehicle(where, name)
                own = next((vehicle.scale for vehicle in self.bench.vehicles if vehicle.name == name), None)
                if piece is not None and own not in (None, self.scales[piece.id]):
                    found = f"{shown(name)}, a vehicle in {own}"
                    self.faults.add(where, found, f"one in {self.scales[piece.id]}, the scale of the track")

    def _stop(self, end: str | None) -> bool:
        """Whether no track begins at an end: nothing is there, or a buffer stop."""
        piece = self.pieces.get((end or "").partition(".")[0])
        return piece is None or len(piece.ENDS) == 1

    def level(self, level: Level) -> None:
        """What a level names is on its bench."""
        for path, piece_id in _counted("level.predict", level.predict):
            self.points(path, piece_id)
        self.allowed(level.allow)
        for path, prompt in _counted("level.prompts", level.prompts):
            self.prompt(path, prompt)
        for path, step in _counted("level.solution", level.solution):
            match step:
                case ThrowStep():
                    self.lever(f"{path}.throw", step.piece)
                case ProbeStep():
                    self.two_terminals(f"{path}.probe", step.ends)
                case WireStep():
                    self.two_terminals(f"{path}.wire", step.ends)
                case UnwireStep():
                    self.two_terminals(f"{path}.unwire", step.ends)
                case PlaceStep():
                    self.place_to(path, step.place, step.to or None)
                case TurnStep():
                    motors = [motor.id for motor in self.bench.motors]
                    self.known(f"{path}.turn", step.motor, motors, "the id of a motor")

    def prompt(self, path: str, prompt: Prompt) -> None:
        """A prompt stands beside something that there is, and what ends it is of this bench."""
        trains = [train.id for train in self.bench.trains]
        known = (*SPOTS, *trains)
        if "." in prompt.at:
            self.terminal(f"{path}.at", prompt.at)
        elif prompt.at and prompt.at not in known:
            expected = f"a terminal, a train, or one of {', '.join(SPOTS)}"
            self.faults.add(f"{path}.at", shown(prompt.at), expected, like=prompt.at, known=known)
        match prompt.until:
            case Stalled():
                self.known(f"{path}.until.stalled", prompt.until.train, trains, "the id of a train")
            case Runs():
                self.known(f"{path}.until.runs", prompt.until.train, trains, "the id of a train")
            case Over():
                self.points(f"{path}.until.over", prompt.until.piece)
            case Joined():
                self.two_terminals(f"{path}.until.wired", prompt.until.ends)
                if prompt.until.off is not None:
                    self.terminal(f"{path}.until.off", prompt.until.off)

    def allowed(self, allow: Allow) -> None:
        for key, names, kinds in (("gaps", allow.gaps, ("gap",)), ("bonds", allow.bonds, ("bond", "jumper"))):
            for path, name in _counted(f"level.allow.{key}", names if isinstance(names, tuple) else ()):
                piece = self.piece(path, name)
                if piece is not None and full_place(piece.places(), name, kinds) is None:
                    known = [short_place(place) for place in piece.places() if place.kind in kinds]
                    self.faults.add(path, shown(name), f"a {' or '.join(kinds)} of {piece.id}", like=name, known=known)

    # Names

    def piece(self, path: str, name: str) -> Piece | None:
        """The piece that a longer name begins with; None, with the fault noted, if there is none."""
        owner = name.partition(".")[0]
        if owner in self.pieces and owner not in self.unclear:
            return self.pieces[owner]
        if owner and owner not in self.unclear:
            near = self.faults.nearest(owner, self.pieces)
            self.faults.add(path, shown(name), "the name of something on a piece of track", nearest=near)
        return None

    def end(self, path: str, name: str) -> Piece | None:
        """The piece that this end belongs to; None, with the fault noted, if there is no such end."""
        piece = self.piece(path, name)
        if piece is None or name.partition(".")[2] in piece.ENDS:
            return piece
        ends = [f"{piece.id}.{end}" for end in piece.ENDS]
        self.faults.add(path, shown(name), f"one of {', '.join(ends)}", like=name, known=ends)
        return None

    def points(self, path: str, name: str) -> Piece | None:
        """The piece of those points; None, with the fault noted, if there are none of that id."""
        if name.partition(".")[0] in self.unclear:
            return None
        known = self._with_blades
        if not self.known(path, name, known, "the id of a piece that has blades"):
            return None
        return known.get(name)

    def lever(self, path: str, name: str) -> Piece | Motor | None:
        """What is thrown by that name: points, or a motor or switch; None, with the fault noted, if nothing is."""
        if name.partition(".")[0] in self.unclear:
            return None
        known: dict[str, Piece | Motor] = {**self._with_blades, **{motor.id: motor for motor in self.bench.motors}}
        if not self.known(path, name, known, THROWN):
            return None
        return known.get(name)

    @cached_property
    def _with_blades(self) -> dict[str, Piece]:
        """The piece of each set of points, by its id."""
        return {points.id: piece for piece in self.bench.tracks for points in piece.point_sets}

    def known(self, path: str, name: str, names: Collection[str], expected: str) -> bool:
        """Whether the name is one of these, or unclear; if not, the fault is noted."""
        if not name or name in names or name in self.unclear:
            return bool(name)
        self.faults.add(path, shown(name), expected, like=name, known=names)
        return False

    def vehicle(self, path: str, name: str) -> None:
        self.known(path, name, self.vehicles, "a vehicle that comes with the program, or the name of a [[vehicle]]")

    def two_terminals(self, path: str, ends: tuple[str, str]) -> None:
        """Two terminals that exist and differ."""
        for where, name in _counted(path, ends):
            self.terminal(where, name)
        if ends[0] and ends[0] == ends[1]:
            self.faults.add(path, f"{shown(ends[0])} twice", "two different terminals")

    def terminal(self, path: str, name: str) -> None:
        owner, _, rest = name.partition(".")
        if not owner or owner in self.unclear:
            return
        if owner not in self.owners:
            near = self.faults.nearest(owner, self.owners)
            full = f"{near}.{rest}" if near is not None and f"{near}.{rest}" in self.owners[near] else None
            self.faults.add(path, shown(name), "a terminal of something on the bench", nearest=full or near)
        elif name not in self.owners[owner]:
            names = self.owners[owner]
            expected = f"one of {', '.join(names)}" if names else f"another thing than {owner}, which has no terminals"
            self.faults.add(path, shown(name), expected, like=name, known=names)

    def place_to(self, path: str, name: str, to: str | None) -> Piece | None:
        """The piece with the place of that full name, if the place can be so; None, with the fault noted, if not.

        A ``to`` of None stands for a missing one and is let pass.
        """
        piece = self.piece(at_key(path, "place"), name)
        if piece is None:
            return None
        places = {place.name: place for place in piece.places()}
        if name not in places:
            self.faults.add(at_key(path, "place"), shown(name), f"a place of {piece.id}", like=name, known=places)
            return None
        states = places[name].states
        if to is None or to in states:
            return piece
        self.faults.add(at_key(path, "to"), shown(to), " or ".join(states), like=to, known=states)
        return None
