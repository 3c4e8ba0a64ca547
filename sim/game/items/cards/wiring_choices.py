"""What can be chosen for a wire: colours, sizes as they are sold, lengths, numbers; each choice another wire."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sim.bench.model import Bench, Wire, awg_mm2
from sim.game.draw.slips.choices import Choice, Line, stepper

__all__ = ["AWG", "CLOTHS", "ENDS", "METRES", "MM2", "changed_wire", "typed_number", "wire_lines"]

CLOTHS = ("rose", "ochre", "violet", "green", "cream", "steel", "grey")

MM2 = (0.14, 0.25, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0)
"""Cross-sections in mm²: those of IEC 60228 from 0.5 on, 0.14 and 0.25 for fine hook-up wire (common practice)."""

AWG = (26, 24, 22, 20, 18, 16, 14, 12)
"""Gauges that hook-up and bus wire is sold in, thin to thick (common practice, no source)."""

METRES = (
    0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0,
)  # fmt: skip
"""Lengths that the slip steps through, in metres; our choice."""

ENDS = ("end-first", "end-second")
"""The choices that take the one or the other end of a wire in hand, to be put on another terminal."""

_MOVE = ("Move end", " ")  # the second line goes on with the first
_LONGEST_NUMBER = 4


def _size_words(wire: Wire) -> str:
    return f"{wire.area_mm2:.3g} mm²" if wire.awg is None else f"AWG {wire.awg}"


def wire_lines(wire: Wire, ends: tuple[str, str]) -> tuple[Line, ...]:
    """The lines of a wire's slip; `ends`: where its two ends are, in words."""
    thinner, thicker = (_step(wire, by) for by in (-1, 1))
    shorter, longer = (_length(wire.metres, by) for by in (-1, 1))
    return (
        Line("Colour", tuple(Choice(name, name, "cloth", name == wire.colour) for name in CLOTHS)),
        stepper("Size", "size", _size_words(wire), thinner is not None, thicker is not None),
        Line(
            "",
            (
                Choice("mm2", "in mm²", "plain" if wire.awg is not None else "chosen"),
                Choice("awg", "in AWG", "plain" if wire.awg is None else "chosen"),
            ),
        ),
        stepper("Length", "length", f"{wire.metres:g} m", shorter is not None, longer is not None),
        stepper("Number", "number", wire.number or "none", wire.number is not None),
        *(Line(label, (Choice(name, f"at {end}"),)) for label, name, end in zip(_MOVE, ENDS, ends, strict=True)),
        Line("", (Choice("remove", "Take it off"), Choice("close", "Close"))),
    )


def _nearest(values: tuple[float, ...], to: float) -> int:
    return min(range(len(values)), key=lambda k: abs(values[k] / to - 1) if to else values[k])


def _step(wire: Wire, by: int) -> Wire | None:
    """The wire one size thicker or thinner; None at the end of what is sold."""
    if wire.awg is not None:
        finer = [awg for awg in AWG if (awg < wire.awg if by > 0 else awg > wire.awg)]
        return _in_awg(wire, max(finer) if by > 0 else min(finer)) if finer else None
    sizes = [mm2 for mm2 in MM2 if (mm2 > wire.mm2 + 1e-9 if by > 0 else mm2 < wire.mm2 - 1e-9)]
    return replace(wire, mm2=min(sizes) if by > 0 else max(sizes)) if sizes else None


def _in_awg(wire: Wire, awg: int) -> Wire:
    return replace(wire, mm2=awg_mm2(awg), awg=awg)


def _length(metres: float, by: int) -> float | None:
    steps = [m for m in METRES if (m > metres + 1e-9 if by > 0 else m < metres - 1e-9)]
    return (min(steps) if by > 0 else max(steps)) if steps else None


def _numbers(wires: Iterable[Wire]) -> set[int]:
    return {int(w.number[1:]) for w in wires if w.number and w.number[0] == "W" and w.number[1:].isdecimal()}


def _number(bench: Bench, index: int, by: int) -> str | None:
    """The next number that no other wire has; down from the lowest of them there is none."""
    own = bench.wires[index].number
    taken = _numbers(wire for k, wire in enumerate(bench.wires) if k != index)
    now = int(own[1:]) if own and own[:1] == "W" and own[1:].isdecimal() else 0
    now += by
    while now in taken:
        now += by
    return f"W{now}" if now > 0 else None


def typed_number(bench: Bench, index: int, digit: str) -> Wire:
    """The wire with a digit written after those on its sleeve; "" wipes the last of them off."""
    wire = bench.wires[index]
    digits = wire.number[1:] if wire.number and wire.number[:1] == "W" else ""
    digits = digits[:-1] if not digit else (digits + digit).lstrip("0")[:_LONGEST_NUMBER]
    return replace(wire, number=f"W{digits}" if digits else None)


def changed_wire(bench: Bench, index: int, choice: str) -> Wire:
    """The wire after a choice on its slip; the same wire where the choice changes nothing."""
    wire = bench.wires[index]
    if choice in CLOTHS:
        return replace(wire, colour=choice)
    match choice:
        case "size-" | "size+":
            return _step(wire, 1 if choice == "size+" else -1) or wire
        case "mm2" if wire.awg is not None:
            return replace(wire, awg=None, mm2=MM2[_nearest(MM2, wire.area_mm2)])
        case "awg" if wire.awg is None:
            areas = tuple(awg_mm2(awg) for awg in AWG)
            return _in_awg(wire, AWG[_nearest(areas, wire.area_mm2)])
        case "length-" | "length+":
            metres = _length(wire.metres, 1 if choice == "length+" else -1)
            return wire if metres is None else replace(wire, metres=metres)
        case "number-" | "number+":
            return replace(wire, number=_number(bench, index, 1 if choice == "number+" else -1))
    return wire
