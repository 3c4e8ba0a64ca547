"""The subjects that are checked against the world, in the order of the page: one module each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module

from tests.reference.check import Check

__all__ = ["SUBJECTS", "Subject"]


@dataclass(frozen=True)
class Subject:
    """A heading of the page and the module of tests under it, which lists its CHECKS; `note`: what to know of them."""

    title: str
    module: str
    note: str = ""

    @property
    def checks(self) -> Sequence[Check]:
        found: Sequence[Check] = import_module(f"tests.reference.{self.module}").CHECKS
        return found


_TURNOUTS = """Of each row of RP-12.7 the length of the point rail, the point and heel angles and the lead are put in,
and the frog's number and its toe and heel lengths, at which it is cut free. That the first four are found again says
only that the rails were drawn so; the heel spread, closure rails, radii, spreads of the frog, the straight before it
and the place of the centres' crossing come out."""

_CONTACT = """How far along the rail a wheel touches, and by how much wheel and rail give, are the program's own choice
and the tools get the same: what is compared is which rails a wheel then meets."""

_WIRE = """Resistances are those at 20 °C; the program knows no other temperature, so that the sheets' factors and
coefficients of temperature have nothing of ours to stand beside. Nor have the sheets' formulas of hot wire: the
program tells overloads by ratings and warms no wire."""

_BENCHES = """ngspice and scipy get the network that the program has made of a bench: what is compared is how it is
solved. Whether the network is that of the bench is compared in the rows of trade practice below."""

_LIES = """A motor has two figures here. To the meter it is 12 V over what it takes running, 60 ohm for 0.2 A: a
stand-in for brushes and commutator at a milliampere, where motors without a decoder are found to read from 50 to over
200 ohm. The winding that moves the engine is 12 V over what it takes held still, 15 ohm for 0.8 A. Nothing joins the
two."""

_VEHICLES = """The test of every route takes each place by itself and tells no durations: what is momentary in the
trade's rows is a short here."""

SUBJECTS: tuple[Subject, ...] = (
    Subject("Track and wheels", "test_wheels"),
    Subject("Turnouts", "test_turnouts", _TURNOUTS),
    Subject("Contact", "test_contact", _CONTACT),
    Subject("Wire and materials", "test_wire", _WIRE),
    Subject("Circuits", "test_circuits"),
    Subject("Whole benches", "test_spice", _BENCHES),
    Subject("Which rail a frog must match", "test_truth_tables"),
    Subject("What a meter shows", "test_readings"),
    Subject("What makes a meter lie", "test_false_continuity", _LIES),
    Subject("Faults of one turnout", "test_faults"),
    Subject("Faults of vehicles", "test_vehicles", _VEHICLES),
    Subject("Faults of turnouts among other track", "test_among_track"),
    Subject("What shows only while things move", "test_running"),
    Subject("Frogs fed from elsewhere", "test_districts"),
    Subject("What burns without a trip", "test_burning"),
    Subject("Motion", "test_motion"),
    Subject("Engines and wagons", "test_engines"),
)
