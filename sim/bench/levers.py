"""What a hand can set on a bench: every motor with all that it moves, every switch, all points without a motor.

Points are named by their id ("T1"). A **mover** is what has a travel of its own, from normal to diverging: each set of
points, and each switch. Only here stands which mover a motor's contacts go by.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sim.bench.level import SETTINGS
from sim.bench.model import Bench, Motor
from sim.bench.piece import Piece

__all__ = [
    "Lever",
    "filed_settings",
    "lever_named",
    "lever_of",
    "levers",
    "mover",
    "set_alike",
    "with_settings",
]


@dataclass(frozen=True)
class Lever:
    """What is thrown as one.

    id: of the motor or switch, or of the points where no motor moves them
    points: ids of the points that it moves; none for a switch
    motor: the motor, hand lever or switch; None for points without
    setting: "normal" or "diverging", as filed
    """

    id: str
    points: tuple[str, ...]
    motor: Motor | None
    setting: str

    @property
    def is_switch(self) -> bool:
        """Whether it moves no points: its contacts change over, and no more."""
        return not self.points

    @property
    def movers(self) -> tuple[str, ...]:
        """What it lets travel: its points, or a switch itself."""
        return self.points or (self.id,)


def mover(motor: Motor) -> str:
    """Whose travel a motor's contacts go by: that of its first points; of a switch, its own."""
    return motor.drives[0] if motor.drives else motor.id


def filed_settings(bench: Bench) -> dict[str, str]:
    """How each mover stands as filed, "normal" or "diverging": points in the order of the track, then switches."""
    stand = {points.id: points.setting for points in bench.point_sets}
    return stand | {motor.id: motor.set or SETTINGS[0] for motor in bench.motors if not motor.drives}


def levers(bench: Bench) -> tuple[Lever, ...]:
    """Every lever of a bench: motors and switches as filed, then points without a motor as filed."""
    stand = filed_settings(bench)
    found = [Lever(motor.id, motor.drives, motor, stand[mover(motor)]) for motor in bench.motors]
    driven = {points for motor in bench.motors for points in motor.drives}
    switches = {motor.id for motor in bench.motors if not motor.drives}
    by_hand = (name for name in stand if name not in driven and name not in switches)
    return (*found, *(Lever(points, (points,), None, stand[points]) for points in by_hand))


def lever_of(bench: Bench, points: str) -> Lever:
    """The lever that throws the points of that id. Raises KeyError where there are no such points."""
    lever = lever_named(bench, points)
    if lever is None or points not in lever.points:
        raise KeyError(points)
    return lever


def lever_named(bench: Bench, name: str) -> Lever | None:
    """The lever of that id, or the one that throws the points of that id; None if there is none."""
    return next((lever for lever in levers(bench) if name == lever.id or name in lever.points), None)


def with_settings(bench: Bench, settings: Mapping[str, str]) -> Bench:
    """The bench with these movers set; those left out stay. The same bench where nothing changes.

    Raises ValueError for an unknown word.
    """
    for name, setting in settings.items():
        if setting not in SETTINGS:
            raise ValueError(f"{name} cannot be set to {setting}")
    stand = filed_settings(bench)
    changed = {name: setting for name, setting in settings.items() if stand.get(name, setting) != setting}
    if not changed:
        return bench
    tracks = (_piece_set(piece, changed) for piece in bench.tracks)
    motors = (replace(motor, set=changed[motor.id]) if motor.id in changed else motor for motor in bench.motors)
    return replace(bench, tracks=tuple(tracks), motors=tuple(motors))


def _piece_set(piece: Piece, changed: Mapping[str, str]) -> Piece:
    for points in piece.point_sets:
        piece = piece.with_setting(changed[points.id], points.id) if points.id in changed else piece
    return piece


def set_alike(bench: Bench, motor: Motor) -> Bench:
    """The bench with all points that this motor moves set as the first of them is."""
    stand = filed_settings(bench)
    first = next((stand[points] for points in motor.drives if points in stand), None)
    return bench if first is None else with_settings(bench, dict.fromkeys(motor.drives, first))
