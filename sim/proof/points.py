"""A piece with blades under test: its two settings, the bench at rest in each, its throw, and the runs over it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sim.bench.level import SETTINGS
from sim.proof.against import AGAINST
from sim.proof.around import Around
from sim.proof.faults import Quiet
from sim.proof.judge import Judge
from sim.proof.quiet import throwing
from sim.proof.settings import Travel, throw_travels, with_setting
from sim.proof.states import Batch, Direction, contact_states
from sim.proof.subject import PICKUPS, Subject
from sim.proof.verdict import Finding
from sim.train.fleet import tested

__all__ = ["DIRECTIONS", "Points", "other_setting", "path_batch"]

DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")


def other_setting(setting: str) -> str:
    """The other one of "normal" and "diverging"."""
    return SETTINGS[1 - SETTINGS.index(setting)]


def path_batch(
    subject: Subject, travel: Travel, piece: str, index: int, directions: tuple[Direction, ...]
) -> Batch | None:
    """The states of all vehicles of a test on one path."""
    vehicles = tested(subject.bench, subject.layout.scale(piece).name)
    return contact_states(subject.layout, travel, piece, index, vehicles, directions)


class Points:
    """One piece with blades, the rest of the bench as filed.

    judges, quiet: of both settings, by "normal" and "diverging"
    along: for each path its runs, set for it; against: the runs with the points against it
    """

    def __init__(self, subject: Subject, start: Travel, piece: str) -> None:
        """`start`: the travel of every piece as filed."""
        self.piece = piece
        ends = {setting: with_setting(start, piece, setting) for setting in SETTINGS}
        self.along: list[Batch | None] = []
        self.against: list[Batch | None] = []
        for index, path in enumerate(subject.layout.geometry(piece).tracks):
            setting = path.needs.get("", "normal")
            wrong = ends[other_setting(setting)]
            self.along.append(path_batch(subject, ends[setting], piece, index, DIRECTIONS))
            self.against.append(path_batch(subject, wrong, piece, index, AGAINST))
        rails = {node for batch in (*self.along, *self.against) if batch is not None for node in batch.nodes}
        through = [{**start, piece: at} for at in throw_travels(subject.bench, subject.layout, piece)]
        around = Around(subject, (*ends.values(), *through), sorted(rails.union(PICKUPS)))
        self.judges: Mapping[str, Judge] = {setting: Judge(subject, travel, around) for setting, travel in ends.items()}
        self.quiet: Mapping[str, Quiet] = {setting: judge.quiet() for setting, judge in self.judges.items()}
        self._through = [Judge(subject, travel, around) for travel in through]

    def throwing(self) -> Finding | None:
        """A fault that only lasts while the points are thrown."""
        if any(quiet.fault is not None for quiet in self.quiet.values()):
            return None
        return throwing(self.piece, self._unlike())

    def _unlike(self) -> Iterator[Judge]:
        """The throw's places in which other switches are made than at its ends or earlier in the throw."""
        seen = {judge.made() for judge in self.judges.values()}
        for judge in self._through:
            if judge.made() not in seen:
                seen.add(judge.made())
                yield judge
