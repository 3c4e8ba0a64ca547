"""Random benches of up to four turnouts, wired by the trade's rule, with or without faults of the sort people make."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from tests.practice.changing import joints_of
from tests.practice.documents import Document, levers, piece_of
from tests.practice.planks import Plank, phases

__all__ = ["FAULTS", "some_bench"]

_OTHER = {"A": "B", "B": "A", "left": "right", "right": "left"}
_ENDS = {"turnout": ("toe", "main", "diverging"), "wye": ("toe", "main", "diverging"), "plain": ("a", "b")}

_MOST_LEVERS = 4

FAULTS = (
    "exchanged outers",
    "missing wire",
    "uncut gap",
    "wrong rail",
    "other frog",
    "crossed feeder",
    "other joiner",
    "open bond",
    "turned motor",
    "feeder left behind",
    "stuck contact",
    "oxidised contact",
)


def some_bench(
    random: Random,
    *,
    most: int = 4,
    faults: int = 2,
    linked: bool = False,
    switches: bool = False,
    wyes: bool = False,
    units: bool = False,
    kinds: Sequence[str] = ("dcc",),
) -> Document:
    """A bench with 1 to `most` turnouts on one supply, tested with the shortest engine and a wagon.

    Args:
        faults: at most so many things are wrong with it.
        linked: motors may drive the points of two turnouts.
        switches: there may be a panel switch, which drives nothing, where there are less than four other levers.
        wyes: there may be wyes.
        units: a frog without a motor may be on an automatic polarity unit.
        kinds: of supply.
    """
    plank = Plank(vehicles=["four-wheel shunter", "metal-wheel wagon"], kind=random.choice(kinds), on=True)
    count = random.randint(1, most)
    free: list[str] = []
    number = 0
    for k in range(1, count + 1):
        kind = "wye" if wyes and random.random() < 0.15 else "turnout"
        _turnout(plank, random, f"T{k}", kind)
        own = random.choice(_ENDS["turnout"])
        if free and random.random() < 0.85:
            met = free.pop(random.randrange(len(free)))
            if random.random() < 0.4:
                number += 1
                plank.plain(f"P{number}", random.choice([120.0, 300.0, 450.0]))
                _join(plank, random, f"P{number}.a", met)
                met = f"P{number}.b"
            _join(plank, random, f"T{k}.{own}", met)
            free += [f"T{k}.{end}" for end in _ENDS["turnout"] if end != own]
        else:
            free += [f"T{k}.{end}" for end in _ENDS["turnout"]]
    for met in list(free):
        if random.random() < 0.25:
            number += 1
            plank.plain(f"P{number}", random.choice([150.0, 400.0]))
            _join(plank, random, f"P{number}.a", met)
    _wire(plank, random, linked=linked, switches=switches)
    if units:
        _add_units(plank, random)
    for _ in range(random.randint(0, faults)):
        _break(plank, random, random.choice(FAULTS))
    for lever in levers(plank.document):
        setting = random.choice(["normal", "diverging"])
        for piece in plank.document["track"]:
            if piece["id"] in lever.points:
                piece["set"] = setting
    return plank.document


def _turnout(plank: Plank, random: Random, name: str, kind: str) -> None:
    frog = random.choice(["isolated", "isolated", "live", "live", "dead"])
    row = {"id": name, "kind": kind, "scale": "HO", "number": 6, "frog": frog}
    if kind == "turnout":
        row["hand"] = random.choice(["left", "right"])
    plank.document["track"].append(row)


def _join(plank: Plank, random: Random, end: str, met: str) -> None:
    states = ("insulated", "insulated") if random.random() < 0.2 else ("metal", "metal")
    plank.join(end, met, *states)


def _wire(plank: Plank, random: Random, *, linked: bool, switches: bool) -> None:
    plank.feed()
    rows = plank.document["track"]
    waiting = [piece["id"] for piece in rows if piece["kind"] in ("turnout", "wye")]
    motors = 0
    while waiting:
        name = waiting.pop(0)
        drives = [name]
        if linked and waiting and random.random() < 0.4:
            drives.append(waiting.pop(random.randrange(len(waiting))))
        motors += 1
        motor = f"M{motors}"
        if random.random() < 0.9 or len(drives) > 1:
            plank.motor(motor, drives[0] if len(drives) == 1 else drives, len(drives))
            contacts = {points: k for k, points in enumerate(drives, 1)}
        else:
            contacts = {}
        for points in drives:
            frog = piece_of(plank.document, points)["frog"]
            if points in contacts and frog != "dead":
                plank.power_frog(points, motor, contacts[points])
            if frog == "live":
                plank.cut_exits(points)
    plain = [piece["id"] for piece in rows if piece["kind"] == "plain"]
    if switches and plain and len(levers(plank.document)) < _MOST_LEVERS and random.random() < 0.7:
        _switched(plank, random.choice(plain))


def _add_units(plank: Plank, random: Random) -> None:
    for lever in levers(plank.document):
        if (
            lever.points == (lever.id,)
            and piece_of(plank.document, lever.id)["frog"] != "dead"
            and random.random() < 0.6
        ):
            unit = f"Q{lever.id[1:]}"
            plank.document.setdefault("polarity", []).append({"id": unit})
            for screw, end in (("a", "bus.A"), ("b", "bus.B"), ("out", f"{lever.id}.frog")):
                plank.wire(f"{unit}.{screw}", end)


def _switched(plank: Plank, name: str) -> None:
    """A length of plain track gapped all round, one of its rails through a panel switch."""
    for joint in joints_of(plank.document):
        if name in (joint.end.partition(".")[0], joint.met.partition(".")[0]):
            plank.set_joint(joint.end, left="insulated", right="insulated")
    side = phases(plank.document)[name]
    plank.unwire(f"bus.{side}", f"{name}.left")
    plank.motor("W1", None, by_hand=True)
    plank.wire("W1.c1", f"{name}.left")
    plank.wire("W1.n1", f"bus.{side}")


def _break(plank: Plank, random: Random, fault: str) -> None:
    """One fault; where the bench has nothing that it fits, none."""
    document = plank.document
    wires = document["wire"]
    turnouts = [piece for piece in document["track"] if piece["kind"] in ("turnout", "wye")]
    frogs = [piece["id"] for piece in turnouts if piece["frog"] != "dead"]
    outers = [
        wire for wire in wires if wire["ends"][0].startswith("M") and wire["ends"][0].partition(".")[2][0] in "nd"
    ]
    match fault:
        case "exchanged outers" if outers:
            screw = random.choice(outers)["ends"][0]
            motor, _, letter = screw.partition(".")
            one, other = (f"{motor}.{outer}{letter[1:]}" for outer in "nd")
            exchange = {one: other, other: one}
            for wire in wires:
                wire["ends"] = [exchange.get(end, end) for end in wire["ends"]]
        case "missing wire":
            wires.pop(random.randrange(len(wires)))
        case "uncut gap" if frogs:
            key = f"{random.choice(['closure', 'exit'])}.{random.choice(['left', 'right'])}"
            plank.set_place(random.choice(frogs), "gaps", key, "closed")
        case "wrong rail" if outers:
            wire = random.choice(outers)
            head, _, rest = wire["ends"][1].partition(".")
            if rest.startswith("stock."):
                wire["ends"] = [wire["ends"][0], f"{head}.stock.{_OTHER[rest.rpartition('.')[2]]}"]
        case "other frog" if outers and len(frogs) > 1:
            random.choice(outers)["ends"][1] = f"{random.choice(frogs)}.frog"
        case "crossed feeder":
            wire = random.choice([wire for wire in wires if wire["ends"][0].startswith("bus.")])
            wire["ends"] = [f"bus.{_OTHER[wire['ends'][0][-1]]}", wire["ends"][1]]
        case "other joiner" if joints_of(document):
            joint = random.choice(joints_of(document))
            side = random.choice(["left", "right"])
            now = joint.left if side == "left" else joint.right
            plank.set_joint(joint.end, **{side: "metal" if now == "insulated" else "insulated"})
        case "open bond":
            plank.set_place(random.choice(turnouts)["id"], "bonds", random.choice(["left", "right"]), "open")
        case "turned motor" if document["motor"]:
            random.choice(document["motor"])["turned"] = True
        case "feeder left behind":
            piece = random.choice(turnouts)
            rail = random.choice(["exit.left", "exit.right", "blade.left", "blade.right", "stock.left"])
            plank.wire(f"bus.{random.choice('AB')}", f"{piece['id']}.{rail}")
        case "stuck contact" if document["motor"]:
            random.choice(document["motor"])["changeover"][0]["stuck"] = random.choice(["normal", "diverging"])
        case "oxidised contact" if document["motor"]:
            random.choice(document["motor"])["changeover"][0]["condition"] = "oxidised"
        case _:
            pass
