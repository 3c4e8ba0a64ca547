"""Instruments, job sheet, frog slip and top rail, as sprites: what they show is read off the snapshot here."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pygame

from sim.bench.levers import filed_settings
from sim.bench.levers import levers as every_lever
from sim.bench.model import Bench
from sim.bench.point_set import setting_near
from sim.coach.assessment import assess, told
from sim.coach.mending import mending
from sim.coach.readings import CORRECT
from sim.game.draw.instruments import meter as meters
from sim.game.draw.instruments import supply as supplies
from sim.game.draw.instruments import throttle as throttles
from sim.game.draw.pen.icons import TopItem, top_rail
from sim.game.draw.pen.ink import Pen, Sprite, lay, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, dim
from sim.game.draw.railway.embers import EMBER
from sim.game.draw.slips import sheet as sheets
from sim.game.draw.slips import slip as slips
from sim.game.draw.slips.fault_strip import fault_strip, strip_height
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.look.wording import GOALS, ohms_words, pace_words, story_of
from sim.game.picture.hotways import burns
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import ViewState
from sim.session.frogs import frog_pieces
from sim.session.snapshot import ReadingView, Snapshot, SupplyView, TrainView
from sim.syllabus import chapter_title
from sim.wiring.names import section_of

__all__ = [
    "SPOILT_WORDS",
    "TEST_WORDS",
    "box_of",
    "drawer_lies_open",
    "fault_words",
    "folded_away",
    "folded_box",
    "frog_table",
    "goes_right",
    "levers",
    "needle_target",
    "page_of",
    "panels",
    "progress",
    "right_sign",
    "several_frogs",
    "sheet_lies_open",
    "sheet_sprites",
    "short_told",
    "slip_box",
    "slip_sprites",
    "strip_box",
    "supply_face",
    "top",
    "top_row",
]

TEST_WORDS = "Test every route"
_RESET = "Reset: press the rocker on the supply."
SPOILT_WORDS = "Taken with the supply plugged in: again."


def top_row(snapshot: Snapshot, view: ViewState, *, judged: bool = False) -> tuple[TopItem, ...]:
    """The buttons of the top rail; `judged`: under the result sheet, where what changes the bench waits."""
    own = (TopItem("save", "Save", "save", not judged),) if snapshot.bench.level is None else ()
    return (
        TopItem("jobs", "Jobs", "back", True),
        *own,
        TopItem("pace", pace_words(view.pace), "clock", not judged),
        TopItem("undo", "Undo", "undo", snapshot.can_undo and not judged),
        TopItem("redo", "Redo", "redo", snapshot.can_redo and not judged),
        TopItem("sheet", "Print" if own else "", "print", True),
        TopItem("turn", "Turn over", "turn", not judged),
        TopItem("keys", "Keys", "F1", True),
        TopItem("settings", "Settings", "gear", True),
    )


def top(stage: Stage, snapshot: Snapshot, view: ViewState, *, judged: bool = False) -> Sprite:
    """The rail along the top; `judged`: over a result sheet."""
    title = view.chapter or stage.bench.title
    job = f"{view.job}, seen from below".removeprefix(", ") if stage.below else view.job
    row = top_row(snapshot, view, judged=judged)
    return Sprite(top_rail(box_of(stage.rooms.top), stage.unit, stage.theme, row, title, job), 0, 0)


# Instruments


def supply_now(snapshot: Snapshot, view: ViewState) -> SupplyView | None:
    """The supply whose panel is shown."""
    if not snapshot.supplies:
        return None
    tripped = [supply for supply in snapshot.supplies if supply.tripped]
    return tripped[0] if tripped else snapshot.supplies[min(view.supply, len(snapshot.supplies) - 1)]


def supply_face(bench: Bench, snapshot: Snapshot, view: ViewState) -> supplies.Face:
    """What the supply's panel shows; of a tripped one the amps that flowed."""
    shown = supply_now(snapshot, view)
    if shown is None:
        return supplies.Face("none", 3.0, 0.0, "off", "no supply")
    model = next(supply for supply in bench.supplies if supply.id == shown.id)
    aside = f"{model.kind.upper()} {model.volts:g} V"
    if len(snapshot.supplies) > 1:
        aside = f"{shown.id} {aside}"
    amps = round(abs(shown.amps), 2)
    if shown.tripped:
        told = snapshot.fault is not None and snapshot.fault.supply == shown.id
        flowed = snapshot.fault.amps if snapshot.fault is not None and told else amps
        status = "breaker open" if shown.plugged else "unplugged"
        return supplies.Face(aside, model.trip_amps, round(flowed, 1), "open", status, told)
    if not shown.plugged:
        return supplies.Face(aside, model.trip_amps, amps, "on" if shown.on else "off", "unplugged")
    foot = f"opens at {model.trip_amps:g} A"
    if shown.over_seconds > 0:
        foot = f"too much for {shown.over_seconds * 1000:.0f} ms"
    return supplies.Face(aside, model.trip_amps, amps, "on" if shown.on else "off", foot)


