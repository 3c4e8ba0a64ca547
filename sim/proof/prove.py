"""The test of every route: a bench in, its verdict out (model.md section 5)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from sim.bench.levers import filed_settings
from sim.bench.model import Bench
from sim.electric.circuit import TooMuch
from sim.electric.parts import PartRef
from sim.proof.advice import advice
from sim.proof.against import trailing
from sim.proof.coin import coins
from sim.proof.districts import joined_supplies
from sim.proof.explain import power_on_text
from sim.proof.instant import Instant, instant
from sim.proof.margin import seen_ohms
from sim.proof.meeting import Meeting
from sim.proof.quiet import Standing, Thrown, WithNothing, clean_base, with_nothing
from sim.proof.remembered import MOST_OHMS, Remembered
from sim.proof.sighting import Sightings
from sim.proof.subject import Subject
from sim.proof.sweep import Direction, Item
from sim.proof.sweeping import swept
from sim.proof.telling import Groups
from sim.proof.verdict import KINDS, Finding, Position, Route, Verdict
from sim.proof.watching import seen
from sim.track.layout import Layout
from sim.train.fleet import axle_places, tested, train_vehicles
from sim.wiring.names import part_words
from sim.wiring.telling import amps_words, opening

__all__ = ["OfPiece", "Progress", "RouteTest", "prove", "steps"]

Progress = Callable[[float], None]
"""Told the part of the work that is done, 0 to 1."""

_MOST_WORK = 2_000_000_000  # numbers in the circuits of all runs


@dataclass(frozen=True)
class OfPiece:
    """What a test says of one piece on whose runs nothing is seen; `work`: see `RouteTest.work`."""

    findings: tuple[Finding, ...]
    routes: tuple[Route, ...]
    remarks: tuple[str, ...]
    work: int


class RouteTest:
    """The work of one test.

    work: numbers in the circuits of all runs so far
    """

    def __init__(self, bench: Bench, subject: Subject, remembered: Remembered[OfPiece] | None = None) -> None:
        """`remembered`: of the tests of the same bench before."""
        self.bench = bench
        self.layout = subject.layout
        self.subject = subject
        self.found: list[Finding] = []
        self.routes: list[Route] = []
        self.remarks: list[str] = []
        self.groups = Groups(self.subject)
        self.nothing: WithNothing | None = None
        self.clean = True
        self.work = 0
        self._remembered = remembered

    # Nothing on the track

    def quiet(self) -> None:
        """Power on in every combination, every throw, and what needs no current to be told."""
        remembered = self._remembered
        if remembered is not None:
            remembered.begin(self.subject)
        self.nothing = with_nothing(self.subject, remembered.windows if remembered is not None else None)
        base, self.clean = clean_base(self.nothing)
        self.subject.stand(base)  # first, so that each fault is told with nothing else at fault
        if remembered is not None:
            remembered.stand(quiet=self.clean and not self.nothing.standing)
        self.found += [self._standing(one) for one in self.nothing.standing]
        self.found += [self._thrown(one) for one in self.nothing.thrown]
        self.found += joined_supplies(self.subject)
        self.found += advice(self.subject)
        if self.clean:
            self.found += coins(self.subject, remembered.coins if remembered is not None else None)

    def _standing(self, one: Standing) -> Finding:
        now = instant(self.subject, one.whole, sources=one.sources)
        points = self.subject.points(one.settings)
        level, amps, _ = now.worst
        self._overloads(now, points, level)
        return Finding(
            "short" if level == 2 else "hot", "power-on", points, None, None, None, None, None, now.rails, amps,
            now.volts_left, power_on_text(points, now), now.loop, 0, True,
        )  # fmt: skip

    def _thrown(self, one: Thrown) -> Finding:
        now = instant(self.subject, one.whole, moving={one.lever: one.travel}, sources=one.sources)
        points = dict.fromkeys(self.subject.levers[one.lever].movers, "throwing")
        text = power_on_text(points, now)
        text += f" It lasts only for part of the throw, about {one.travel:.0%} of the way from normal to diverging."
        return Finding(
            "short-while-throwing", "throw", points, None, None, None, None, None, now.rails, now.worst[1],
            now.volts_left, text, now.loop, 0, True,
        )  # fmt: skip

    def _overloads(self, now: Instant, points: dict[str, str], level: int) -> None:
        """Rated parts that a standing fault overloads with nothing on the track."""
        if level != 1:
            return
        for rating in self.subject.ratings:
            amps = now.amps(rating.ref)
            if amps > rating.amps:
                named = part_words(self.bench, rating.ref)
                text = (
                    f"{opening(self.bench, points)}the {named} carries {amps_words(amps)}; "
                    f"it is rated for {amps_words(rating.amps)}."
                )
                self.found.append(
                    Finding("overloaded", "power-on", points, None, None, None, None, None, (), amps, None, text)
                )

    def positions(self) -> tuple[Position, ...]:
        """The bench as filed, then what each other setting of each lever changes."""
        subject = self.subject
        stand = filed_settings(self.bench)
        filed = {lever.id: lever.setting for lever in subject.levers.values()}
        made = subject.made(filed)
        before = subject.feeds.codes(made)
        rows = [Position(stand, subject.feeds.told(before))]
        for lever, setting in filed.items():
            other = {lever: "diverging" if setting == "normal" else "normal"}
            codes = subject.feeds.codes(subject.made(other, made))
            rows.append(Position(subject.points(other), subject.feeds.differences(codes, before)))
        return tuple(rows)

    # Runs

    def items(self, piece: str) -> list[tuple[Item, ...]]:
        """What is run over a piece: all single vehicles together, and each train that is more than one by itself."""
        scale = self.layout.scale(piece).name
        lone = tuple(Item(v.name, (v,), (v.axles_mm,)) for v in tested(self.bench, scale))
        found = [lone] if lone else []
        if self.bench.test is None:
            for train in self.bench.trains:
                if len(train.vehicles) > 1:
                    vehicles = train_vehicles(self.bench, train, scale)
                    if all(vehicle.scale == scale for vehicle in vehicles):
                        found.append((Item(train.id, vehicles, axle_places(vehicles)),))
        return found

    def meetings(self, piece: str) -> Iterator[tuple[Meeting, tuple[Item, ...]]]:
        """Everything that is run over one piece, where anything can be run at all; what is left out is noted."""
        geometry = self.layout.geometry(piece)
        if not geometry.tracks:
            return
        for items in self.items(piece):
            sweep, slots, more = swept(self.layout, piece, items)
            for track in more:
                ends = " to ".join(f"{piece}.{end}" for end in geometry.tracks[track].ends)
                self.remarks.append(f"{ends}: there are more than 64 ways on from here; the first 64 were run.")
            if sweep is None:
                continue
            self._worked(piece, sweep.stamp.size)
            meeting = Meeting(self.subject, piece, sweep, slots)
            if not self.clean:
                keys = {(run.track, run.item, run.direction) for run in sweep.runs if meeting.is_given(run)}
                self._unclean(piece, items, keys)
                continue
            yield meeting, items

    def _worked(self, piece: str, more: int) -> None:
        self.work += more
        if self.work > _MOST_WORK:
            raise TooMuch(f"{piece}: so many pieces within a train's length of each other are too much to test")

    def piece(self, piece: str) -> None:
        """Every run over one piece, or what is remembered of them."""
        remembered = self._remembered
        known = remembered.pieces.found(piece) if remembered is not None else None
        if known is not None:
            self._worked(piece, known.work)
            self.found += known.findings
            self.routes += known.routes
            self.remarks += known.remarks
            return
        found, routes, remarks, work = len(self.found), len(self.routes), len(self.remarks), self.work
        nodes, ohms = self._over(piece)
        if remembered is not None and self.clean and not (self.nothing and self.nothing.standing):
            told = OfPiece(
                tuple(self.found[found:]), tuple(self.routes[routes:]), tuple(self.remarks[remarks:]), self.work - work
            )
            remembered.pieces.keep(piece, told, nodes, ohms, self.subject.conductors.together(nodes))

    def _over(self, piece: str) -> tuple[set[int], float]:
        """Every run over one piece.

        Returns the rails that are touched, and how many ohms the ways to them can get more with all of it the same; 0
        where something is seen, and where it is not asked for.
        """
        nodes: set[int] = set()
        ohms = MOST_OHMS
        for meeting, items in self.meetings(piece):
            sightings = self.meet(meeting, items)
            nodes.update(meeting.nodes.tolist())
            if self._remembered is None or sightings.found or sightings.loads:
                ohms = 0.0
            elif ohms > 0.0:
                ohms = min(ohms, seen_ohms(meeting))
            for sighting in sightings.found:
                self.groups.add(meeting, sighting)
            for load in sightings.loads:
                self.groups.add_load(meeting, load)
            self._left_out(meeting)
            if all(len(item.vehicles) == 1 for item in items):
                self.found += trailing(meeting)
        return nodes, ohms

    def meet(self, meeting: Meeting, items: tuple[Item, ...]) -> Sightings:
        """What is seen over a piece, each run's outcome noted."""
        sightings = seen(meeting)
        stands = _stands(meeting) if self.nothing is not None and self.nothing.standing else {}
        for key, safe in sightings.safe.items():
            shorted = any(self._shorted_with(levers) for levers in stands.get(key, ()))
            live = sightings.live[key] and not shorted
            self._route(meeting.piece, items, key, safe=safe and not shorted, live=live)
        return sightings

    def _left_out(self, meeting: Meeting) -> None:
        left = dict.fromkeys(lever for case in meeting.cases for lever in case.left_out)
        if left:
            self.remarks.append(
                f"{meeting.piece}: only the six nearest levers were tried in every combination; left as they open the "
                f"way: {', '.join(left)}."
            )

    def _unclean(self, piece: str, items: tuple[Item, ...], keys: set[tuple[int, int, Direction]]) -> None:
        for key in sorted(keys, key=lambda k: (k[0], k[1], k[2] != "forward")):
            self._route(piece, items, key, safe=False, live=False)

    def _route(
        self, piece: str, items: tuple[Item, ...], key: tuple[int, int, str], *, safe: bool, live: bool
    ) -> None:
        track, item, direction = key
        path = self.layout.geometry(piece).tracks[track]
        ends = (f"{piece}.{path.ends[0]}", f"{piece}.{path.ends[1]}")
        points = dict(self.subject.needs(piece, track))
        way: Direction = "forward" if direction == "forward" else "backward"
        self.routes.append(Route(ends, points, items[item].name, way, path.length_mm, safe, live))

    def _shorted_with(self, levers: Mapping[str, str]) -> bool:
        """Whether a fault with nothing on the track can stand while these levers are so."""
        return any(
            all(levers.get(lever, word) == word for lever, word in one.settings.items())
            for one in (self.nothing.standing if self.nothing is not None else ())
        )

    def verdict(self) -> Verdict:
        """Everything found, failing kinds first, in an order that depends on the bench alone."""
        rank = {kind: k for k, kind in enumerate(KINDS)}
        order = sorted(
            [*self.found, *_new(self.groups.findings(), self.found)],
            key=lambda f: (
                not f.fails,
                rank[f.kind],
                tuple(f.points.items()),
                f.path or ("", ""),
                f.vehicle or "",
                f.touching,
                f.direction or "",
                f.from_mm or 0.0,
                f.text,
            ),
        )
        return Verdict(self.bench.title, self.positions(), tuple(order), tuple(self.routes), tuple(self.remarks))


