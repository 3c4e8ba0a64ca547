"""Changes of a bench file after which the same is to be said of it: mirrored, sides exchanged, renamed, reordered."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from tests.practice.documents import Document, supplies

__all__ = [
    "Joint",
    "Renaming",
    "doubled",
    "exchanged",
    "joints_of",
    "mirrored",
    "mirrored_name",
    "renamed",
    "shuffled",
    "turned_joint",
    "with_joints",
]

_OTHER = {"left": "right", "right": "left", "A": "B", "B": "A"}
_ENDS = {
    "turnout": ("toe", "main", "diverging"), "wye": ("toe", "main", "diverging"), "plain": ("a", "b"), "end": ("a",)
}  # fmt: skip


def mirrored_name(name: str) -> str:
    """A rail's, place's or terminal's name with left and right exchanged; what ends in neither stays."""
    head, dot, side = name.rpartition(".")
    return f"{head}{dot}{_OTHER[side]}" if side in ("left", "right") else name


def mirrored(document: Document) -> Document:
    """The bench as a mirror shows it. Raises ValueError for a wye, whose main leg is always the left one."""
    changed = copy.deepcopy(document)
    for piece in changed.get("track", []):
        if piece["kind"] == "wye":
            raise ValueError(f"{piece['id']}: a mirrored wye is thrown the other way")
        for key in ("hand", "turns"):
            if key in piece:
                piece[key] = _OTHER[piece[key]]
        for key in ("gaps", "bonds", "jumpers", "joint"):
            if key in piece:
                piece[key] = {mirrored_name(name): state for name, state in piece[key].items()}
        if "joints" in piece:
            piece["joints"] = {
                end: {mirrored_name(side): state for side, state in states.items()}
                for end, states in piece["joints"].items()
            }
    rails = {piece["id"] for piece in changed.get("track", [])}
    for wire in changed.get("wire", []):
        wire["ends"] = [mirrored_name(end) if end.partition(".")[0] in rails else end for end in wire["ends"]]
    for own in changed.get("vehicle", []):
        pickup = own["pickup"]
        own["pickup"] = {"left": pickup["right"], "right": pickup["left"]}
    return changed


def exchanged(document: Document) -> Document:
    """The bench with sides A and B of every supply, and so of every tap, exchanged."""
    changed = copy.deepcopy(document)
    sources = {supply["id"] for supply in supplies(changed)} | set(changed.get("bus", {}).get("taps", {}))
    for wire in changed.get("wire", []):
        wire["ends"] = [_exchanged_end(end, sources) for end in wire["ends"]]
    return changed


def _exchanged_end(end: str, sources: set[str]) -> str:
    head, _, side = end.partition(".")
    return f"{head}.{_OTHER[side]}" if head in sources else end


@dataclass(frozen=True)
class Renaming:
    """New names of everything on a bench, by the old ones: of things ("T1"), and of screws ("M1.c")."""

    things: Mapping[str, str]
    screws: Mapping[str, str]

    def terminal(self, name: str) -> str:
        """A terminal, rail, place or end under its new name."""
        if name in self.screws:
            return self.screws[name]
        head, dot, rest = name.partition(".")
        return f"{self.things.get(head, head)}{dot}{rest}"

    @property
    def back(self) -> Renaming:
        """From the new names to the old ones."""
        return Renaming({new: old for old, new in self.things.items()}, {new: old for old, new in self.screws.items()})


