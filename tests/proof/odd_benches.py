"""Benches that nobody would build: random ones with several supplies, lamps, short track, loops, odd wheels, trains."""

from __future__ import annotations

from random import Random
from typing import Any

from tests.practice.changing import joints_of
from tests.practice.documents import Document, levers
from tests.practice.planks import Plank
from tests.practice.random_benches import some_bench

__all__ = ["odd_bench"]

_ENDS = {"turnout": ("toe", "main", "diverging"), "wye": ("toe", "main", "diverging"), "plain": ("a", "b")}
_OTHER = {"A": "B", "B": "A"}
_TWO_AXLES: dict[str, Any] = {"pickup": {"left": [1, 2], "right": [1, 2]}, "works_from_volts": 6.0, "grams": 100}


def odd_bench(random: Random, *, most: int = 3) -> Document:
    """A bench with 1 to `most` turnouts, at most four levers, and some of the oddities named above."""
    document = some_bench(
        random, most=most, faults=1, linked=True, switches=True, wyes=True, units=random.random() < 0.3,
        kinds=("dcc", "dcc", "dc"),
    )  # fmt: skip
    plank = Plank()
    plank.document = document
    if random.random() < 0.4:
        _units(plank, random)
    oddities = [_short_track, _stops, _loop, _switches, _lamp, _weak, _supplies, _vehicles, _scale, _train, _limit]
    for oddity in oddities:
        if random.random() < 0.3:
            oddity(plank, random)
    return plank.document


def _free(document: Document) -> list[str]:
    joined = {end for joint in joints_of(document) for end in (joint.end, joint.met)}
    every = [f"{piece['id']}.{end}" for piece in document["track"] for end in _ENDS.get(piece["kind"], ())]
    return [end for end in every if end not in joined]


def _short_track(plank: Plank, random: Random) -> None:
    for piece in plank.document["track"]:
        if piece["kind"] == "plain" and random.random() < 0.7:
            piece["length_mm"] = random.choice([6.0, 20.0, 45.0, 70.0])


def _stops(plank: Plank, random: Random) -> None:
    for number, end in enumerate(_free(plank.document)):
        if random.random() < 0.5:
            plank.document["track"].append({"id": f"E{number}", "kind": "end"})
            plank.join(f"E{number}.a", end)


def _loop(plank: Plank, random: Random) -> None:
    free = _free(plank.document)
    if len(free) < 2:
        return
    one, other = random.sample(free, 2)
    length = random.choice([30.0, 60.0, 150.0, 300.0])
    plank.plain("R1", length)
    states = random.choice([("metal", "metal"), ("insulated", "insulated"), ("insulated", "insulated")])
    plank.join("R1.a", one, *states)
    plank.join("R1.b", other, *states)
    if random.random() < 0.7:
        plank.wire("bus.A", "R1.left")
        plank.wire("bus.B", "R1.right")


def _switches(plank: Plank, random: Random) -> None:
    """A panel switch that turns the sides of a length of plain track over, or cuts one off."""
    document = plank.document
    plain = [piece["id"] for piece in document["track"] if piece["kind"] == "plain"]
    if not plain or len(levers(document)) >= 4:
        return
    name = random.choice(plain)
    for joint in joints_of(document):
        if name in (joint.end.partition(".")[0], joint.met.partition(".")[0]):
            plank.set_joint(joint.end, left="insulated", right="insulated")
    document["wire"] = [
        wire for wire in document["wire"] if not any(end.startswith(f"{name}.") for end in wire["ends"])
    ]
    plank.motor("W7", None, 2, by_hand=True)
    plank.wire("W7.c1", f"{name}.left")
    plank.wire("W7.c2", f"{name}.right")
    plank.wire("W7.n1", "bus.A")
    plank.wire("W7.n2", "bus.B")
    if random.random() < 0.7:
        plank.wire("W7.d1", "bus.B")
        plank.wire("W7.d2", "bus.A")


def _lamp(plank: Plank, random: Random) -> None:
    """A lamp in a feeder."""
    wires = [wire for wire in plank.document["wire"] if wire["ends"][0].startswith("bus.")]
    if wires:
        wire = random.choice(wires)
        plank.document.setdefault("lamp", []).append({"id": "L1", "watts": random.choice([2.0, 21.0, 60.0])})
        plank.wire("L1.2", wire["ends"][1])
        wire["ends"] = [wire["ends"][0], "L1.1"]


def _units(plank: Plank, random: Random) -> None:
    """Automatic polarity units on any rails at all."""
    document = plank.document
    sections = {"plain": ["left", "right"], "end": []}
    usual = ["frog", "blade.left", "blade.right", "exit.left", "exit.right", "stock.left"]
    rails = [
        f"{piece['id']}.{rail}"
        for piece in document["track"]
        for rail in sections.get(piece["kind"], usual)
        if rail != "frog" or piece["frog"] != "dead"
    ]
    for number in range(random.randint(1, 2)):
        unit = {"id": f"Z{number}", "turns_at_amps": random.choice([0.5, 1.5, 3.5])}
        if random.random() < 0.2:
            unit["turn_seconds"] = 0.05
        ends = [("a", "bus.A"), ("b", "bus.B"), ("out", random.choice(rails))]
        if random.random() < 0.4:
            unit["poles"] = 2
            ends += [("c", "bus.B"), ("d", "bus.A"), ("out2", random.choice(rails))]
        document.setdefault("polarity", []).append(unit)
        for screw, end in ends:
            if random.random() < 0.9:
                plank.wire(f"Z{number}.{screw}", end)


