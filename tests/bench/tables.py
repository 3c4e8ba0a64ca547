"""Tables of a bench file that many tests put together, as text: turnouts, their motors and contacts, wires."""

from __future__ import annotations

__all__ = ["CONTACT", "motor", "turnout", "wires"]

CONTACT = """\
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
"""
"""Of the motor before it."""


def turnout(piece: str = "T1", *, hand: str = "right", more: str = "") -> str:
    """A No. 6 in HO; `more`: further lines of its table."""
    return f'[[track]]\nid = "{piece}"\nkind = "turnout"\nscale = "HO"\nhand = "{hand}"\nnumber = 6\n{more}'


def motor(name: str = "M1", drives: str = "T1", *, more: str = "") -> str:
    """The motor of one piece, without its contacts; `more`: further lines of its table."""
    return f'[[motor]]\nid = "{name}"\ndrives = "{drives}"\n{more}'


def wires(*ends: tuple[str, str]) -> str:
    """A wire for each two ends."""
    return "".join(f'[[wire]]\nends = ["{a}", "{b}"]\n' for a, b in ends)
