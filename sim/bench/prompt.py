"""The prompts of a level: one short sentence after another, each beside the thing to touch, until something is so."""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does
from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from sim.bench.fields import ByVerb, declared
from sim.bench.shapes import Choice, Name, Pair, Text, Whole, YesNo

__all__ = ["CONDITIONS", "SPOTS", "Condition", "Prompt"]

SPOTS = ("plug", "rocker", "lever", "meter", "throttle", "test")
"""What a prompt can stand beside on the instruments and the job sheet."""

_TERMINAL = Text(130, empty=False, what="a terminal", like="T1.frog")


@dataclass(frozen=True)
class Stalled:
    """A train is asked to run and gets no volts."""

    train: str = declared(Name(), "a train that stands without volts", key="stalled")


@dataclass(frozen=True)
class Runs:
    """A train runs by itself."""

    train: str = declared(Name(), "a train that runs", key="runs")


@dataclass(frozen=True)
class Over:
    """An engine runs over the frog of a piece and off it again, fed, with the points in a position."""

    piece: str = declared(Name(), "the piece over whose frog an engine runs", key="over")
    setting: str = declared(Choice("normal", "diverging"), "how its points stand then", default="normal")


@dataclass(frozen=True)
class Joined:
    """A wire joins two terminals, and none goes from the first of them to where it came from any more."""

    ends: tuple[str, str] = declared(Pair(_TERMINAL), "two terminals that a wire joins", key="wired")
    off: str | None = declared(
        _TERMINAL, "a terminal to which no wire goes from the first of these any more", default=None, shown="none"
    )


@dataclass(frozen=True)
class Unplugged:
    """The supply is unplugged, or plugged in."""

    unplugged: bool = declared(YesNo(), "true: the supply is unplugged; false: it is plugged in", key="unplugged")


@dataclass(frozen=True)
class Live:
    """The supply gives its volts: on, plugged in, breaker closed."""

    live: bool = declared(YesNo(), "true: the supply gives its volts; false: it does not", key="live")


@dataclass(frozen=True)
class Read:
    """So many of the four readings of the frogs are taken, the supply unplugged."""

    count: int = declared(Whole(1, 1000), "how many readings of the frogs are taken", key="read")


@dataclass(frozen=True)
class Shorted:
    """The breaker has opened, or it has been put right."""

    short: bool = declared(YesNo(), "true: the breaker is open; false: it is not", key="short")


@dataclass(frozen=True)
class AsSolved:
    """Every rail is fed as the worked solution feeds it, or it is not."""

    solved: bool = declared(YesNo(), "true: every rail is fed as in the solution; false: not so", key="solved")


@dataclass(frozen=True)
class Passed:
    """The test of every route has passed."""

    passed: bool = declared(YesNo(), "true: the test of every route has passed", key="passed")


Condition: TypeAlias = Stalled | Runs | Over | Joined | Unplugged | Live | Read | Shorted | AsSolved | Passed

CONDITIONS: dict[str, type[Condition]] = {
    "stalled": Stalled,
    "runs": Runs,
    "over": Over,
    "wired": Joined,
    "unplugged": Unplugged,
    "live": Live,
    "read": Read,
    "short": Shorted,
    "solved": AsSolved,
    "passed": Passed,
}
"""Each sort of condition by the key that tells it."""


@dataclass(frozen=True)
class Prompt:
    """One sentence, where it stands, and what ends it."""

    say: str = declared(Text(200, empty=False), "one short sentence")
    at: str = declared(
        Text(130, empty=False, what="a terminal, a train or part of the instruments", like="T1.frog"),
        f"what it stands beside: a terminal, a train, or one of {', '.join(SPOTS)}",
    )
    until: Condition = declared(ByVerb("what ends a prompt", CONDITIONS), "what ends it")
