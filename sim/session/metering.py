"""The meter on the bench: where its tips are, what it shows, and the readings that are kept on the sheet beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sim.bench.model import Bench
from sim.electric.circuit import Circuit
from sim.electric.meter import read
from sim.session.acts import DialName
from sim.session.contacts import Measured, found_contacts
from sim.session.frogs import CLOSED_OHMS, OPEN_OHMS, pair_of
from sim.session.points import setting_of
from sim.session.snapshot import MeterView, ReadingView, Taken
from sim.wiring.names import tab
from sim.wiring.probe import alternating

__all__ = ["Meter", "Noted"]


class Noted(NamedTuple):
    """A reading between any two terminals: the tips' terminals, how the points stand, ohms, and how it is read."""

    red: str
    black: str
    points: Mapping[str, str]
    ohms: float | None
    closed: bool
    open: bool


def figures(ohms: float | None) -> float | None:
    """Ohms in the figures that are worth a new sentence."""
    return None if ohms is None else float(f"{ohms:.2g}")


class Meter:
    """A meter that lies there with its knob and two tips, and goes on reading.

    readings: the latest of every frog against each stock rail in each position, in the order first taken.
    found: contacts of motors that its readings have proved; what has been found stays found.
    taken: the readings taken at the right time, ohms unplugged or volts under power, each once
    cautions: how often ohms were measured with a supply plugged in; plugging in while the tips rest where they were
        sounds the caution, but nothing is measured by it.
    """

    def __init__(self) -> None:
        """Off, tips in the air."""
        self.dial: DialName = "off"
        self.red: str | None = None
        self.black: str | None = None
        self.cautions = 0
        self.readings: dict[tuple[str, str, str], ReadingView] = {}
        self.taken: frozenset[Taken] = frozenset()
        self.found: frozenset[tuple[str, int]] = frozenset()
        self._ohms: dict[tuple[object, ...], Measured] = {}
        self._noted: dict[tuple[object, ...], tuple[object, ...]] = {}
        self._value: float | None = None
        self._beeps = False
        self._caution = False
        self._touch: tuple[str, str | None, str | None] | None = None

    @property
    def view(self) -> MeterView:
        """As it is seen."""
        return MeterView(self.dial, self.red, self.black, self._value, self._beeps, self._caution, self.taken)

    @property
    def reading(self) -> bool:
        """True while it is switched on and both tips touch metal."""
        return self.dial != "off" and self.red is not None and self.black is not None

    def lift(self, terminals: frozenset[str]) -> None:
        """Take the tips off what an edit has removed."""
        self.red = self.red if self.red in terminals else None
        self.black = self.black if self.black in terminals else None

    def forget(self) -> None:
        """The wiring has changed: readings taken before say nothing of it."""
        self.readings.clear()
        self._noted.clear()

    def rest(self) -> None:
        """Nothing to read: off, or a tip in the air."""
        self._value, self._beeps, self._caution = None, False, False
        self._touch = None

    def noted(self, bench: Bench, travel: Mapping[str, float]) -> Noted | None:
        """The ohms between two terminals that are no frog and stock rail, if that is news; the supply unplugged."""
        red, black = self.red, self.black
        ohms = self.reading and self.dial in ("ohms", "buzzer") and not self._caution
        if not ohms or red is None or black is None or red == black or pair_of(bench, red, black) is not None:
            return None
        settings = {piece: setting_of(at) for piece, at in travel.items()}
        points = {piece: setting for piece, setting in settings.items() if setting is not None}
        if len(points) < len(settings):
            return None
        closed = self._value is not None and self._value < CLOSED_OHMS
        noted = Noted(red, black, points, self._value, closed, self._value is None or self._value > OPEN_OHMS)
        key = (*sorted((red, black)), *sorted(points.items()))
        if self._noted.get(key) == (told := (closed, noted.open, figures(self._value))):
            return None
        self._noted[key] = told
        return noted

    def look(
        self, bench: Bench, net: Circuit, travel: Mapping[str, float], *, joined: bool, before_power: bool
    ) -> ReadingView | None:
        """Read, and keep the reading if it is one of a frog's four; returns that reading when it is news.

        Args:
            net: the circuit with vehicles as a meter meets them.
            joined: a supply is plugged in.
        """
        ohms = self.dial in ("ohms", "buzzer")
        self._caution = ohms and joined
        touch = (self.dial, self.red, self.black)
        if self._caution and touch != self._touch:
            self.cautions += 1
        self._touch = touch
        red, black = self.red, self.black
        if red is None or black is None:
            return None
        shown = read(
            net, tab(bench, red), tab(bench, black), "ohms" if ohms else "volts", alternating=alternating(bench)
        )
        self._value, self._beeps = shown.value, shown.beeps and self.dial == "buzzer"
        settings = tuple((piece, setting_of(at)) for piece, at in sorted(travel.items()))
        if any(setting is None for _, setting in settings) or red == black:
            return None
        if not (ohms and joined):
            first, second = sorted((red, black))
            taken = Taken(ohms, (first, second), tuple((piece, str(at)) for piece, at in settings))
            if taken not in self.taken:
                self.taken |= {taken}
            if ohms:
                self._find(bench, Measured(first, second, taken.points, self._value))
        return self._kept(bench, red, black, dict(settings), ohms, joined, before_power)

    def take_up(
        self,
        cautions: int,
        readings: Iterable[ReadingView],
        taken: Iterable[Taken],
        found: Iterable[tuple[str, int]],
    ) -> None:
        """Go on from what was remembered."""
        self.cautions = cautions
        self.found = frozenset(found)
        self.readings = {(r.piece, r.setting, r.side): r for r in readings}
        self.taken |= frozenset(taken)

    def _find(self, bench: Bench, row: Measured) -> None:
        """A reading on a motor's screws may be the last that was wanting to prove a contact."""
        key = row[:3]
        motors = {motor.id for motor in bench.motors}
        if self._ohms.get(key) == row or not {row.a.split(".")[0], row.b.split(".")[0]} <= motors:
            return
        self._ohms[key] = row
        self.found |= found_contacts(bench, self._ohms.values())

    def _kept(
        self, bench: Bench, red: str, black: str, settings: Mapping[str, str | None], ohms: bool, joined: bool,
        before_power: bool,
    ) -> ReadingView | None:  # fmt: skip
        pair = pair_of(bench, red, black) if ohms else None
        if pair is None:
            return None
        piece, side = pair
        setting, value = settings[piece] or "", self._value
        reading = ReadingView(
            piece, setting, side, value, value is not None and value < CLOSED_OHMS, value is None or value > OPEN_OHMS,
            not joined, before_power,
        )  # fmt: skip
        key = (piece, setting, side)
        kept = self.readings.get(key)
        # one spoilt by a supply that is joined does not replace one that was taken as it should be
        if kept == reading or (kept is not None and kept.unplugged and joined):
            return None
        self.readings[key] = reading
        return reading