def _stands(meeting: Meeting) -> dict[tuple[int, int, str], list[Mapping[str, str]]]:
    """How the levers under each run (track, item, direction) stand, place by place."""
    under: dict[int, list[Mapping[str, str]]] = {}
    for case in meeting.cases:
        under.setdefault(case.need, []).append(case.under)
    found: dict[tuple[int, int, str], list[Mapping[str, str]]] = {}
    for run in meeting.sweep.runs:
        if not run.against:
            needs = set(meeting.sweep.situations[run.situation, 1].tolist())
            stands = found.setdefault((run.track, run.item, run.direction), [])
            stands += [levers for need in sorted(needs) for levers in under.get(need, ())]
    return found


def _new(more: list[Finding], known: list[Finding]) -> list[Finding]:
    """Without points set against a train that are told already: once for each lever, however a train comes to them."""
    told = {tuple(sorted(finding.points)) for finding in known if finding.kind == "points-against"}
    out = []
    for finding in more:
        key = tuple(sorted(finding.points))
        if finding.kind == "points-against":
            if key in told:
                continue
            told.add(key)
        out.append(finding)
    return out


def steps(
    bench: Bench, opened: frozenset[PartRef] = frozenset(), remembered: Remembered[OfPiece] | None = None
) -> Iterator[float | Verdict]:
    """The test in slices: yields the share done after each piece, and at last the verdict.

    opened: names of parts that are taken to be broken
    remembered: of the tests of the same bench before, nothing opened; where one wire has changed since, only what can
        feel it is tested again
    """
    test = RouteTest(bench, Subject(bench, Layout(bench), opened), None if opened else remembered)
    test.quiet()
    count = len(bench.tracks)
    for k, piece in enumerate(bench.tracks):
        yield k / count
        test.piece(piece.id)
    yield test.verdict()


def prove(
    bench: Bench, *, progress: Progress | None = None, remembered: Remembered[OfPiece] | None = None
) -> Verdict:
    """Tests every route of a bench, as if its supplies were on and plugged in.

    Args:
        progress: told the share of the work done, 0 to 1, after each piece. remembered: see `steps`.
    """
    for step in steps(bench, remembered=remembered):
        if isinstance(step, Verdict):
            return step
        if progress is not None:
            progress(step)
    raise RuntimeError("the test of every route ended without a verdict")