def needle_target(bench: Bench, snapshot: Snapshot, view: ViewState) -> float:
    """Where the ammeter's needle wants to be, degrees."""
    shown = supply_now(snapshot, view)
    if shown is None:
        return 150.0
    model = next(supply for supply in bench.supplies if supply.id == shown.id)
    return supplies.needle_angle(abs(shown.amps), model.trip_amps)


def levers(stage: Stage, snapshot: Snapshot) -> tuple[throttles.Lever, ...]:
    """One lever for all that is thrown together, in the order of the track, then the switches."""
    order = {name: k for k, name in enumerate(filed_settings(stage.bench))}
    out = []
    together = [(sorted(lever.movers, key=order.__getitem__), lever.id) for lever in every_lever(stage.bench)]
    for moved, name in sorted(together, key=lambda row: order[row[0][0]]):
        first = moved[0]
        setting = setting_near(snapshot.travel.get(first, 0.0))
        names = ("+".join(moved), name) if len(moved) > 1 else ()
        out.append(throttles.Lever(first, setting, first in snapshot.throwing, names))
    return tuple(out)


def right_sign(stage: Stage, snapshot: Snapshot, train: TrainView) -> int:
    """The direction (+1 or -1) that takes a train to the right on the screen, as it stands.

    On a digital supply +1 is towards its leading end. On DC it hangs on which rail is fed from which side; where that
    cannot be seen, as on a digital one.
    """
    heading = next((axle[2] for vehicle in train.vehicles for axle in vehicle.axles), 0.0)
    lead = 1 if (math.cos(heading) >= 0) != stage.below else -1
    return lead * _towards_lead(stage.bench, snapshot, train)


def _towards_lead(bench: Bench, snapshot: Snapshot, train: TrainView) -> int:
    if bench.supplies and bench.supplies[0].kind == "dc":
        for vehicle in train.vehicles:
            for left, right in vehicle.touching:
                sides = tuple({snapshot.feeds.get(section_of(node)) for node in nodes} for nodes in (left, right))
                if sides == ({"A"}, {"B"}):
                    return -1  # side A is positive in direction +1, and positive on the right-hand rail drives forward
                if sides == ({"B"}, {"A"}):
                    return 1
    return 1


def goes_right(stage: Stage, snapshot: Snapshot, train: TrainView) -> bool:
    """Whether its direction takes a train to the right on the screen."""
    return train.direction == right_sign(stage, snapshot, train)


