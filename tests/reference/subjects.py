"""The subjects that are checked against the world, in the order of the page: one module each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module

from tests.reference.check import Check

__all__ = ["SUBJECTS", "Subject"]


@dataclass(frozen=True)
class Subject:
    """A heading of the page and the module of tests under it, which lists its CHECKS."""

    title: str
    module: str

    @property
    def checks(self) -> Sequence[Check]:
        found: Sequence[Check] = import_module(f"tests.reference.{self.module}").CHECKS
        return found


SUBJECTS: tuple[Subject, ...] = (
    Subject("Track and wheels", "test_wheels"),
    Subject("Turnouts", "test_turnouts"),
    Subject("Contact", "test_contact"),
)
