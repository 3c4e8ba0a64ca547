"""Benches of several pieces by the trade's rule: the frog matches the stock rail that the closed blade leans on."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from typing import Any

from tests.practice.changing import Joint, joints_of, with_joints
from tests.practice.documents import Document, levers, piece_of

__all__ = ["Plank", "crossover", "ladder", "legs", "loop", "phases", "single"]

_OTHER = {"A": "B", "B": "A", "left": "right", "right": "left"}


def legs(piece: dict[str, Any]) -> dict[str, str]:
    """Which leg, left or right, each setting of a turnout or wye is for."""
    main = {"right": "left", "left": "right"}.get(piece.get("hand", "wye"), "left")
    return {"normal": main, "diverging": _OTHER[main]}


def phases(document: Document) -> dict[str, str]:
    """The side, "A" or "B", of each piece's left rail seen from its first end, the first piece of each group on A.

    So that every joint joins like to like. Where a way leads back reversed, the joint met last is left unlike.
    """
    around: dict[str, list[tuple[str, bool]]] = {piece["id"]: [] for piece in document["track"]}
    kinds = {piece["id"]: piece["kind"] for piece in document["track"]}
    for joint in joints_of(document):
        one, _, one_end = joint.end.partition(".")
        other, _, other_end = joint.met.partition(".")
        # Seen inwards from its first end a piece has its own left at the left, from another end the other rail; and
        # at a joint the left of one is the right of the other.
        alike = _first(kinds[one], one_end) != _first(kinds[other], other_end)
        around[one].append((other, alike))
        around[other].append((one, alike))
    found: dict[str, str] = {}
    for start in around:
        if start in found:
            continue
        found[start] = "A"
        queue = deque([start])
        while queue:
            piece = queue.popleft()
            for other, alike in around[piece]:
                if other not in found:
                    found[other] = found[piece] if alike else _OTHER[found[piece]]
                    queue.append(other)
    return found


def _first(kind: str, end: str) -> bool:
    return end == ("toe" if kind in ("turnout", "wye") else "a")


class Plank:
    """A bench in the making. Its `document` can be changed at any time."""

    def __init__(self, *, vehicles: Sequence[str] | None = None, kind: str = "dcc", **supply: Any) -> None:
        """`vehicles`: those to test with; left out: the usual ones. `supply`: keys of the supply."""
        self.document: Document = {"bench": 1, "supply": {"kind": kind, **supply}, "track": [], "motor": [], "wire": []}
        if vehicles is not None:
            self.document["test"] = {"vehicles": list(vehicles)}

    def turnout(self, name: str, hand: str = "right", frog: str = "isolated", **more: Any) -> None:
        """A No. 6 in HO."""
        row = {"id": name, "kind": "turnout", "scale": "HO", "hand": hand, "number": 6, "frog": frog, **more}
        self.document["track"].append(row)

    def plain(self, name: str, length: float = 300.0, **more: Any) -> None:
        """Plain track."""
        self.document["track"].append({"id": name, "kind": "plain", "length_mm": length, **more})

    def join(self, end: str, met: str, left: str = "metal", right: str = "metal") -> None:
        """Lay two ends together; `left`, `right` as seen from `end` into its own piece."""
        self.document = with_joints(self.document, [*joints_of(self.document), Joint(end, met, left, right)])

    def wire(self, one: str, other: str, **more: Any) -> None:
        """A wire between two terminals."""
        self.document["wire"].append({"ends": [one, other], **more})

    def motor(self, name: str, drives: str | Sequence[str] | None, contacts: int = 1, **more: Any) -> None:
        """A motor, or a switch if it drives nothing; its contacts are c1 n1 d1, c2 n2 d2 ..."""
        row: dict[str, Any] = {"id": name}
        if drives is not None:
            row["drives"] = drives if isinstance(drives, str) else list(drives)
        row |= more
        row["changeover"] = [
            {"common": f"c{k}", "normal": f"n{k}", "diverging": f"d{k}", "marked": True} for k in range(1, contacts + 1)
        ]
        self.document["motor"].append(row)

    def feed(self, *, plain: bool = True) -> None:
        """Both stock rails of every turnout, and with `plain` both rails of plain track, fed from the bus by phase."""
        for name, side in phases(self.document).items():
            kind = piece_of(self.document, name)["kind"]
            if kind in ("turnout", "wye"):
                self.wire(f"bus.{side}", f"{name}.stock.left")
                self.wire(f"bus.{_OTHER[side]}", f"{name}.stock.right")
            elif kind == "plain" and plain:
                self.wire(f"bus.{side}", f"{name}.left")
                self.wire(f"bus.{_OTHER[side]}", f"{name}.right")

    def power_frog(self, name: str, motor: str, contact: int = 1) -> None:
        """The frog of a turnout on a contact of a motor, its outers on that turnout's own stock rails by the rule."""
        leg = legs(piece_of(self.document, name))
        self.wire(f"{motor}.c{contact}", f"{name}.frog")
        self.wire(f"{motor}.n{contact}", f"{name}.stock.{_OTHER[leg['normal']]}")
        self.wire(f"{motor}.d{contact}", f"{name}.stock.{_OTHER[leg['diverging']]}")

    def cut_exits(self, name: str) -> None:
        """Both exit gaps of a live frog cut and the rails beyond them fed, so that all routes stay live."""
        side = phases(self.document)[name]
        piece = next(piece for piece in self.document["track"] if piece["id"] == name)
        piece["gaps"] = {**piece.get("gaps", {}), "exit.left": "cut", "exit.right": "cut"}
        self.wire(f"bus.{_OTHER[side]}", f"{name}.exit.left")  # the right rail of the left leg
        self.wire(f"bus.{side}", f"{name}.exit.right")

    def motors(self) -> None:
        """A motor of its own for every turnout that none drives yet, T1's named M1, and each frog on it by the rule."""
        for lever in levers(self.document):
            if lever.points == (lever.id,):
                motor = f"M{lever.id[1:]}"
                self.motor(motor, lever.id)
                piece = piece_of(self.document, lever.id)
                if piece.get("frog", "isolated") != "dead":
                    self.power_frog(lever.id, motor)
                if piece.get("frog") == "live":
                    self.cut_exits(lever.id)

    def wired(self) -> Document:
        """Everything fed and every frog powered by the rule, each turnout by its own motor."""
        self.feed()
        self.motors()
        return self.document

    # What is wrong on purpose

    def unwire(self, one: str, other: str) -> None:
        """Take the wire between two terminals off. Raises ValueError if there is none."""
        wires = self.document["wire"]
        wires.remove(next(wire for wire in wires if set(wire["ends"]) == {one, other}))

    def set_place(self, piece: str, table: str, key: str, state: str) -> None:
        """Cut, close, make or open a place: table "gaps", "bonds" or "jumpers"."""
        row = next(row for row in self.document["track"] if row["id"] == piece)
        row[table] = {**row.get(table, {}), key: state}

    def set_joint(self, end: str, **states: str) -> None:
        """Change the joiners of a joint, named by the end that wrote it."""
        joints = [
            Joint(joint.end, joint.met, **({"left": joint.left, "right": joint.right} | states))
            if joint.end == end
            else joint
            for joint in joints_of(self.document)
        ]
        self.document = with_joints(self.document, joints)