def panels(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """Meter, supply and throttle; in a short the first and the last are dimmed."""
    unit, theme, rooms = stage.unit, stage.theme, stage.rooms
    fault = burns(snapshot) is not None and (view.hot is None or view.hot.level >= EMBER)
    now = snapshot.meter
    caution = "unplug the supply first" if now.caution else ""
    parts = [
        meters.meter(box_of(rooms.meter), unit, theme, now.dial, meters.shown(now.dial, now.value), now.beeps, caution)
    ]
    yield from (_dimmed(part) if fault else part for part in parts)
    box = box_of(rooms.supply)
    yield supplies.supply(box, unit, theme, supply_face(stage.bench, snapshot, view))
    yield supplies.needle(box, unit, theme, round(view.needle * 2) / 2)
    train = snapshot.trains[min(view.train, len(snapshot.trains) - 1)] if snapshot.trains else None
    stand = throttles.Stand("", 0, 0, True)
    if train is not None:
        name = next((vehicle.name for vehicle in train.vehicles), train.id)
        count = len(snapshot.trains)
        stand = throttles.Stand(name, min(view.train, count - 1), count, goes_right(stage, snapshot, train))
    box = box_of(rooms.throttle)
    share = round(train.throttle, 2) if train is not None else 0.0
    parts = [
        throttles.throttle(box, unit, theme, stand, levers(stage, snapshot), view.lever),
        throttles.knob(box, unit, theme, share),
    ]
    yield from (_dimmed(part) if fault else part for part in parts)


@kept
def _dimmed(part: Sprite) -> Sprite:
    return dim(part, 0.42, 0.0)


# The job sheet


def page_of(stage: Stage, snapshot: Snapshot, view: ViewState) -> sheets.Page:
    """What stands on the job sheet now."""
    bench = stage.bench
    level = bench.level
    goals = tuple(sheets.Goal(GOALS.get(goal.name, goal.words), goal.done) for goal in assess(snapshot).goals)
    able = view.testing is None
    log = told(snapshot)
    half = "brief" if (len(log) <= view.filed) != (view.turned == len(log)) else "log"
    if snapshot.fault is not None and short_told(snapshot):
        story, hot = story_of(bench, snapshot.fault)
        text = fault_words(snapshot)
        hint = _hint_words(view)
        story, hot = ((), -1) if hint is not None else (story, hot)
        return sheets.Page(
            bench.title,
            "Short: it opened again" if snapshot.fault.again else "Short: breaker open",
            text,
            () if story or hint is not None else goals,  # once the loop is no more, the sheet is the job's again
            () if story else tuple(line for line in log[-8:] if line != snapshot.fault.text),
            story,
            hot,
            "pencil-red",
            _RESET,
            "",
            False,
            hint=hint,
        )
    brief = level.brief if level is not None else ""
    eyebrow = view.job or (chapter_title(level.chapter) if level is not None else "")
    page = sheets.Page(eyebrow, bench.title, brief, goals, log[-24:], (), -1, "ink", "", TEST_WORDS, able, half)
    return page._replace(hint=_hint_words(view), names=level is not None, turned=view.turned == len(log))


def short_told(snapshot: Snapshot) -> bool:
    """Whether the job sheet is that of a short: until the breaker is closed again, or the plug is pulled for work."""
    fault = snapshot.fault
    return fault is not None and (bool(fault.loop) or any(supply.plugged for supply in snapshot.supplies))


def fault_words(snapshot: Snapshot) -> str:
    """What a fault was; while what opened the breaker still stands, also what is to be mended; "" without one."""
    fault = snapshot.fault
    return "" if fault is None else " ".join(filter(None, (fault.text, mending(snapshot))))


def _hint_words(view: ViewState) -> tuple[str, str] | None:
    """Heading and words of the hint that lies open."""
    if view.hint is None:
        return None
    more = "" if view.hint.stage >= 3 else " Ask again for more."
    return f"Hint {view.hint.stage} of 3, free of marks", view.hint.text + more


def _count(snapshot: Snapshot) -> str:
    """How many goals are reached, for the folded sheet."""
    goals = assess(snapshot).goals
    return f"{sum(goal.done for goal in goals)} of {len(goals)}" if goals else ""


def folded_box(stage: Stage, snapshot: Snapshot) -> Box:
    """Where the folded sheet lies: as wide as its words."""
    rect = stage.rooms.folded
    kind = Type(stage.theme, stage.unit)
    width = sheets.folded_width(stage.unit, kind, stage.bench.title or "Bench", _count(snapshot))
    return rect.x, rect.y, min(max(rect.width, width), stage.rooms.mat.width - round(60 * stage.unit)), rect.height


def drawer_lies_open(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the drawer of pieces lies where the job sheet does: on a bench without a job, unless there is a short."""
    return snapshot.bench.level is None and not short_told(snapshot) and not view.folded and view.broken is None


def sheet_lies_open(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the job sheet itself is seen, open or folded."""
    return snapshot.bench.level is not None or short_told(snapshot) or view.folded


def folded_away(snapshot: Snapshot, view: ViewState) -> bool:
    """Whether the job sheet lies folded: a short unfolds it, but from below, where it would cover the terminals."""
    return view.folded and (not short_told(snapshot) or view.below)


def strip_box(stage: Stage, snapshot: Snapshot, view: ViewState) -> Box | None:
    """Where the strip lies that says what a short was, from below; None when there is none.

    It lies along the mat's foot in the place of the frog's slip, beside the parked tools.
    """
    if not short_told(snapshot) or not view.below or not folded_away(snapshot, view):
        return None
    unit, mat = stage.unit, stage.rooms.mat
    left, right = mat.x + round(_TOOLS_PX * unit), mat.right - round(30 * unit)
    high = strip_height(Type(stage.theme, unit), right - left, fault_words(snapshot), _RESET)
    return left, mat.bottom + round(3 * unit) - high, right - left, high


_TOOLS_PX = 196.0  # that the parked tools take from the mat's left edge


def sheet_sprites(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """The job sheet, open or folded, and the bar of a running test."""
    unit, theme, rooms = stage.unit, stage.theme, stage.rooms
    if folded_away(snapshot, view):
        title = stage.bench.title or "Bench"
        yield sheets.folded(folded_box(stage, snapshot), unit, theme, title, _count(snapshot))
        strip = strip_box(stage, snapshot, view)
        if strip is not None:
            yield fault_strip(strip, unit, theme, fault_words(snapshot), _RESET)
        return
    if not sheet_lies_open(snapshot, view):
        return
    box = box_of(rooms.sheet)
    page = page_of(stage, snapshot, view)
    yield sheets.sheet(box, unit, theme, page)
    if view.testing is not None and page.test:
        spot = sheets.sheet_buttons(box, unit, Type(theme, unit), page.test)["test"]
        yield progress(spot, unit, theme, view.testing)


def progress(rect: pygame.Rect, unit: float, theme: Theme, share: float, words: str = "Testing, ") -> Sprite:
    """A bar that fills while the test runs; `words`: before its share."""
    pen = Pen(rect, 3)
    x, y, w, h = rect
    pen.polygon(rounded((x, y, w, h), 7 * unit), theme["ink-second"])
    filled = max(14 * unit, (w - 4 * unit) * min(1.0, share))
    pen.wash(
        rounded((x + 2 * unit, y + 2 * unit, filled, h - 4 * unit), 5 * unit), (theme["clean-top"], theme["clean-foot"])
    )
    end = x + 2 * unit + filled
    for top in (y + 2 * unit, y + h - 6 * unit):  # a mark where it ends, above and below the words
        pen.span(end - 2 * unit, top, end, top + 4 * unit, theme["paper"])
    sprite = pen.done()
    kind = Type(theme, unit)
    label = kind.line(f"{words}{math.floor(share * 100)} %", "button", theme["button-text"])
    lay(sprite.surface, label, ((w - label.get_width()) / 2, (h - label.get_height()) / 2))
    return sprite


# The frog's slip


def slip_wanted(stage: Stage) -> bool:
    """Whether this bench has a frog slip at all."""
    return bool(frog_pieces(stage.bench))


def several_frogs(stage: Stage) -> bool:
    """Whether the slip can be turned to another frog."""
    return len(frog_pieces(stage.bench)) > 1


def slip_asked(stage: Stage) -> bool:
    """Whether the level asks for something to be said before power."""
    return stage.bench.level is not None and bool(stage.bench.level.predict)


def slip_box(stage: Stage, view: ViewState) -> Box:
    """Where the slip lies: at the lower left of the mat (from below: right), or only its upper edge, folded."""
    rect = stage.slip
    if view.slip:
        return box_of(rect)
    height = round(28 * stage.unit)
    width = round(180 * stage.unit)
    return rect.right - width if stage.below else rect.x, rect.bottom - height, width, height


def frog_table(stage: Stage, snapshot: Snapshot, view: ViewState) -> slips.FrogTable:
    """What stands on the slip now."""
    pieces = frog_pieces(stage.bench)
    piece = pieces[view.frog % len(pieces)]
    level = stage.bench.level
    asked = level is not None and piece in level.predict
    wanted = level.readings if level is not None and "checked" in level.goals else 0
    said = {(p.piece, p.setting): p.side for p in snapshot.predictions}
    rows: dict[tuple[str, str, str], ReadingView] = {(r.piece, r.setting, r.side): r for r in snapshot.readings}

    def reading(setting: str, side: str) -> str:
        row = rows.get((piece, setting, side))
        return "–" if row is None else "open" if row.ohms is None or not row.closed else ohms_words(row.ohms)

    def spoilt(setting: str, side: str) -> bool:
        row = rows.get((piece, setting, side))
        return row is not None and not row.unplugged

    normal, diverging = slips.SETTINGS
    struck = tuple((spoilt(setting, "left"), spoilt(setting, "right")) for setting in slips.SETTINGS)
    made = assess(snapshot)
    pattern = made.patterns.get(piece, "") if any(key[0] == piece for key in rows) else ""
    if pattern == CORRECT and made.readings_taken < wanted and not snapshot.play.powered:
        pattern += f" Now {wanted - made.readings_taken} more, from screw to screw."
    return slips.FrogTable(
        piece,
        f"frog {view.frog % len(pieces) + 1} of {len(pieces)}" if len(pieces) > 1 else "",
        asked,
        not snapshot.play.powered,
        (said.get((piece, normal), ""), said.get((piece, diverging), "")),
        (
            (reading(normal, "left"), reading(normal, "right")),
            (reading(diverging, "left"), reading(diverging, "right")),
        ),
        SPOILT_WORDS if any(any(row) for row in struck) else pattern,
        f"{min(made.readings_taken, wanted)} of {wanted} readings" if wanted else "",
        (struck[0], struck[1]),
        pattern.startswith(CORRECT) and not any(any(row) for row in struck),
    )


def slip_sprites(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """The frog's slip, open or folded."""
    if not slip_wanted(stage) or strip_box(stage, snapshot, view) is not None:
        return
    box = slip_box(stage, view)
    if view.slip:
        yield slips.slip(box, stage.unit, stage.theme, frog_table(stage, snapshot, view))
    else:
        yield slips.slip_folded(box, stage.unit, stage.theme)
