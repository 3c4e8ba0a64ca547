"""A check against the world: a figure of somebody else's beside the same figure as the program computes it."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import pytest

__all__ = ["Answer", "Check", "Obtained", "Sense", "Source", "every", "row"]

Answer = float | str
Obtained = Literal["retrieved", "memory", "common practice", "tool"]
Sense = Literal["equal", "at most", "at least"]

# A difference under this share of the figure is the rounding of floating point, not a difference.
NOISE = 1e-9


@dataclass(frozen=True)
class Source:
    """Where a figure is from: the document with its edition, or the tool, and how it was obtained.

    `program` is the command of a tool that is no Python package and must be installed.
    """

    document: str
    obtained: Obtained
    where: str = ""
    program: str = ""

    def __str__(self) -> str:
        if self.obtained == "common practice":
            return f"common practice, no source: {self.document}"
        return f"{self.document} (from memory)" if self.obtained == "memory" else self.document


@dataclass(frozen=True)
class Check:
    """One figure or one statement of the world's; `ours` computes what the program says, when it is asked.

    `within` is in `unit`, `because` says where that tolerance comes from. With the sense "at most" or "at least" the
    published figure is a limit that ours must keep. A statement is equal or wrong: it has no tolerance. Where
    `published` is the greatest difference allowed from a tool, ours is the greatest found and is shown as kept, since
    its digits are those of one machine's rounding.

    `differs` says why ours is another one where it is: such a figure stands on the page as one that does not hold, and
    its test fails when it comes to hold after all.
    """

    name: str
    source: Source
    published: Answer
    ours: Callable[[], Answer]
    unit: str = ""
    within: float = 0.0
    because: str = ""
    sense: Sense = "equal"
    differs: str = ""

    def as_told(self, ours: Answer) -> bool:
        """Whether ours is as the page says: as published, or not where it is said to differ."""
        return self.holds(ours) != bool(self.differs)

    def holds(self, ours: Answer) -> bool:
        if isinstance(self.published, str) or isinstance(ours, str):
            return ours == self.published
        if not math.isfinite(ours):
            return False
        slack = self.within + NOISE * abs(self.published)
        if self.sense == "at most":
            return ours <= self.published + slack
        if self.sense == "at least":
            return ours >= self.published - slack
        return abs(ours - self.published) <= slack

    @property
    def expected(self) -> str:
        """What ours should be, in words: the published figure, the tolerance and where that comes from."""
        words = _limit(self) + _said(self.published, self.unit)
        if self.within:
            words += f" within {_said(self.within, self.unit)}"
        return f"{words} ({self.because})" if self.because else words

    def got(self, ours: Answer) -> str:
        """Ours in words, with its difference where it is a figure."""
        words = _exactly(ours, self.unit)
        apart = _difference(self, ours)
        return f"{words}, {apart} from the published one" if apart not in {"", "0"} else words


def every(checks: Sequence[Check], variants: Collection[str] = ()) -> pytest.MarkDecorator:
    """Runs a test once for each check, named as the check is; those named in `variants` are slow tests.

    Raises ValueError if two have one name, or if a variant is none of them.
    """
    names = [check.name for check in checks]
    if len(set(names)) != len(names):
        raise ValueError("two checks have one name: " + ", ".join(sorted({n for n in names if names.count(n) > 1})))
    if strange := set(variants) - set(names):
        raise ValueError("no checks of these names: " + ", ".join(sorted(strange)))
    return pytest.mark.parametrize("check", [_parameter(check, check.name in variants) for check in checks])


def _parameter(check: Check, variant: bool) -> Any:
    marks = [pytest.mark.programs(check.source.program)] if check.source.program else []
    marks += [pytest.mark.slow] if variant else []
    return pytest.param(check, id=check.name, marks=marks)


def row(check: Check, ours: Answer) -> str:
    """The check as a line of the page: name, published, ours, difference, tolerance, source."""
    cells = (
        check.name,
        _limit(check) + _said(check.published, check.unit),
        "kept" if check.source.obtained == "tool" and check.sense != "equal" else _said(ours, check.unit),
        _difference(check, ours),
        f"**differs**: {check.differs}" if check.differs else _tolerance(check),
        str(check.source),
    )
    return "| " + " | ".join(cell.replace("|", "/").replace("\n", " ") for cell in cells) + " |"


def _tolerance(check: Check) -> str:
    return f"{check.because} ({_figure(check.within)})" if check.within else check.because


def _limit(check: Check) -> str:
    return "" if check.sense == "equal" else f"{check.sense} "


def _said(answer: Answer, unit: str) -> str:
    if isinstance(answer, str):
        return answer
    return _figure(answer) if unit == "1" else f"{_figure(answer)} {unit}".rstrip()


def _exactly(answer: Answer, unit: str) -> str:
    """With digits enough to tell it from the figure that it missed."""
    return answer if isinstance(answer, str) else f"{answer:.9g} {'' if unit == '1' else unit}".rstrip()


def _figure(value: float) -> str:
    return f"{value:.5g}"


def _difference(check: Check, ours: Answer) -> str:
    if check.sense != "equal" or isinstance(ours, str) or isinstance(check.published, str):
        return ""
    # to a hundredth of the tolerance: below that is the rounding of one machine
    step = max(check.within / 100, NOISE * max(abs(check.published), 1e-3))
    steps = round((ours - check.published) / step)
    return f"{steps * step:+.2g}" if steps else "0"
