"""What every piece of track has, whatever its formation."""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does
from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import wraps
from types import MappingProxyType
from typing import Any, ClassVar, Literal, Self, TypeVar

from sim.bench.faults import at_key
from sim.bench.fields import Problem, declared
from sim.bench.point_set import PointSet
from sim.bench.shapes import Choice, Entries, Name, Text
from sim.bench.table import Table
from sim.bench.vocabulary import RAILS, SCALES

__all__ = ["JOINTS", "ROLE_WORDS", "Piece", "Place", "PlaceKind", "Role", "Section", "Side", "told_once"]

T = TypeVar("T")

_SIDES = ("left", "right")

JOINTS = ("metal", "insulated", "bad")
"""What holds two rail ends together: a metal joiner, an insulated one, a metal one that conducts badly."""


Side = Literal["left", "right"]

PlaceKind = Literal["gap", "bond", "jumper"]

Role = Literal["stock", "blade", "frog", "exit", "rail"]
"""What a section is to its piece: an outer rail that no gap parts, a blade with its closure rail, a frog, a rail that
leads away from a frog, or a rail of track without any of these."""

ROLE_WORDS: Mapping[Role, str] = MappingProxyType(
    {
        "stock": "unbroken, beside the blade",
        "blade": "from the blade to the frog",
        "frog": "where two rails cross",
        "exit": "beyond the frog",
    }
)
"""What a rail is by its role, in a few words; plain rail needs none."""


def told_once(method: Callable[[Any], T]) -> Callable[[Any], T]:
    """A method without arguments of what never changes: its answer is kept with the thing itself."""
    name = f"_{method.__name__}"

    @wraps(method)
    def told(self: Any) -> T:
        kept = self.__dict__
        if name not in kept:
            kept[name] = method(self)
        found: T = kept[name]
        return found

    return told


@dataclass(frozen=True)
class Section:
    """A rail that is one conductor. ``name``: in full, "T1.blade.left"; ``words``: "left closure rail".

    ``side``: of the piece, as its words have it; None for one that is on neither.
    """

    name: str
    words: str
    role: Role
    side: Side | None = None


@dataclass(frozen=True)
class Place:
    """A place on a piece where metal is parted or joined.

    ``name``: in full, "T1.gap.closure.left". ``a``, ``b``: the two sections, in full, that it joins. ``state``: how it
    is now; ``states``: all that it can be; ``usual``: as such a piece comes. ``words``: "left closure gap";
    ``side``: of the piece, as they have it. ``key``: how it is named inside its own piece, "closure.left".
    """

    name: str
    kind: PlaceKind
    a: str
    b: str
    state: str
    states: tuple[str, ...]
    usual: str = ""
    words: str = ""
    side: Side | None = None

    @property
    def key(self) -> str:
        return self.name.split(".", 2)[2]

    @property
    def sort(self) -> str:
        """Its words without its side: "closure gap"."""
        return self.words.removeprefix(f"{self.side} ")


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A piece of track, base of all formations. A formation is a subclass, frozen and keyword-only too.

    A subclass sets ``KINDS``, the kind words it serves, ``ENDS``, the names of its ends, first end first, and
    ``END_WORDS``, what those are called in a sentence where not "end a"; declares its further fields; and says which
    rails, places and sets of points it has. Further rules of its own stand in ``problems``.
    """

    KINDS: ClassVar[tuple[str, ...]] = ()
    ENDS: ClassVar[tuple[str, ...]] = ()
    END_WORDS: ClassVar[Mapping[str, str]] = MappingProxyType({})

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

    def rails(self) -> tuple[Section, ...]:
        """Its sections."""
        return ()

    @told_once
    def sections(self) -> tuple[str, ...]:
        """Names of its sections, in full."""
        return tuple(rail.name for rail in self.rails())

    def section(self, name: str) -> Section:
        """The section of that full name. Raises KeyError if it has none."""
        for rail in self.rails():
            if rail.name == name:
                return rail
        raise KeyError(name)

    def rail_words(self, name: str) -> str:
        """A rail in words, by its full name: a section, or what is of plastic. Raises KeyError for another name."""
        return self.section(name).words

    @property
    def frogs(self) -> tuple[str, ...]:
        """Names of its sections that are frogs, in full; one of plastic is none."""
        return tuple(rail.name for rail in self.rails() if rail.role == "frog")

    def stock_rail(self, side: Side) -> str | None:
        """The section, in full, that is of that side whichever way its points stand; None for one that has none."""
        return next((rail.name for rail in self.rails() if rail.role == "stock" and rail.side == side), None)

    def end_words(self, end: str) -> str:
        """An end in words: "the toe", "end a"."""
        return self.END_WORDS.get(end, f"end {end}")

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
    def point_sets(self) -> tuple[PointSet, ...]:
        """Its sets of points; none if it has no blades."""
        return ()

    def with_setting(self, setting: str, point_set: str | None = None) -> Self:
        """The same piece with a set of points set.

        Args:
            point_set: its id, in full; None for the only one that the piece has.

        Raises ValueError if it has no blades, or the setting is unknown; KeyError for a set that it has not, or None
        where it has several.
        """
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
