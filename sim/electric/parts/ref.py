"""The name of a part of a circuit: a value, made where the part is made and asked for its fields, never taken apart."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["PartRef"]


class PartRef(NamedTuple):
    """What a part is, whose it is, and which of its owner's parts it is. No two parts of a circuit have the same.

    The kinds of a bench, with owner and detail:

    * "supply": the supply; "lamp": the lamp; "load": the vehicle, "train:index"
    * "bus": the tap that the bus wire goes to; its side "A" or "B"
    * "contact": the motor; the changeover's number from 0, and "normal" or "diverging"
    * "gap", "bond", "jumper": the piece; the place's name inside it, "closure.left"
    * "blade": the piece; the side
    * "joint": the piece; the end, and the side
    * "rail": the piece; the first of two lengths of plain rail, "left/0"
    * "wire": none; the wire's number from 0
    * "unit": the automatic polarity unit; "a" or "b"
    * "wheel": the vehicle; axle from 1, count of axles, side, and the node that it stands on
    * "pickup": the vehicle; axle, count of axles, side
    * "meter": none; the meter's cell or its load

    In every kind the same place of `detail` holds the same type, so that any two sort, by kind first.
    """

    kind: str
    owner: str = ""
    detail: tuple[str | int, ...] = ()

    def __str__(self) -> str:
        """For logs and error messages: "contact M1 0 normal"."""
        return " ".join(str(word) for word in (self.kind, self.owner, *self.detail) if word != "")
