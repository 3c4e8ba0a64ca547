"""Rows of the trade's tables of constructions (A1) and faults (D1), each as a bench and what is said of it.

What is said is in the words of tests.proof.saying; left and right are the leg that the points are set for. Rows that
are named after no table are our own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from tests.proof.benches import Desk, setting_for

__all__ = ["DEAD", "ISOLATED", "LIVE", "ROWS", "desk_of"]

Change = Callable[[Desk], Desk]

# --- Isolated frogs, closures bonded (A1 row 2). ---

ISOLATED: dict[str, tuple[Change, str]] = {
    "A1 row 2: wired right": (
        lambda d: d,
        "clean",
    ),
    "D1 row 1: outers exchanged": (
        lambda d: d.exchanged(),
        "short as a wheel comes to the frog, in either setting, every vehicle",
    ),
    "D1 row 6: motor turned round": (
        lambda d: d.with_motor(turned=True),
        "short as a wheel comes to the frog, in either setting, every vehicle",
    ),
    "D1 rows 1 and 6: two wrongs": (
        lambda d: d.exchanged().with_motor(turned=True),
        "clean",
    ),
    # The frog's wire and an outer's have changed places: the common joins stock to stock where the frog's is not made.
    "D1 row 2: common mistaken for the left throw": (
        lambda d: d.mistaken("left"),
        "short at power-up, set left",
    ),
    "D1 row 2: common mistaken for the right throw": (
        lambda d: d.mistaken("right"),
        "short at power-up, set right",
    ),
    # Both outers on one rail: the frog is always that rail's, and the leg that needs the other one shorts.
    "D1 row 3: both outers on the left rail": (
        lambda d: d.wired("right outer", d.outer("left"), "bus.A"),
        "short as a wheel comes to the frog, set left, every vehicle",
    ),
    "D1 row 3: both outers on the right rail": (
        lambda d: d.wired("left outer", d.outer("right"), "bus.B"),
        "short as a wheel comes to the frog, set right, every vehicle",
    ),
    "no contact: frog straight on the left rail": (
        lambda d: d.without("left outer", "right outer").wired("frog wire", "bus.A", "T1.frog"),
        "short as a wheel comes to the frog, set left, every vehicle",
    ),
    "no contact: frog straight on the right stock rail": (
        lambda d: d.without("left outer", "right outer").wired("frog wire", "T1.frog", "T1.stock.right"),
        "short as a wheel comes to the frog, set right, every vehicle",
    ),
    # One outer off: the leg that needs it has a dead frog.
    "D1 row 4: left outer off": (
        lambda d: d.without("left outer"),
        "stalls on the frog, set right, short wheelbases only",
    ),
    "D1 row 4: right outer off": (
        lambda d: d.without("right outer"),
        "stalls on the frog, set left, short wheelbases only",
    ),
    "D1 row 5: frog wire off": (
        lambda d: d.without("frog wire"),
        "stalls on the frog, in either setting, short wheelbases only",
    ),
    "D1 row 5: contact burnt open": (
        lambda d: d.with_contact(condition="open"),
        "stalls on the frog, in either setting, short wheelbases only",
    ),
    "D1 row 5: both outers off": (
        lambda d: d.without("left outer", "right outer"),
        "stalls on the frog, in either setting, short wheelbases only",
    ),
    # A closure gap bridged joins the frog to its bonded blade, an exit gap to the rail that the jumper feeds.
    "D1 row 11: left closure gap bridged": (
        lambda d: d.with_place("gaps", "closure.left", "closed"),
        "short at power-up, set left",
    ),
    "D1 row 11: right closure gap bridged": (
        lambda d: d.with_place("gaps", "closure.right", "closed"),
        "short at power-up, set right",
    ),
    "D1 row 10: left exit gap bridged": (
        lambda d: d.with_place("gaps", "exit.left", "closed"),
        "short at power-up, set right",
    ),
    "D1 row 10: right exit gap bridged": (
        lambda d: d.with_place("gaps", "exit.right", "closed"),
        "short at power-up, set left",
    ),
    "D1 row 30: all four gaps closed": (
        lambda d: d.built(gaps=dict.fromkeys(("closure.left", "closure.right", "exit.left", "exit.right"), "closed")),
        "short at power-up, in either setting",
    ),
    # Row 32: met when the wheel comes as long as the frog is unpowered, at power-up once it is powered (row 11 above).
    "D1 row 32: whisker over a closure gap, frog unpowered": (
        lambda d: d.without("frog wire").with_place("gaps", "closure.left", "closed"),
        "short as a wheel comes to the frog, set left, every vehicle",
    ),
    "a gap that leaks": (
        lambda d: d.with_place("gaps", "closure.left", "leaking"),
        "clean; leaks",
    ),
    # An open blade whose bond is broken carries nobody: the leg it serves has it closed, and fed by its touch.
    "D1 row 29: left bond open, blade touches well": (
        lambda d: d.with_place("bonds", "left", "open"),
        "clean; lives by a touch, set right",
    ),
    "D1 row 29: right bond open, blade touches well": (
        lambda d: d.with_place("bonds", "right", "open"),
        "clean; lives by a touch, set left",
    ),
    "D1 row 29: left bond open, blade touch lost": (
        lambda d: d.with_place("bonds", "left", "open").built(blade_contact="open"),
        "stalls on the blade and the rail beyond the frog, set right, every engine",
    ),
    "D1 row 29: right bond open, blade touch lost": (
        lambda d: d.with_place("bonds", "right", "open").built(blade_contact="open"),
        "stalls on the blade and the rail beyond the frog, set left, every engine",
    ),
    "jumper of the left exit open": (
        lambda d: d.with_place("jumpers", "left", "open"),
        "stalls on the rail beyond the frog, set left, every engine",
    ),
    "jumper of the right exit open": (
        lambda d: d.with_place("jumpers", "right", "open"),
        "stalls on the rail beyond the frog, set right, every engine",
    ),
    "jumper open, exit fed by a wire of its own": (
        lambda d: d.with_place("jumpers", "left", "open").wired("exit feeder", "bus.B", "T1.exit.left"),
        "clean",
    ),
    "D1 row 33: metal tie-bar joins both blades": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        "short at power-up, in either setting",
    ),
    "D1 row 34: a pin joins the frog to the left rail": (
        lambda d: d.wired("pin", "T1.frog", "T1.stock.left"),
        "short at power-up, set left",
    ),
    "D1 row 36: a feeder left behind on the wrong rail": (
        lambda d: d.wired("old feeder", "bus.A", "T1.exit.left"),
        "short at power-up, in either setting",
    ),
    # Everything but the frog is then on side A: no engine runs, and a wheel that comes to the frog joins it to B.
    "the only right feeder crossed": (
        lambda d: d.wired("right feeder", "bus.A", "T1.stock.right"),
        "short as a wheel comes to the frog, set left, every vehicle; "
        "stalls on track that only one side of the supply reaches, in either setting, every engine",
    ),
    "D1 row 24: contact early, but the blades are bonded": (
        lambda d: d.with_contact(travel=[0.02, 0.05]),
        "clean; changes over near its end",
    ),
    "D1 row 25: contact makes before it breaks": (
        lambda d: d.with_contact(travel=[0.6, 0.4]),
        "short during the throw",
    ),
    "D1 row 27: switch point near the end of the throw": (
        lambda d: d.with_contact(travel=[0.95, 0.98]),
        "clean; changes over near its end",
    ),
    "D1 row 27: switch point worn past the end: it changes over no more": (
        lambda d: d.with_contact(stuck=setting_for("left", d.hand)),
        "short as a wheel comes to the frog, set right, every vehicle",
    ),
}

# --- Live frogs (A1 row 3): blades, closures and frog are one; exits gapped and fed. ---

LIVE: dict[str, tuple[Change, str]] = {
    "A1 row 3: exits gapped, frog wired": (
        lambda d: d,
        "clean",
    ),
    "A1 row 3: powered by the blade tips alone": (
        lambda d: d.without("frog wire"),
        "clean; lives by a touch, in either setting",
    ),
    "A1 row 3: exits gapped, but nothing feeds them": (
        lambda d: d.without("left exit feeder", "right exit feeder"),
        "stalls on the rail beyond the frog, in either setting, every engine",
    ),
    "D1 row 1: outers exchanged, the contact fights the blade": (
        lambda d: d.exchanged(),
        "short at power-up, in either setting",
    ),
    "D1 row 1: outers exchanged, blade touch lost": (
        lambda d: d.exchanged().built(blade_contact="open"),
        "short as a wheel comes to the blades and the frog, in either setting, every vehicle",
    ),
    "D1 row 27: live frog, switch point worn past the end": (
        lambda d: d.with_contact(stuck=setting_for("left", d.hand)),
        "short at power-up, set right",
    ),
    "D1 row 6: motor turned round": (
        lambda d: d.with_motor(turned=True),
        "short at power-up, in either setting",
    ),
    "D1 row 3: both outers on the left rail": (
        lambda d: d.wired("right outer", d.outer("left"), "bus.A"),
        "short at power-up, set left",
    ),
    "D1 row 4: left outer off, masked by the blade": (
        lambda d: d.without("left outer"),
        "clean; lives by a touch, set right",
    ),
    "D1 row 4: left outer off, blade tarnished": (
        lambda d: d.without("left outer").built(blade_contact="open"),
        "stalls on the blade and the frog, set right, every engine",
    ),
    "D1 rows 9 and 10: left exit gap missing": (
        lambda d: d.with_place("gaps", "exit.left", "closed"),
        "short at power-up, set right",
    ),
    "D1 rows 9 and 10: right exit gap missing": (
        lambda d: d.with_place("gaps", "exit.right", "closed"),
        "short at power-up, set left",
    ),
    "D1 row 9: confirmed by lifting the exit feeder": (
        lambda d: d.with_place("gaps", "exit.left", "closed").without("left exit feeder"),
        "clean",
    ),
    "A1 row 3: no exit gap, and nothing feeds the exits": (
        lambda d: d.built(gaps={"exit.left": "closed", "exit.right": "closed"}).without(
            "left exit feeder", "right exit feeder"
        ),
        "clean",
    ),
    "D1 row 24: contact changes before the blade leaves": (
        lambda d: d.with_contact(travel=[0.02, 0.05]),
        "short during the throw; changes over near its end",
    ),
    "D1 row 24: contact changes after the blade has come": (
        lambda d: d.with_contact(travel=[0.95, 0.98]),
        "short during the throw; changes over near its end",
    ),
    "D1 row 25: contact makes before it breaks": (
        lambda d: d.with_contact(travel=[0.6, 0.4]),
        "short during the throw",
    ),
    "D1 row 11: half converted, left closure uncut": (
        lambda d: d.built(
            gaps={"exit.left": "cut", "exit.right": "cut", "closure.right": "cut"},
            bonds={"left": "made", "right": "made"},
        ),
        "short at power-up, set left",
    ),
    "A1 row 3x: bonded, both closures uncut": (
        lambda d: d.built(bonds={"left": "made", "right": "made"}),
        "short at power-up, in either setting",
    ),
    "A1 row 3x: converted": (
        lambda d: d.built(
            gaps=dict.fromkeys(("exit.left", "exit.right", "closure.left", "closure.right"), "cut"),
            bonds={"left": "made", "right": "made"},
        ),
        "clean",
    ),
    "D1 row 33: tie-bar joins the blades, which are one already": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        "clean",
    ),
}

# --- Dead frogs (A1 rows 1a and 1b): as delivered, and power-routing by the blades alone. ---

DEAD: dict[str, tuple[Change, str]] = {
    "A1 row 1b: all routes live": (
        lambda d: d,
        "stalls on track that only one side of the supply reaches, in either setting, short wheelbases only",
    ),
    "A1 row 1a: blades feed": (
        lambda d: d.built(bonds={"left": "open", "right": "open"}),
        "stalls on track that only one side of the supply reaches, in either setting, short wheelbases only; "
        "lives by a touch, in either setting",
    ),
    "A1 row 1b: the contact joined to nothing is idle": (
        lambda d: d.exchanged(),
        "stalls on track that only one side of the supply reaches, in either setting, short wheelbases only",
    ),
    "D1 row 33: metal tie-bar joins both blades": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        "short at power-up, in either setting",
    ),
}


ROWS: Mapping[str, Mapping[str, tuple[Change, str]]] = {"isolated": ISOLATED, "live": LIVE, "dead": DEAD}


def desk_of(frog: str, desk: Desk) -> Desk:
    """The desk as a family of rows begins: a live frog has its exits gapped and fed."""
    desk = replace(desk, frog=frog)
    return desk.exits_cut() if frog == "live" else desk
