"""Everything that runs on a bench, and time passing over it from event to event.

A breaker opens or tries again, a contact changes over on its blades' way, a wheel comes on or off a rail: between
such events nothing electrical changes, so the circuit is solved only then, and a breaker's moment is exact whatever
the step.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping

from sim.bench.edits import History
from sim.bench.levers import filed_settings, with_settings
from sim.bench.model import Bench
from sim.bench.table import Table
from sim.bench.terminals import terminals
from sim.electric.parts import PartRef
from sim.session import sentences as say
from sim.session.electrics import Electrics, Solved
from sim.session.evidence import EvidenceSoFar, stand_of
from sim.session.faults import fault_of
from sim.session.frogs import frog_wired
from sim.session.ground import Ground
from sim.session.journal import Journal
from sim.session.locks import UNLOCKED, Locks
from sim.session.metering import Meter
from sim.session.play import Play
from sim.session.points import Points
from sim.session.rolling import Rolling
from sim.session.snapshot import FaultView, Judged
from sim.session.supplies import Supplies
from sim.session.units import Units
from sim.track.layout import Layout
from sim.train.motion import TICK
from sim.wiring.names import section_of
from sim.wiring.telling import amps_words

__all__ = ["Running"]

_NEAR = 1e-9  # s
_STRIDE_MM = 0.5  # no wheel moves further than this without being looked at
_WELL_UP = 0.5  # of a DC regulator: from here on an engine that stands is worth a word; our choice
_STILL = 1e-3  # mm/s
_NOTHING: Mapping[PartRef, float] = {}


class Running:
    """A bench that runs: what stands on it, how everything stands, and what has been told of it.

    history: the bench as filed with the edits made. bench: the same with its points as they were last thrown.
    changed: set by whoever changes something that may matter electrically; it is looked at before time goes on.
    """

    def __init__(self, bench: Bench, locks: Locks = UNLOCKED) -> None:
        """As filed, at rest. Raises ValueError for a train that cannot stand where the file puts it."""
        self.history = History(bench)
        self.bench = bench
        self.locks = locks
        self.layout = Layout(bench)
        self.points = Points(bench, self.layout)
        self.supplies = Supplies(bench)
        self.units = Units(bench)
        self.ground = Ground(self.layout, self.points.travel)
        self.trains = {train.id: Rolling(bench, train, self.ground) for train in bench.trains}
        self.supplies.throttle = max((each.throttle for each in self.trains.values() if each.kind == "dc"), default=0.0)
        self.electrics = Electrics(bench, self.layout)
        self.meter = Meter()
        self.evidence = EvidenceSoFar()
        self.play = Play()
        self.journal = Journal()
        self.fault: FaultView | None = None
        self.overload: FaultView | None = None
        self._last_fault = ""
        self.verdict: Judged | None = None
        self.reached: frozenset[str] = frozenset()
        self.changed = True
        self._live: set[str] = set()
        self._stalled: set[str] = set()
        self._debt = 0.0
        self._limited: tuple[Solved, float, Mapping[PartRef, float]] | None = None
        if locks.power(self.play.said):
            self.supplies.switch_off()
        self.solved = self._solve()
        self._settle()

    # -- time ------------------------------------------------------------------------------------------------

    def run(self, seconds: float) -> None:
        """Let time pass, from event to event."""
        left = seconds
        while left > _NEAR:
            if self.changed:
                self._settle()
            span = min(left, self._stride(), self.supplies.due(), self.points.due(), self.units.due(self._unit_amps))
            self._pass(span)
            left -= span
        if self.changed:
            self._settle()
        self.evidence.ran(self.trains.values(), self.points.travel)
        self._tell_stalls()

    @property
    def waits(self) -> bool:
        """True while a breaker, blades or a unit will change over by themselves as things stand."""
        due = min(self.supplies.due(), self.points.due(), self.units.due(self._unit_amps))
        return self.changed or due < math.inf

    def _stride(self) -> float:
        """Seconds in which no wheel moves so far that a rail could be missed, a whole number of ticks."""
        fastest = max((abs(train.motion.speed_mm_s) for train in self.trains.values()), default=0.0)
        return TICK * max(1, math.floor(_STRIDE_MM / TICK / fastest)) if fastest > 0 else math.inf

    @property
    def _wired_live(self) -> bool:
        """Whether something has been wired to a frog while there was power, which is its first power then."""
        return not self.play.powered and frog_wired(self.bench)

    @property
    def _unit_amps(self) -> Mapping[PartRef, float]:
        """What flows through the automatic polarity units, of what the supplies can give."""
        if not self.units.throws:
            return _NOTHING
        share = self._share
        if share >= 1.0:
            return self.solved.amps
        return {ref: amps * share for ref, amps in self.solved.amps.items() if ref.kind == "unit"}

    @property
    def _share(self) -> float:
        """What flows of what would flow from supplies without limit: one that limits lessens all currents alike."""
        return min((state.given / state.amps for state in self.supplies.states.values() if state.amps), default=1.0)

    @property
    def amps(self) -> Mapping[PartRef, float]:
        """Current through every part, of what the supplies can give."""
        share = self._share
        if share >= 1.0:
            return self.solved.amps
        if self._limited is None or self._limited[:2] != (self.solved, share):
            self._limited = self.solved, share, Table((ref, amps * share) for ref, amps in self.solved.amps.items())
        return self._limited[2]

    def _pass(self, span: float) -> None:
        """Let `span` seconds pass, at whose end something electrical may change, and not before."""
        before, travel = self.solved, self.points.travel
        for name, event in self.supplies.advance(span):
            self._breaker(name, event, before)
        if self.units.advance(span, self._unit_amps):
            self.changed = True
        for lever in self.points.advance(span):
            self.journal.tell(f"{say.lever_words(self.bench, lever, self.points.aimed(lever))}.")
        if self.points.travel is not travel:
            self.ground = self.ground.moved(self.points.travel)
            self.changed = True
        self._debt += span
        ticks = math.floor(self._debt / TICK + _NEAR)
        self._debt -= ticks * TICK
        if ticks:
            self._roll(ticks)

    def _roll(self, ticks: int) -> None:
        trains = list(self.trains.values())
        for train in trains:
            off = train.derailed
            if train.step(ticks, self.ground, [other for other in trains if other is not train]):
                self.changed |= train.look(self.ground)
            if train.derailed is not None and off is None:
                points = say.points_name(self.bench, train.derailed.piece)
                why = f"{points} were thrown under it" if train.derailed.parted else f"{points} are not set for it"
                self.journal.tell(f"The {train.name} comes off: {why}. Set it down again.")
                self.changed = True

    def _settle(self) -> None:
        """Something electrical may have changed: look at the wheels, solve, read the meter, tell what is news."""
        for train in self.trains.values():
            train.look(self.ground)
        before, self.solved = self.solved, self._solve()
        self.changed = False
        self._tell_power()
        self._read_meter()
        self._look_for_overload(before)

    def _look_for_overload(self, before: Solved) -> None:
        """Say what flows where a closed breaker has too much; the same value again while the same flows."""
        over = next((name for name, state in self.supplies.states.items() if state.overloaded), None)
        if over is None:
            self.overload = None
        elif self.overload is None or self.overload.supply != over or self.solved is not before:
            now = self._fault_of(over, self.solved)
            same = self.overload is not None and self.overload.loop == now.loop
            self.overload = self.overload if same else now

    def _fault_of(self, supply: str, solved: Solved) -> FaultView:
        """What flows through a supply's breaker, and where."""
        names = {
            f"{train.train.id}:{k}": vehicle.name
            for train in self.trains.values()
            for k, vehicle in enumerate(train.vehicles)
        }
        feeds = self.electrics.feeds(self.points.travel)
        return fault_of(self.bench, supply, solved, self.points.travel, feeds, names)

    def _solve(self) -> Solved:
        standing = {train: train.standing() for train in self.trains.values()}
        everyone = tuple(one for group in standing.values() for one in group)
        solved = self.electrics.solved(self.points.travel, self.supplies.volts, self.units.throws, everyone)
        for name, state in self.supplies.states.items():
            state.amps = solved.solution.amps.get(PartRef("supply", name), 0.0) + 0.0
            at = solved.solution.volts
            state.volts = at[state.model.a] - at[state.model.b]
        for train, group in standing.items():
            train.volts = tuple(solved.pickup_volts(one) for one in group)
        return solved

    def _read_meter(self) -> None:
        if not self.meter.reading:
            self.meter.rest()
            return
        net = self.solved.circuit
        if self.meter.dial != "volts":
            metered = tuple(one for train in self.trains.values() for one in train.standing(metered=True))
            net = self.electrics.circuit(self.points.travel, self.supplies.volts, self.units.throws, metered)
        cautioned, cautions, found = self.meter.view.caution, self.meter.cautions, self.meter.found
        reading = self.meter.look(
            self.bench, net, self.points.travel, joined=self.supplies.any_joined, before_power=not self.play.powered
        )
        volts = min((abs(supply.volts) for supply in self.bench.supplies), default=0.0)
        stand = stand_of(self.points.travel)
        self.evidence.measured(self.meter.view, stand, plugged=self.supplies.any_joined, volts=volts)
        if reading is not None:
            self.journal.tell(say.reading_words(self.bench, reading))
        elif (noted := self.meter.noted(self.bench, self.points.travel)) is not None:
            self.journal.tell(say.noted_words(self.bench, noted))
        for motor, number in sorted(self.meter.found - found):
            self.journal.tell(say.found_words(self.bench, motor, number))
        if self.meter.view.caution and not cautioned:
            self.journal.tell("Caution: measure ohms only with the supply unplugged.")
        if self.meter.cautions and not cautions:
            self.journal.mark("caution")

    # -- news ------------------------------------------------------------------------------------------------

    def _tell_power(self) -> None:
        for name, state in self.supplies.states.items():
            if not state.live:
                self._live.discard(name)
            elif name not in self._live or self._wired_live:
                new = name not in self._live
                self._live.add(name)
                short = abs(state.given) >= state.model.trip_amps
                readings = self.meter.readings.values()
                if self.play.power(self.bench, readings, self.meter.taken, into_short=short):
                    self.journal.mark("power")
                if new and not short:
                    most = ", the most that it can give" if abs(state.amps) > state.model.most_amps else ""
                    self.journal.tell(f"{say.supply_words(self.bench, name)} on: {amps_words(state.given)}{most}.")

    def _tell_stalls(self) -> None:
        """Tell of trains that stand without power though there is some; on DC only with the regulator well up."""
        for name, train in self.trains.items():
            asked = train.asked and (train.kind == "dcc" or train.throttle > _WELL_UP) and self.supplies.any_live
            still = abs(train.motion.speed_mm_s) < _STILL
            if asked and train.starved and still and name not in self._stalled:
                self._stalled.add(name)
                self.journal.tell(self._stall_words(train))
            elif name in self._stalled and not train.starved:
                self._stalled.discard(name)
                self.journal.tell(f"The {train.name} runs on.")

    def _stall_words(self, train: Rolling) -> str:
        rails = say.touched_words(self.bench, train.touches[0])
        if train.joins_sides(self.electrics.feeds(self.points.travel)):
            lamp = " A lamp in line takes the current." if self.bench.lamps else ""
            return f"The {train.name} stops: its wheels join side A and side B, a short.{lamp} They stand on {rails}."
        feeds = self.electrics.feeds(self.points.travel)
        touched = {section_of(node) for vehicle in train.touches for axle in vehicle for side in axle for node in side}
        sides = {feeds.get(rail, "none") for rail in touched}
        if "both" in sides or {"A", "B"} <= sides:
            lamp = ", and a lamp in line takes the rest" if self.bench.lamps else ""
            return f"The {train.name} stops: too few volts reach it{lamp}. Its wheels stand on {rails}."
        return f"The {train.name} stops: no power reaches it. Its wheels stand on {rails}."

    def _breaker(self, name: str, event: str, before: Solved) -> None:
        self.changed = True
        if event == "closed":
            self.fault = None
            self._live.add(name)
            self.journal.tell(f"{say.supply_words(self.bench, name)} tries again.")
            return
        fault = self._fault_of(name, before)
        self.fault = dataclasses.replace(fault, again=fault.text == self._last_fault)
        self._last_fault = fault.text
        self.play.trips += 1
        self.journal.tell(self.fault.text)

    # -- what stands on the bench ----------------------------------------------------------------------------

    def throw(self, name: str, setting: str | None) -> None:
        """Begin a throw of a lever, named by its own id or by anything that it moves."""
        aimed = self.points.throw(name, setting)
        self.bench = with_settings(self.bench, dict.fromkeys(self.points.moved_with(name), aimed))

    def put(self, train: str, end: str, mm: float) -> None:
        """Set a train down elsewhere, at rest. Raises KeyError or ValueError where it cannot stand."""
        old = self.trains[train]
        fresh = Rolling(self.bench, dataclasses.replace(old.train, end=end, mm=mm), self.ground)
        fresh.direction = old.direction
        fresh.throttle = old.throttle if old.kind == "dc" else 0.0
        self.trains[train] = fresh
        self._stalled.discard(train)

    def follow(self, history: History) -> None:
        """Make everything that runs fit an edited bench. Raises ValueError, nothing changed, if a train cannot."""
        before, bench = self.history.bench, history.bench
        if bench == before:
            self.history = history
            return
        layout = Layout(bench)
        points = self.points.fitted(bench, layout)
        ground = Ground(layout, points.travel)
        same_power = bench.supplies == before.supplies and bench.vehicles == before.vehicles
        filed = {train.id: train for train in before.trains}
        trains = {
            train.id: self.trains[train.id]
            if same_power and filed.get(train.id) == train and self._stays(self.trains[train.id], layout)
            else Rolling(bench, train, ground)
            for train in bench.trains
        }
        self.history, self.layout, self.points, self.ground, self.trains = history, layout, points, ground, trains
        was = filed_settings(before)
        for name, setting in filed_settings(bench).items():
            if setting != was.get(name, setting):
                self.points.throw(name, setting)
        self.supplies.fit(bench)
        self.units.fit(bench)
        self.electrics = Electrics(bench, layout)
        self._stalled &= set(trains)
        self.meter.lift(frozenset(terminals(bench)))
        if _wiring(bench) != _wiring(before):
            self.meter.forget()
        self.verdict, self.reached = None, frozenset()
        self._show()

    def _stays(self, train: Rolling, layout: Layout) -> bool:
        """Whether the track under every axle of a train is in the new layout as it was, wherever it lies there."""
        for spot in (spot for axles in train.spots for spot in axles):
            if spot.piece not in layout.pieces or layout.scale(spot.piece) != self.layout.scale(spot.piece):
                return False
            geometry = layout.geometry(spot.piece)
            if geometry != self.layout.geometry(spot.piece):
                return False
            path = geometry.tracks[spot.path]
            over = path.ends[0] if spot.s_mm < 0 else path.ends[1] if spot.s_mm > path.length_mm else None
            if over is not None and layout.neighbour(spot.piece, over) is not None:
                return False  # it had run out over an end that was open
        return True

    def _show(self) -> None:
        """The bench to be seen: edits made, points as thrown."""
        self.bench = with_settings(self.history.bench, self.points.settings)


def _wiring(bench: Bench) -> tuple[object, ...]:
    """What readings depend on: a change of colour or of where a train stands is none."""
    wires = tuple((wire.ends, wire.area_mm2, wire.metres) for wire in bench.wires)
    places = tuple(place for piece in bench.tracks for place in piece.places())
    motors = tuple(dataclasses.replace(motor, set=None) for motor in bench.motors)
    return wires, places, motors, bench.polarities, bench.lamps, bench.supplies, bench.bus
