"""The throttle: an enamelled panel with a slider, a direction rocker and levers for points and switches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, panel, put, rocker
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = [
    "LEVERS",
    "Lever",
    "Stand",
    "direction_rects",
    "knob",
    "knob_rect",
    "lever_rects",
    "lever_words",
    "levers_shown",
    "name_rect",
    "slider_rect",
    "throttle",
]

LEVERS = 3
_SETTINGS = ("normal", "diverging")


class Stand(NamedTuple):
    """How the throttle stands: the train's name (empty: no train), its place in `trains`, the way it is set to go.

    rightward: to the right on the screen, however the train faces
    """

    name: str
    number: int
    trains: int
    rightward: bool


class Lever(NamedTuple):
    """A lever: the first points that it moves, or the switch that it is; its setting ("normal", "diverging"); whether
    it is on its way; what may be written over it, the longest first, if that is other than the first name.
    """

    piece: str
    setting: str
    moving: bool
    names: tuple[str, ...] = ()

    def label(self, kind: Type, role: str, width: float) -> str:
        """What is written over it: the first of its names that has room, or the last with its middle left out."""
        every = self.names or (self.piece,)
        return kind.squeezed(next((name for name in every if kind.width(name, role) <= width), every[-1]), role, width)


def _lacking(box: Box, unit: float) -> float:
    """How much lower than its full 224 px the panel is, layout px."""
    return max(0.0, 224.0 - box[3] / unit)


def _more(box: Box, unit: float) -> float:
    """How much higher than its full 224 px the panel is, layout px, as far as its levers make use of it."""
    return min(120.0, max(0.0, box[3] / unit - 224.0))


def slider_rect(box: Box, unit: float) -> pygame.Rect:
    """The slot of the slider: its left end is 0, its right end 100."""
    x, y, w, _ = box
    top = y + (75 - 0.5 * _lacking(box, unit) + 0.1 * _more(box, unit)) * unit
    return pygame.Rect(round(x + 28 * unit), round(top), round(w - 56 * unit), round(9 * unit))


def name_rect(box: Box, unit: float) -> pygame.Rect:
    """The line with the train's name."""
    x, y, w, _ = box
    return pygame.Rect(round(x + 16 * unit), round(y + 34 * unit), round(w - 32 * unit), round(24 * unit))


def knob_rect(box: Box, unit: float, share: float) -> pygame.Rect:
    """The slider's knob at a throttle of 0..1."""
    slot = slider_rect(box, unit)
    return pygame.Rect(
        round(slot.x + slot.width * share - 11 * unit),
        round(slot.centery - 17 * unit),
        round(22 * unit),
        round(34 * unit),
    )


def direction_rects(box: Box, unit: float) -> tuple[pygame.Rect, pygame.Rect]:
    """The two halves of the direction rocker: to the left, to the right."""
    x, y, _, h = box
    top = round(y + h - (87 - 0.3 * _lacking(box, unit)) * unit)
    left = round(x + 17 * unit)
    half = round(41 * unit)
    return pygame.Rect(left, top, half, round(41 * unit)), pygame.Rect(left + half, top, half, round(41 * unit))


def lever_box(box: Box, unit: float) -> pygame.Rect:
    """The well in which the levers stand."""
    x, y, w, h = box
    wide = w - 124 * unit
    high = 87 - 0.5 * _lacking(box, unit) + 0.6 * _more(box, unit)
    return pygame.Rect(
        round(x + w - 16 * unit - wide), round(y + h - (15 + high) * unit), round(wide), round(high * unit)
    )


