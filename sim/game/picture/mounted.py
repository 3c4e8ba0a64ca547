"""What is mounted on the board beside the track: bus bars, motors with their blocks, levers, lamps, polarity units."""

from __future__ import annotations

from collections.abc import Iterator

from sim.bench.levers import mover
from sim.bench.model import Motor
from sim.electric.parts import PartRef
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import box_of
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway import block as blocks
from sim.game.draw.railway.plywood import INK
from sim.game.look.fonts import Type
from sim.game.picture.sightings import on_mat, travel_of
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
        yield blocks.bar(box_of(bar.rect), unit, theme, bar.side, bar.xs, name, stage.below)
    for place in stage.fixtures.blocks:
        if not on_mat(stage, place.housing.union(place.face)):
            continue
        motor = motors[place.motor]
        seen = (motor.changeovers[number] for number in contacts_seen(snapshot, motor, lids_off))
        at = snapshot.travel.get(mover(motor), 0.0)
        arms = tuple(
            _arm(place.letters, motor.turned, contact.letters, contact.travel, at) for contact in seen
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
        yield blocks.lamp_box(
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
        yield blocks.polarity_box(box_of(box.rect), unit, theme, box.id, box.xs, box.letters, turned)


_READABLE = 0.999  # of their natural size: smaller, blocks and bars bear no writing on them


def _small_fixtures(stage: Stage) -> Iterator[Sprite]:
    """Blocks and bars of a large bench seen as a whole, each with its name or side where there is room for it."""
    kind, theme = Type(stage.theme, stage.unit), stage.theme
    for bar in stage.fixtures.bars:
        if on_mat(stage, bar.rect):
            yield blocks.small_bar(box_of(bar.rect), stage.grain, theme, bar.xs)
            tag = side_tag(bar.side, stage.unit, theme)
            aside = bar.rect.right + 3 if stage.below else bar.rect.x - tag.get_width() - 3
            yield Sprite(tag, aside, round(bar.rect.centery - tag.get_height() / 2))
    named = [bar.rect for bar in stage.fixtures.bars]
    for place in stage.fixtures.blocks:
        whole = place.housing.union(place.face)
        if not on_mat(stage, whole):
            continue
        yield blocks.small_block(
            box_of(place.housing), box_of(place.face), stage.grain, theme, place.xs, place.upper, place.lower
        )
        name = kind.line(place.motor, "small", INK if stage.below else theme["label"])
        spot = name.get_rect(midbottom=(whole.centerx, whole.y))
        if spot.inflate(6, 0).collidelist(named) < 0:
            named.append(spot)
            yield Sprite(name, spot.x, spot.y)
    for box in (*stage.fixtures.lamps, *stage.fixtures.polarities):
        if on_mat(stage, box.rect):
            yield blocks.small_bar(box_of(box.rect), stage.grain, theme, box.xs)


def _arm(
    letters: tuple[str, ...], turned: bool, contact: tuple[str, str, str], travel: tuple[float, float], at: float
) -> blocks.Arm:
    common, normal, diverging = (letters.index(letter) for letter in contact)
    if turned:
        normal, diverging = diverging, normal
    place = 0.0 if at <= min(travel) else 1.0 if at >= max(travel) else 0.5
    return blocks.Arm(common, normal, diverging, place)
