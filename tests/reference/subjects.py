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


SUBJECTS: tuple[Subject, ...] = (
    Subject("Track and wheels", "test_wheels"),
    Subject("Turnouts", "test_turnouts"),
    Subject("Contact", "test_contact"),
    Subject("Wire and materials", "test_wire"),
    Subject("Circuits", "test_circuits"),
    Subject("Whole benches", "test_spice"),
    Subject("Which rail a frog must match", "test_truth_tables"),
    Subject("What a meter shows", "test_readings"),
    Subject("What makes a meter lie", "test_false_continuity"),
    Subject("Faults of one turnout", "test_faults"),
    Subject("Faults of vehicles", "test_vehicles"),
    Subject("Faults of turnouts among other track", "test_among_track"),
    Subject("What shows only while things move", "test_running"),
    Subject("Frogs fed from elsewhere", "test_districts"),
    Subject("What burns without a trip", "test_burning"),
    Subject("Motion", "test_motion"),
    Subject("Engines and wagons", "test_engines"),
)