def renamed(document: Document, random: Random) -> tuple[Document, Renaming]:
    """The bench under other names, drawn so that their order in the alphabet is another too."""
    changed = copy.deepcopy(document)
    things = [thing for key in ("track", "motor", "polarity", "lamp", "train") for thing in changed.get(key, [])]
    if isinstance(changed.get("supply"), list):
        things += changed["supply"]
    fresh = [f"N{number:02d}" for number in range(len(things))]
    random.shuffle(fresh)
    names = {thing["id"]: new for thing, new in zip(things, fresh, strict=True)}
    screws: dict[str, str] = {}
    for motor in changed.get("motor", []):
        letters = [contact[role] for contact in motor.get("changeover", []) for role in _ROLES]
        new_letters = [f"s{number}" for number in range(len(letters))]
        random.shuffle(new_letters)
        letter = dict(zip(letters, new_letters, strict=True))
        screws |= {f"{motor['id']}.{old}": f"{names[motor['id']]}.{new}" for old, new in letter.items()}
        for contact in motor.get("changeover", []):
            for role in _ROLES:
                contact[role] = letter[contact[role]]
        drives = motor.get("drives")
        if drives is not None:
            motor["drives"] = names[drives] if isinstance(drives, str) else [names[points] for points in drives]
    naming = Renaming(names, screws)
    for thing in things:
        thing["id"] = names[thing["id"]]
    for piece in changed.get("track", []):
        if "joins" in piece:
            piece["joins"] = {end: naming.terminal(other) for end, other in piece["joins"].items()}
    for wire in changed.get("wire", []):
        wire["ends"] = [naming.terminal(end) for end in wire["ends"]]
    for train in changed.get("train", []):
        if "at" in train:
            train["at"]["end"] = naming.terminal(train["at"]["end"])
    return changed, naming


_ROLES = ("common", "normal", "diverging")


def shuffled(document: Document, random: Random) -> Document:
    """The bench with its tables, its contacts, the ends of its wires and all keys in another order."""
    changed = copy.deepcopy(document)
    for motor in changed.get("motor", []):
        random.shuffle(motor.get("changeover", []))
    for wire in changed.get("wire", []):
        random.shuffle(wire["ends"])
    for value in changed.values():
        if isinstance(value, list):
            random.shuffle(value)
    return {key: _mixed(changed[key], random) for key in random.sample(list(changed), len(changed))}


def _mixed(value: Any, random: Random) -> Any:
    if isinstance(value, dict):
        return {key: _mixed(value[key], random) for key in random.sample(list(value), len(value))}
    if isinstance(value, list):
        return [_mixed(item, random) for item in value]
    return value


def doubled(document: Document, index: int, **told: str) -> Document:
    """The bench with an equal wire laid beside one of its wires; `told`: what is written on the new one."""
    changed = copy.deepcopy(document)
    changed["wire"].append({**changed["wire"][index], **told})
    return changed


# Joints


@dataclass(frozen=True)
class Joint:
    """A joint as a piece writes it: its own end, the end it meets, its two joiners as seen from there into it."""

    end: str
    met: str
    left: str = "metal"
    right: str = "metal"

    @property
    def turned(self) -> Joint:
        """The same joint as the other piece would write it: from over there, left and right are exchanged."""
        return Joint(self.met, self.end, self.right, self.left)


def joints_of(document: Document) -> list[Joint]:
    """Every joint of a bench, in the order in which they are written."""
    found = []
    for piece in document.get("track", []):
        order = [end for end in _ENDS[piece["kind"]] if end in piece.get("joins", {})]
        for k, end in enumerate(order):
            states = piece.get("joint", {}) if k == 0 else piece.get("joints", {}).get(end, {})
            sides = (states.get("left", "metal"), states.get("right", "metal"))
            found.append(Joint(f"{piece['id']}.{end}", piece["joins"][end], *sides))
    return found


def with_joints(document: Document, joints: list[Joint]) -> Document:
    """The bench with these joints and no others, each written by the piece of its own end."""
    changed = copy.deepcopy(document)
    for piece in changed.get("track", []):
        for key in ("joins", "joint", "joints"):
            piece.pop(key, None)
        own = {joint.end.partition(".")[2]: joint for joint in joints if joint.end.partition(".")[0] == piece["id"]}
        if not own:
            continue
        piece["joins"] = {end: joint.met for end, joint in own.items()}
        first, *further = [end for end in _ENDS[piece["kind"]] if end in own]
        states = {end: _told(own[end]) for end in own}
        if states[first]:
            piece["joint"] = states[first]
        others = {end: states[end] for end in further if states[end]}
        if others:
            piece["joints"] = others
    return changed


def _told(joint: Joint) -> dict[str, str]:
    return {side: state for side, state in (("left", joint.left), ("right", joint.right)) if state != "metal"}


def turned_joint(document: Document, number: int) -> Document:
    """The bench with one of its joints, by its number in `joints_of`, written by the other piece."""
    joints = joints_of(document)
    joints[number] = joints[number].turned
    return with_joints(document, joints)