def levers_shown(count: int, chosen: int) -> range:
    """Which of the levers are in the well when there are more than fit, so that the chosen one is among them."""
    first = min(max(0, chosen - LEVERS // 2), max(0, count - LEVERS))
    return range(first, min(count, first + LEVERS))


def lever_rects(box: Box, unit: float, count: int, chosen: int = 0) -> dict[int, pygame.Rect]:
    """The place of every lever in the well, by its number."""
    place = lever_box(box, unit)
    numbers = levers_shown(count, chosen)
    if not numbers:
        return {}
    width = place.width / len(numbers)
    return {
        n: pygame.Rect(round(place.x + k * width), place.y, round(width), place.height) for k, n in enumerate(numbers)
    }


def lever_words(box: Box, unit: float, count: int) -> dict[str, pygame.Rect]:
    """Where the words "normal" and "diverging" stand beside a single lever; empty beside several, which have none."""
    rects = lever_rects(box, unit, count)
    if len(rects) != 1:
        return {}
    (spot,) = rects.values()
    left, high = round(spot.x + 36 * unit), round(30 * unit)
    rows = {"normal": spot.y + 19 * unit, "diverging": spot.bottom - 19 * unit}
    return {word: pygame.Rect(left, round(y - high / 2), spot.right - left, high) for word, y in rows.items()}


def _told_each(kind: Type, levers: Sequence[Lever], places: Mapping[int, pygame.Rect]) -> dict[int, str]:
    """What stands at the foot of the well under several levers, by lever: how each stands, where that has room."""
    widest = max(kind.width(word, "small-bold") for word in _SETTINGS)
    if all(widest <= place.width - 2 for place in places.values()):
        return {n: levers[n].setting for n in places}
    return {}


def _told_of(kind: Type, lever: Lever, width: float) -> str:
    """How one of several levers stands, with its name, in so much room: "T1 diverging"."""
    room = width - kind.width(f" {lever.setting}", "small-bold")
    return f"{lever.label(kind, 'small-bold', room)} {lever.setting}"


def _lever(pen: Pen, slot_x: float, place: pygame.Rect, unit: float, lever: Lever, word: float) -> tuple[float, float]:
    """The slot of a lever, and where its handle is; `word`: px for what stands under it, 0 for a single lever."""
    top, foot = place.y + 19 * unit, place.bottom - 19 * unit
    if word:
        top, foot = place.y + word + 10 * unit, place.bottom - word - 9 * unit
    pen.polygon(
        rounded((slot_x - 5.5 * unit, top - 7 * unit, 11 * unit, foot - top + 14 * unit), 5.5 * unit), (2, 3, 4)
    )
    y = (top + foot) / 2 if lever.moving else top if lever.setting == "normal" else foot
    return slot_x, y


def _handle(centre: tuple[float, float], unit: float, theme: Theme, width: float) -> Sprite:
    cx, cy = centre
    area = pygame.Rect(round(cx - width / 2 - 3), round(cy - 10 * unit), round(width + 6), round(20 * unit))
    pen = Pen(area, 4)
    pen.polygon(rounded((cx - width / 2, cy - 7.5 * unit, width, 15 * unit), 7 * unit), (24, 26, 28))
    pen.wash(
        rounded((cx - width / 2 + unit, cy - 6.5 * unit, width - 2 * unit, 13 * unit), 6.2 * unit),
        ((250, 250, 250), (206, 207, 208), (150, 152, 154), (196, 197, 198)),
    )
    part = pen.done()
    return merge([shade(part, (2 * unit, 4 * unit), 3.4 * unit, 0.6 * theme.shadow), part])


@kept
def throttle(box: Box, unit: float, theme: Theme, stand: Stand, levers: Sequence[Lever], chosen: int) -> Sprite:
    """The panel with everything but the slider's knob and the filled part of its slot."""
    kind = Type(theme, unit)
    base = panel(box, unit, theme, "Throttle")
    area = pygame.Rect(box)
    pen = Pen(area, 3)
    slot = slider_rect(box, unit)
    pen.polygon(
        rounded((slot.x - 6 * unit, slot.y - unit, slot.width + 12 * unit, slot.height + 3 * unit), 6 * unit),
        (190, 205, 215),
        0.18,
    )
    pen.polygon(rounded((slot.x - 7 * unit, slot.y, slot.width + 14 * unit, slot.height), 5 * unit), (2, 3, 4))
    for k in range(11):
        x = slot.x + slot.width * k / 10
        length = 8 if k % 5 == 0 else 5
        pen.span(
            x - 0.8 * unit,
            slot.bottom + 9 * unit,
            x + 0.8 * unit,
            slot.bottom + (9 + length) * unit,
            theme["engraved-quiet"],
        )
    back, fore = direction_rects(box, unit)
    rocker(
        pen,
        (back.x, back.y, back.width + fore.width, back.height),
        "right" if stand.rightward else "left",
        unit,
        theme["rocker"],
        (44, 41, 35),
    )
    for half, sign in ((back, -1), (fore, 1)):
        chosen_way = stand.rightward == (sign > 0)
        cx, cy = half.center
        colour = (250, 240, 214) if chosen_way else (140, 133, 116)
        pen.polygon(
            [
                (cx - sign * 6.5 * unit, cy - 9 * unit),
                (cx + sign * 7.5 * unit, cy),
                (cx - sign * 6.5 * unit, cy + 9 * unit),
            ],
            colour,
        )
    handles: list[Sprite] = []
    if levers:
        place = lever_box(box, unit)
        pen.polygon(
            rounded((place.x - 1, place.y - 1, place.width + 2, place.height + 3), 8 * unit), (190, 205, 215), 0.16
        )
        pen.polygon(
            rounded((place.x, place.y, place.width, place.height), 7 * unit),
            mix(theme["enamel-foot"], (0, 0, 0), 0.45 if theme.lamp else 0.12),
        )
        places = lever_rects(box, unit, len(levers), chosen)
        single = len(places) == 1
        for n, spot in places.items():
            slot_x = spot.x + 21 * unit if single else spot.centerx
            at = _lever(pen, slot_x, spot, unit, levers[n], 0.0 if single else kind.height("small-bold"))
            if single:
                for y, state in ((spot.y + 19 * unit, "normal"), (spot.bottom - 19 * unit, "diverging")):
                    pen.polygon(
                        rounded((spot.x + 38 * unit, y - 1.4 * unit, 6 * unit, 2.8 * unit), unit),
                        theme["engraved"] if levers[n].setting == state else theme["engraved-quiet"],
                    )
            handles.append(_handle(at, unit, theme, (30 if single else 26) * unit))
    whole = merge([base, pen.done(), *handles])
    surface, dx, dy = whole.surface, whole.x, whole.y
    line = name_rect(box, unit)
    name = stand.name or "no train on the bench"
    room = line.width - (44 * unit if stand.trains > 1 else 0)
    top = min(line.y, knob_rect(box, unit, 0.0).y - kind.height("body"))  # larger type keeps clear of the knob
    put(surface, (line.x - dx, top - dy), kind.fit(name, "body", room), "body", theme["engraved-quiet"], kind)
    if stand.trains > 1:
        put(
            surface,
            (line.right - dx, line.y - dy),
            f"{stand.number + 1} of {stand.trains}",
            "mark",
            theme["engraved-quiet"],
            kind,
            "right",
        )
    for text, share in (("0", 0.0), ("50", 0.5), ("100", 1.0)):
        put(
            surface,
            (slot.x + slot.width * share - dx, slot.bottom + 17 * unit - dy),
            text,
            "small",
            theme["engraved-quiet"],
            kind,
            "middle",
        )
    put(
        surface,
        (fore.x - dx, fore.bottom + 7 * unit - dy),
        "direction" if not stand.name else "goes right" if stand.rightward else "goes left",
        "small-bold" if stand.name else "small",
        theme["engraved" if stand.name else "engraved-quiet"],
        kind,
        "middle",
    )
    if levers:
        places = lever_rects(box, unit, len(levers), chosen)
        if len(places) > 1:
            _words_under(surface, (dx, dy), kind, levers, places, chosen)
        for n, spot in places.items():
            lever = levers[n]
            if len(lever_rects(box, unit, len(levers), chosen)) == 1:
                x = spot.x + 50 * unit - dx
                high = kind.height("mark")
                for y, state in ((spot.y + 19 * unit, "normal"), (spot.bottom - 19 * unit, "diverging")):
                    on = lever.setting == state and not lever.moving
                    put(
                        surface,
                        (x, y - high / 2 - dy),
                        state,
                        "small-bold" if on else "small",
                        theme["engraved"] if on else theme["engraved-quiet"],
                        kind,
                    )
                put(
                    surface,
                    (x, spot.centery - kind.height("body") / 2 - dy),
                    lever.label(kind, "body-bold", 54 * unit),
                    "body-bold",
                    theme["engraved"],
                    kind,
                )
            else:
                put(
                    surface,
                    (spot.centerx - dx, spot.y + 3 * unit - dy),
                    lever.label(kind, "small-bold", spot.width - 4),
                    "small-bold",
                    theme["engraved"],
                    kind,
                    "middle",
                )
    return whole


def _words_under(
    surface: pygame.Surface, off: tuple[int, int], kind: Type, levers: Sequence[Lever],
    places: Mapping[int, pygame.Rect], chosen: int,
) -> None:  # fmt: skip
    """Under several levers how each of them stands; where that has no room, how the one stands that was last thrown."""
    each = _told_each(kind, levers, places)
    well = pygame.Rect(next(iter(places.values()))).unionall(list(places.values()))
    rows = [(places[n].centerx, word, levers[n].moving) for n, word in each.items()]
    if not each:
        lever = levers[chosen if chosen in places else next(iter(places))]
        rows = [(well.centerx, _told_of(kind, lever, well.width - 6 * kind.scale), lever.moving)]
    y = well.bottom - kind.height("small-bold") - kind.scale
    for x, word, moving in rows:
        colour = kind.theme["engraved-quiet" if moving else "engraved"]
        put(surface, (x - off[0], y - off[1]), word, "small" if moving else "small-bold", colour, kind, "middle")


@kept
def knob(box: Box, unit: float, theme: Theme, share: float) -> Sprite:
    """The slider's knob at a throttle of 0..1, with the slot filled up to it."""
    slot = slider_rect(box, unit)
    rect = knob_rect(box, unit, share)
    fill = Pen(pygame.Rect(slot.x - round(6 * unit), slot.y, rect.centerx - slot.x + round(6 * unit), slot.height), 3)
    if share > 0.005:
        colour = theme["slot-fill"]
        fill.polygon(
            rounded(
                (slot.x - 5 * unit, slot.y + 2 * unit, rect.centerx - slot.x + 5 * unit, slot.height - 4 * unit),
                3 * unit,
            ),
            mix(colour, (120, 110, 90), 0.2),
        )
    pen = Pen(rect.inflate(4, 4), 4)
    x, y, w, h = rect
    pen.polygon(rounded((x, y, w, h), 5 * unit), (64, 50, 28))
    pen.wash(
        rounded((x + unit, y + unit, w - 2 * unit, h - 2 * unit), 4 * unit),
        ((246, 238, 214), (218, 205, 172), (170, 156, 122), (226, 214, 184)),
    )
    pen.span(x + 3.5 * unit, y + h / 2 - 1.2 * unit, x + w - 3.5 * unit, y + h / 2 + 1.2 * unit, (90, 78, 52))
    part = pen.done()
    merged = merge([fill.done(), shade(part, (2 * unit, 4 * unit), 3.5 * unit, 0.6 * theme.shadow), part])
    lay(merged.surface, part.surface, (part.x - merged.x, part.y - merged.y))
    return merged