def single(frog: str = "isolated", hand: str = "right", **supply: Any) -> Plank:
    """One turnout, T1."""
    plank = Plank(**supply)
    plank.turnout("T1", hand, frog)
    return plank


def crossover(frog: str = "isolated", hand: str = "right", *, link: str = "metal", **supply: Any) -> Plank:
    """Two turnouts of one hand, diverging end to diverging end; the rails of both links joined by `link`.

    T1's toe looks west and T2's east: of right-hand turnouts T1 is the north-west one, of left-hand the south-west.
    """
    plank = Plank(**supply)
    plank.turnout("T1", hand, frog)
    plank.turnout("T2", hand, frog)
    plank.join("T2.diverging", "T1.diverging", link, link)
    return plank


def ladder(count: int, frog: str = "isolated", hand: str = "right", **supply: Any) -> Plank:
    """Turnouts in a row, each toe on the diverging leg before it, plain track on every main leg and on the last."""
    plank = Plank(**supply)
    for k in range(1, count + 1):
        plank.turnout(f"T{k}", hand, frog)
        if k > 1:
            plank.join(f"T{k}.toe", f"T{k - 1}.diverging")
    for k in range(1, count + 1):
        plank.plain(f"P{k}")
        plank.join(f"P{k}.a", f"T{k}.main")
    plank.plain(f"P{count + 1}")
    plank.join(f"P{count + 1}.a", f"T{count}.diverging")
    return plank


def loop(*, contacts: bool = True, section: float | None = None, **supply: Any) -> Plank:
    """A reverse loop from T1's two legs, gapped at both ends, on two more contacts of M1 unless `contacts` is False.

    `section`: the reversing section is only the middle rail P2, that long, and P1 and P3 belong to T1; left out: the
    whole loop is reversed.
    """
    plank = Plank(**supply)
    plank.turnout("T1")
    gap = ("insulated", "insulated")
    metal = ("metal", "metal")
    plank.plain("P1", 473.9, radius_mm=500, turns="left")
    plank.plain("P2", section or 2601.8, **({} if section else {"radius_mm": 500, "turns": "right"}))
    plank.plain("P3", 473.9, radius_mm=500, turns="left")
    plank.join("P1.a", "T1.main", *(metal if section else gap))
    plank.join("P2.a", "P1.b", *(gap if section else metal))
    plank.join("P3.a", "P2.b", *(gap if section else metal))
    plank.join("P3.b", "T1.diverging", *(metal if section else gap))
    plank.wire("bus.A", "T1.stock.left")
    plank.wire("bus.B", "T1.stock.right")
    plank.motor("M1", "T1", 3)
    plank.power_frog("T1", "M1")
    if contacts:
        # Seen from the toe the left leg is normal: P1 runs out of it with its left rail as the left stock rail.
        reversed_rails = "P2" if section else "P1"
        plank.wire("M1.c2", f"{reversed_rails}.left")
        plank.wire("M1.c3", f"{reversed_rails}.right")
        for screw, side in (("n2", "A"), ("d2", "B"), ("n3", "B"), ("d3", "A")):
            plank.wire(f"M1.{screw}", f"bus.{side}")
    return plank
