"""What every piece of track has, whatever its formation."""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does
from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import ClassVar, Literal, Self

from sim.bench.faults import at_key
from sim.bench.fields import Problem, declared
from sim.bench.shapes import Choice, Entries, Name, Text
from sim.bench.table import Table
from sim.bench.vocabulary import RAILS, SCALES

__all__ = ["JOINTS", "Piece", "Place"]

_SIDES = ("left", "right")

JOINTS = ("metal", "insulated", "bad")
"""What holds two rail ends together: a metal joiner, an insulated one, a metal one that conducts badly."""


@dataclass(frozen=True)
class Place:
    """A place on a piece where metal is parted or joined.

    ``name``: in full, "T1.gap.closure.left". ``a``, ``b``: the two sections, in full, that it joins. ``state``: how it
    is now; ``states``: all that it can be; ``usual``: as such a piece comes. ``key``: how it is named inside its own
    piece, "closure.left".
    """

    name: str
    kind: Literal["gap", "bond", "jumper"]
    a: str
    b: str
    state: str
    states: tuple[str, ...]
    usual: str = ""

    @property
    def key(self) -> str:
        return self.name.split(".", 2)[2]


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A piece of track, base of all formations. A formation is a subclass, frozen and keyword-only too.

    A subclass sets ``KINDS``, the kind words it serves, and ``ENDS``, the names of its ends, first end first; declares
    its further fields; and says which sections and places it has. Further rules of its own stand in ``problems``.
    """

    KINDS: ClassVar[tuple[str, ...]] = ()
    ENDS: ClassVar[tuple[str, ...]] = ()

    id: str = declared(Name(), "its name on the bench")
    kind: str = declared(Name(), "which formation it is")
    scale: str | None = declared(
        Choice(*SCALES),
        "a row of the track and wheel standards",
        default=None,
        shown="that of the piece it joins, else HO",
    )
    rail: str | None = declared(Choice(*RAILS), "rail section", default=None, shown="by scale")
    joins: Table[str, str] = declared(
        Entries(Text(130, empty=False, what="an end of another piece", like="T1.main"), longest=8),
        "which of its ends meets which end of another piece; each joint is written once",
        default=Table(),
    )
    joint: Table[str, str] = declared(
        Entries(Choice(*JOINTS), keys=("left", "right")),
        "what joins the rails at the first of its ends in joins; left and right as seen from there into this piece",
        default=Table(),
        needs=("joins",),
        shown="metal",
    )
    joints: Table[str, Table[str, str]] = declared(
        Entries(Entries(Choice(*JOINTS), keys=("left", "right")), longest=8),
        "the same for its further ends in joins, by end: { b = { left = \"insulated\" } }",
        default=Table(),
        needs=("joins",),
        shown="metal",
    )

    def sections(self) -> tuple[str, ...]:
        """Names of its sections, in full: "T1.frog"."""
        return ()

    def nodes(self) -> tuple[str, ...]:
        """Names of its electrical nodes, in full: its sections, a long rail of plain track in lengths ("P1.left/0")."""
        return self.sections()

    def places(self) -> tuple[Place, ...]:
        """Its places with the state each is in, defaults included."""
        return ()

    def place(self, name: str) -> Place:
        """The place of that full name. Raises KeyError if it has none."""
        for place in self.places():
            if place.name == name:
                return place
        raise KeyError(name)

    def with_place(self, name: str, to: str) -> Self:
        """The same piece with one place in another state. Raises KeyError, or ValueError for an unknown state."""
        raise KeyError(name)

    @property
    def setting(self) -> str | None:
        """How its points stand as filed, "normal" or "diverging"; None if it has no blades."""
        return None

    def with_setting(self, setting: str) -> Self:
        """The same piece with its points set. Raises ValueError if it has no blades or the word is unknown."""
        raise ValueError(f"{self.id} has no blades to set to {setting}")

    @property
    def joint_end(self) -> str | None:
        """The end whose joint ``joint`` tells of: the first of its ends that stands in ``joins``."""
        return next((end for end in self.ENDS if end in self.joins), None)

    def joint_states(self, end: str) -> tuple[str, str]:
        """The states of the left and right joiner of the joint that this piece writes at ``end``."""
        told = self.joint if end == self.joint_end else self.joints.get(end, Table())
        return told.get("left", "metal"), told.get("right", "metal")

    def with_joins(self, met: Mapping[str, str], states: Mapping[str, tuple[str, str]]) -> Self:
        """The same piece meeting these ends (its own end: the other's), with the joiners of each of its ends."""
        bare = dataclasses.replace(self, joins=Table(met), joint=Table(), joints=Table())
        told = {
            end: Table((side, state) for side, state in zip(_SIDES, states[end], strict=True) if state != "metal")
            for end in met
            if end in states
        }
        first = bare.joint_end
        joint = told.pop(first, Table()) if first is not None else Table()
        further = Table((end, sides) for end, sides in told.items() if sides)
        return dataclasses.replace(bare, joint=joint, joints=further)

    def problems(self) -> Iterable[Problem]:
        """What is wrong between its own fields, beyond what each field's declaration says. A subclass adds to it."""
        for end in self.joints:
            if end not in self.joins:
                yield Problem(at_key("joints", end), "an end that stands in no joins", "an end that stands in joins")
            elif end == self.joint_end:
                yield Problem(at_key("joints", end), "the first of its ends in joins", "joint for that one")