def _weak(plank: Plank, random: Random) -> None:
    for motor in plank.document["motor"]:
        for contact in motor["changeover"]:
            if random.random() < 0.4:
                contact["condition"] = random.choice(["worn", "oxidised", "open"])
            if random.random() < 0.3:
                contact["travel"] = random.choice([[0.0, 0.0], [0.6, 0.4], [0.02, 0.04], [0.3, 0.7]])
    for wire in plank.document["wire"]:
        if random.random() < 0.1:
            wire["metres"] = random.choice([20.0, 100.0])


def _limit(plank: Plank, random: Random) -> None:
    supplies = plank.document["supply"]
    for supply in supplies if isinstance(supplies, list) else [supplies]:
        if random.random() < 0.3:
            supply["limit_amps"] = random.choice([1.0, 3.0, 10.0])
        if random.random() < 0.3:
            supply["volts"] = random.choice([12.0, 18.0])


def _supplies(plank: Plank, random: Random) -> None:
    """Some pieces on a second supply, most joints between them and the others gapped."""
    document = plank.document
    first = {**document["supply"], "id": "N"}
    second = {**first, "id": "S"}
    if random.random() < 0.5:
        second["volts"] = random.choice([12.0, 16.0, 20.0])
    if random.random() < 0.25:
        second["kind"] = "dc" if first["kind"] == "dcc" else "dcc"
    document["supply"] = [first, second]
    mine = {piece["id"] for piece in document["track"] if random.random() < 0.5}
    crossed = random.random() < 0.2
    for wire in document["wire"]:
        pieces = {end.partition(".")[0] for end in wire["ends"]}
        to = "S" if pieces & mine else "N"
        ends = []
        for end in wire["ends"]:
            if end.startswith("bus."):
                side = end[-1]
                end = f"{to}.{_OTHER[side] if crossed and to == 'S' else side}"
            ends.append(end)
        wire["ends"] = ends
    for joint in joints_of(document):
        one, other = joint.end.partition(".")[0], joint.met.partition(".")[0]
        if (one in mine) != (other in mine) and random.random() < 0.85:
            both = random.random() < 0.8
            plank.set_joint(joint.end, left="insulated", **({"right": "insulated"} if both else {}))
    if random.random() < 0.2:
        plank.wire("N.B", "S.B")


def _vehicles(plank: Plank, random: Random) -> None:
    """Vehicles of two axles, wheels too wide or too near each other among them."""
    wheels: list[Any] = [
        "RP-25 code 110", "RP-25 code 88",
        {"back_to_back_mm": 13.6, "flange_mm": 0.7, "width_mm": 2.8, "radius_mm": 5.0},
        {"back_to_back_mm": 14.4, "flange_mm": 0.7, "width_mm": 4.5, "radius_mm": 5.0},
        {"back_to_back_mm": 15.4, "flange_mm": 0.9, "width_mm": 2.5, "radius_mm": 5.0},
    ]  # fmt: skip
    document = plank.document
    scale = next(piece["scale"] for piece in document["track"] if "scale" in piece)
    pickup = random.choice([{"left": [1, 2], "right": [1, 2]}, {"left": [1], "right": [2]}])
    draws = random.choice([0.3, 0.3, 0.0])
    own = {
        "name": "odd", "scale": scale, "axles_mm": [0.0, random.choice([12.0, 50.0, 90.0])],
        "wheel": random.choice(wheels if scale == "HO" else ["RP-25 code 72" if scale == "N" else "RP-25 code 175"]),
        "pickup": pickup, "draws_amps": draws, "works_from_volts": 6.0 if draws else 0.0, "grams": 100.0,
    }  # fmt: skip
    document["vehicle"] = [own]
    document["test"] = {"vehicles": ["odd", "metal-wheel wagon"]}


def _scale(plank: Plank, random: Random) -> None:
    if "vehicle" in plank.document:
        return
    scale = random.choice(["N", "O", "S", "16.5"])
    for piece in plank.document["track"]:
        if "scale" in piece:
            piece["scale"] = scale
        piece.pop("gap_at_mm", None)


def _train(plank: Plank, random: Random) -> None:
    """Two vehicles coupled."""
    document = plank.document
    if len(levers(document)) > 2:
        return
    document.pop("test", None)
    scale = next(piece["scale"] for piece in document["track"] if "scale" in piece)
    wheel = {"N": "RP-25 code 72", "O": "RP-25 code 175", "S": "RP-25 code 110"}.get(scale, "RP-25 code 110")
    row = {"scale": scale, "wheel": wheel, "grams": 50.0}
    document["vehicle"] = [
        *document.get("vehicle", []),
        {**row, "name": "pusher", "axles_mm": [0.0, 20.0], **_TWO_AXLES, "draws_amps": 0.2, "grams": 50.0},
        {**row, "name": "coach", "axles_mm": [0.0, 60.0], "pickup": {"left": [], "right": []}, "draws_amps": 0.0,
         "works_from_volts": 0.0},
    ]  # fmt: skip
    end = f"{document['track'][0]['id']}.{_ENDS[document['track'][0]['kind']][0]}"
    order = random.choice([["pusher", "coach"], ["coach", "pusher"]])
    document["train"] = [{"id": "R1x", "vehicles": order, "at": {"end": end}}]
