"""What is mounted on the board beside the track: bus bars, motors with their blocks, levers, lamps, polarity units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import pygame

from sim.bench.levers import mover
from sim.bench.model import Changeover, Motor
from sim.electric.parts import PartRef
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import box_of
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import block as blocks
from sim.game.draw.railway import holders
from sim.game.look.fonts import Type
from sim.game.look.theme import mix
from sim.game.picture.sightings import on_mat, told_apart, travel_of
from sim.game.whereabouts.fixtures import BlockPlace
from sim.game.whereabouts.stage import Stage
from sim.session.snapshot import Snapshot
from sim.wiring.telling import listed

__all__ = ["contacts_seen", "mounted", "small"]


def contacts_seen(snapshot: Snapshot, motor: Motor, lids_off: bool) -> tuple[int, ...]:
    """Numbers of a motor's contacts that lie open: marked ones, those found, those that a short's loop goes through."""
    short = snapshot.overload or snapshot.fault
    loop = short.loop if short is not None else ()
    hot = {(step.ref.owner, step.ref.detail[0]) for step in loop if step.ref.kind == "contact"}
    return tuple(
        number
        for number, contact in enumerate(motor.changeovers)
        if lids_off
        or contact.marked
        or (motor.id, number) in snapshot.found
        or (motor.id, number) in hot
    )


def mounted(stage: Stage, snapshot: Snapshot, lids_off: bool) -> tuple[Sprite, ...]:
    """Bus bars, terminal blocks, hand levers, lamps and polarity units. `lids_off`: every contact is seen."""
    return _small_ones(stage) if small(stage) else tuple(_readable(stage, snapshot, lids_off))


def small(stage: Stage) -> bool:
    """Whether blocks and bars are seen so small that they show nothing of the moment."""
    return stage.size < _READABLE


@kept
def _small_ones(stage: Stage) -> tuple[Sprite, ...]:
    return tuple(_small_fixtures(stage))


def _readable(stage: Stage, snapshot: Snapshot, lids_off: bool) -> Iterator[Sprite]:
    unit, theme, bench = stage.grain, stage.theme, stage.bench
    motors = {motor.id: motor for motor in bench.motors}
    several = len(bench.supplies) > 1 or (bench.bus is not None and bool(bench.bus.taps))
    for bar in stage.fixtures.bars:
        if not on_mat(stage, bar.rect):
            continue
        name = bar.terminal.rsplit(".", 1)[0] if several else ""
        yield holders.bar(box_of(bar.rect), unit, theme, bar.side, bar.xs, name, stage.below)
    for place in stage.fixtures.blocks:
        if not on_mat(stage, place.housing.union(place.face)):
            continue
        motor = motors[place.motor]
        seen = (motor.changeovers[number] for number in contacts_seen(snapshot, motor, lids_off))
        at = snapshot.travel.get(mover(motor), 0.0)
        arms = tuple(
            _arm(place.letters, motor.turned, contact, at) for contact in seen
        )
        moves = f"drives {listed(motor.drives)}" if motor.drives else "no points"
        drives: tuple[str, ...] = (moves, f"drives {len(motor.drives)} points") if len(motor.drives) > 1 else (moves,)
        if motor.turned:
            drives = (f"{moves}, turned round", "turned round", "turned")
        yield blocks.block(
            box_of(place.housing),
            box_of(place.face),
            unit,
            theme,
            motor.id,
            drives,
            place.letters,
            place.xs,
            place.upper,
            place.lower,
            arms,
            "Switch" if motor.is_switch else "Lever" if motor.by_hand else "Motor",
        )
        if motor.by_hand:
            foot = (float(place.housing.x + 30 * unit), float(place.housing.y + 60 * unit))
            travel = travel_of(snapshot, mover(motor))
            yield blocks.lever(foot, 1.0 - travel if stage.below else travel, unit, theme)
    for box in stage.fixtures.lamps:
        lamp = next(lamp for lamp in bench.lamps if lamp.id == box.id)
        power = abs(snapshot.amps.get(PartRef("lamp", lamp.id), 0.0)) * lamp.volts / max(lamp.watts, 1e-9)
        yield holders.lamp_box(
            box_of(box.rect),
            unit,
            theme,
            box.id,
            f"{lamp.volts:g} V {lamp.watts:g} W",
            (box.xs[0], box.xs[1]),
            min(10, round(10 * power)),
        )
    for box in stage.fixtures.polarities:
        turned = any(abs(snapshot.amps.get(PartRef("unit", box.id, (end,)), 0.0)) > 1e-6 for end in "bd")
        yield holders.polarity_box(box_of(box.rect), unit, theme, box.id, box.xs, box.letters, turned)


_READABLE = 0.999  # of their natural size: smaller, blocks and bars bear no writing on them


def _small_fixtures(stage: Stage) -> Iterator[Sprite]:
    """Blocks and bars of a large bench seen as a whole, each with its name or side where there is room for it."""
    theme, bars = stage.theme, [bar for bar in stage.fixtures.bars if on_mat(stage, bar.rect)]
    solid = [bar.rect for bar in bars]
    for bar in bars:
        yield holders.small_bar(box_of(bar.rect), stage.grain, theme, bar.xs)
    for bar in bars:
        tag = side_tag(bar.side, stage.unit, theme)
        spot = _beside_bar(stage, bar.rect, tag.get_rect(), solid)
        solid.append(spot)
        yield Sprite(tag, spot.x, spot.y)
    shown = [place for place in stage.fixtures.blocks if on_mat(stage, place.housing.union(place.face))]
    for place in shown:
        yield blocks.small_block(
            box_of(place.housing), box_of(place.face), stage.grain, theme, place.xs, place.upper, place.lower
        )
    yield from _small_names(stage, shown, solid)
    for box in (*stage.fixtures.lamps, *stage.fixtures.polarities):
        if on_mat(stage, box.rect):
            yield holders.small_bar(box_of(box.rect), stage.grain, theme, box.xs)


def _beside_bar(stage: Stage, bar: pygame.Rect, tag: pygame.Rect, solid: Sequence[pygame.Rect]) -> pygame.Rect:
    """Where the tag of a bar lies: before it, or where another bar or tag is there, over it, under it or after it."""
    before, after = ("midleft", "midright") if stage.below else ("midright", "midleft")
    gap = round(3 * stage.unit)
    tries = []
    for corner, at in (
        (before, (bar.right + gap if stage.below else bar.left - gap, bar.centery)),
        ("midbottom", (bar.centerx, bar.top - gap)), ("midtop", (bar.centerx, bar.bottom + gap)),
        (after, (bar.left - gap if stage.below else bar.right + gap, bar.centery)),
    ):  # fmt: skip
        spot = tag.copy()
        setattr(spot, corner, at)
        tries.append(spot.clamp(stage.rooms.mat))
    return next((spot for spot in tries if spot.collidelist(solid) < 0), tries[0])


def _small_names(stage: Stage, shown: Sequence[BlockPlace], solid: list[pygame.Rect]) -> Iterator[Sprite]:
    """The names of small blocks: on their lids where these are high enough, else over them on a plate, the first of
    those that would lie over each other. Where names are long, what is alike at their beginnings is left out."""
    kind, theme = Type(stage.theme, stage.unit), stage.theme
    pitch = min((b.housing.x - a.housing.x for a, b in pairwise(sorted(shown, key=_left))), default=0)
    room = max([pitch - 4, *(place.housing.width - 4 for place in shown)]) if shown else 0
    names = told_apart([place.motor for place in shown], lambda name: kind.width(name, "small") <= room)
    for place, name in zip(shown, names, strict=True):
        lid = pygame.Rect(place.housing.x, place.housing.y, place.housing.width, place.face.y - place.housing.y)
        on_lid = kind.width(name, "small") <= lid.width - 2 and kind.height("small") - 4 <= lid.height
        ink = mix(theme["block-lit"], theme["housing"], 0.08)
        words = kind.line(kind.squeezed(name, "small", max(room, 28 * stage.unit)), "small", ink)
        spot = words.get_rect(center=lid.center) if on_lid else words.get_rect(midbottom=(lid.centerx, lid.y))
        if spot.inflate(6, 0).collidelist(solid) >= 0:
            continue
        solid.append(spot)
        if not on_lid:
            plate = Pen(spot.inflate(4, 0), 2)
            plate.polygon(rounded(box_of(plate.box), 3 * stage.unit), theme["housing"])
            yield plate.done()
        yield Sprite(words, spot.x, spot.y)


def _left(place: BlockPlace) -> int:
    return place.housing.x


def _arm(letters: tuple[str, ...], turned: bool, contact: Changeover, at: float) -> blocks.Arm:
    """A contact's arm as it stands; one that closes nowhere is lifted however the points lie."""
    common, normal, diverging = (letters.index(letter) for letter in contact.letters)
    if turned:
        normal, diverging = diverging, normal
    place = 0.0 if at <= min(contact.travel) else 1.0 if at >= max(contact.travel) else _LIFTED
    return blocks.Arm(common, normal, diverging, _LIFTED if contact.condition == "open" else place)


_LIFTED = 0.5
