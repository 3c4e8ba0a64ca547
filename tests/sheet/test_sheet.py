"""The wiring sheet: what it says of a bench, and that a page of it is whole and safe."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.hints import solved
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.resources import test_track_path as own_track_path
from sim.sheet import sheet
from sim.sheet.plan import PAGE_MM, fitted, full_size, plan
from sim.sheet.record import cards, contacts, lines, numbered
from sim.track.formations import KINDS
from sim.track.layout import Layout
from tests.proof.benches import HANDS, Desk

VOID = {"meta"}


class Reader(HTMLParser):
    """Reads a page strictly: every element closed in its order. Keeps the text, and the rows of its tables."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.rows: list[list[str]] = []
        self.words: list[str] = []
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del attrs
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("th", "td"):
            self.rows[-1].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del tag, attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("th", "td"):
            self.rows[-1][-1] += data
        elif self.open and self.open[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())

    def row(self, head: str) -> list[str]:
        return next(row for row in self.rows if row and row[0] == head)


def track(bench: Bench) -> Layout:
    return Layout(bench)


@pytest.mark.parametrize("name", [*level_names(), ""])
def test_every_job_and_the_test_track_have_a_sheet(name: str) -> None:
    bench = load(level_path(name) if name else own_track_path(), KINDS)
    page = sheet(bench)
    assert page == sheet(bench)
    read = Reader(page)
    assert bench.title in read.text
    assert "never replaces the meter test on the real board" in read.text
    assert [link for link in re.findall(r"(?:src|href)=|url\(|@import|<script", page)] == []
    for drawn in re.findall(r"<svg.*?</svg>", page, re.DOTALL):
        assert ET.fromstring(drawn).tag == "svg"


def test_a_sheet_does_not_give_away_what_a_job_asks_to_find() -> None:
    bench = load(level_path("unmarked"), KINDS)
    for contact in contacts(bench):
        assert (contact.common, contact.normal, contact.diverging) == ("", "", "")
        assert list(contact.screws) == sorted(contact.screws)
    assert "to be found with the meter" in Reader(sheet(bench)).text


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("hand", HANDS)
def test_contacts_are_told_as_the_common_is_joined_in_each_setting(hand: str, turned: bool) -> None:
    (contact,) = contacts(Desk(hand=hand).with_motor(turned=turned).bench())
    assert (contact.common, contact.normal, contact.diverging) == (("k", "p", "m") if turned else ("k", "m", "p"))


@pytest.mark.parametrize("hand", HANDS)
def test_a_wire_is_told_by_what_it_carries_in_every_setting(hand: str) -> None:
    desk = Desk(hand=hand)
    rows = {line.note: line for line in lines(desk.bench(), track(desk.bench()))}
    assert {note: line.carries for note, line in rows.items()} == {
        "left feeder": "side A",
        "right feeder": "side B",
        "left outer": "side A",
        "right outer": "side B",
        "frog wire": "changes with T1",
    }
    assert rows["frog wire"].said == ("", "frog")
    assert {line.number for line in rows.values()} == {"1", "2", "3", "4", "5"}
    loose = desk.without("left outer")
    carried = {line.note: line.carries for line in lines(loose.bench(), track(loose.bench()))}
    assert carried["frog wire"] in ("side B; no feed", "no feed; side B")


def test_a_short_is_told_on_the_wires_of_both_sides() -> None:
    bench = Desk().wired("bridge", "bus.A", "bus.B").bench()
    assert {line.carries for line in lines(bench, track(bench))} == {"both sides: a short"}


def test_numbers_of_their_own_are_kept_and_the_others_fill_up() -> None:
    bench = Desk().wired("frog wire", "M1.k", "T1.frog", number="2").bench()
    given = dict(zip([wire.note for wire in bench.wires], numbered(bench), strict=True))
    assert given["frog wire"] == "2"
    assert len(set(given.values())) == len(given) == 5
    assert set(given.values()) == {"1", "2", "3", "4", "5"}


@pytest.mark.parametrize("hand", HANDS)
def test_the_readings_to_expect_are_those_of_the_closed_blade(hand: str) -> None:
    bench = Desk(hand=hand).bench()
    (card,) = cards(bench, track(bench))
    left_leg = "diverging" if hand == "left" else "normal"  # set for the left leg the right blade is closed
    assert {match.setting: match.side for match in card.matches} == {
        left_leg: "right",
        "normal" if left_leg == "diverging" else "diverging": "left",
    }
    row = Reader(sheet(bench)).row(left_leg)
    assert "open" in row[2]
    assert "joined" in row[3]


def test_a_dead_frog_has_no_readings_and_a_changed_place_is_told() -> None:
    bench = Desk(frog="dead").bench()
    assert cards(bench, track(bench))[0].matches == ()
    bridged = Desk().with_place("gaps", "closure.left", "closed").bench()
    assert Reader(sheet(bridged)).row("left closure gap")[1] == "closed, not as the piece comes"


def test_findings_of_the_test_stand_on_the_sheet() -> None:
    failing = [finding for finding in prove(Desk().exchanged().bench()).findings if finding.fails]
    assert failing
    assert "Every route is clean" not in Reader(sheet(Desk().exchanged().bench())).text
    found = [row for row in Reader(sheet(Desk().exchanged().bench())).rows if len(row) == 4]
    for finding in failing:
        assert any(
            row[3].endswith(finding.text[1:]) and "Advice" not in row[3] and row[2] == str(finding.runs or "")
            for row in found
        )


def test_an_empty_bench_has_a_sheet_too() -> None:
    text = Reader(sheet(replace(Desk().bench(), tracks=(), motors=(), wires=(), trains=(), test=()))).text
    assert "There is no track on this bench." in text
    assert "Nothing is wired yet." in text
    assert "There is no route to test." in text


def test_words_of_the_bench_cannot_break_the_page() -> None:
    evil = '<script>alert("x")</script> & "quoted"'
    page = sheet(replace(Desk().bench(), title=evil))
    assert "<script" not in page
    assert evil in Reader(page).text


# --- The plan. ---


def numbers(drawn: str, attribute: str) -> list[float]:
    found = re.search(rf'{attribute}="([^"]*)"', drawn)
    assert found is not None
    return [float(each.removesuffix("mm")) for each in found[1].split()]


@pytest.mark.parametrize("scale", ["HO", "N", "O"])
def test_the_plan_is_to_scale_and_strips_are_full_size(scale: str) -> None:
    bench = Desk(scale=scale).bench()
    board = plan(bench, track(bench))
    assert board is not None
    drawn, share = fitted(board)
    wide, tall = numbers(drawn, " width")[0], numbers(drawn, " height")[0]
    box = numbers(drawn, "viewBox")
    assert wide <= PAGE_MM + 1e-6
    assert wide / box[2] == pytest.approx(share, abs=1e-3)
    assert tall / box[3] == pytest.approx(share, abs=1e-3)
    strips = full_size(board)
    spans = [numbers(strip, "viewBox") for strip in strips]
    for strip, span in zip(strips, spans, strict=True):
        assert numbers(strip, " width")[0] == pytest.approx(span[2], abs=0.01)
    assert spans[0][0] == 0
    assert spans[-1][0] + spans[-1][2] == pytest.approx(board.width, abs=0.02)
    for one, other in itertools.pairwise(spans):
        assert one[0] + one[2] - other[0] == pytest.approx(8.0, abs=0.02)


@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_plan_is_mirrored_as_the_board_is_from_below(hand: str) -> None:
    """Turned over about its short edge: what lies to the right from above lies to the left, and up stays up."""
    bench = Desk(hand=hand).bench()
    layout = track(bench)
    board = plan(bench, layout)
    assert board is not None
    geometry = layout.geometry("T1")
    toe, main, diverging = (geometry.end_poses[end] for end in ("toe", "main", "diverging"))
    assert main.x > toe.x
    x = [float(points[:, 0].mean()) for points, _ in board.rails]
    y = [float(points[:, 1].mean()) for points, _ in board.rails]
    names = [shape.node for shape in geometry.rails(0.0)]
    mean = {name: np.mean([x[k] for k, other in enumerate(names) if other == name]) for name in names}
    high = {name: np.mean([y[k] for k, other in enumerate(names) if other == name]) for name in names}
    exits = [name for name in names if name.startswith("exit")]
    assert max(mean[name] for name in exits) < mean["blade.left"]  # the toe is to the right
    assert (diverging.y < main.y) == (hand == "right")
    assert max(high, key=lambda name: high[name]).endswith("right")  # y runs down
    assert min(high, key=lambda name: high[name]).endswith("left")


def test_every_wire_on_a_rail_is_named_on_the_plan() -> None:
    bench = Desk().bench()
    board = plan(bench, track(bench))
    assert board is not None
    drawn, _ = fitted(board)
    on_rails = {
        number
        for number, wire in zip(numbered(bench), bench.wires, strict=True)
        for end in wire.ends
        if end in bench.piece("T1").sections()
    }
    assert on_rails
    assert on_rails <= set(re.findall(r">([^<]+)</text>", drawn))


def test_labels_do_not_lie_over_each_other() -> None:
    desk = Desk()
    for k in range(8):
        desk = desk.wired(f"more {k}", "bus.A", "T1.stock.left", number=f"left feeder {k}")
    board = plan(desk.bench(), track(desk.bench()))
    assert board is not None
    drawn, _ = fitted(board)
    placed = re.findall(r'<text x="([\d.-]+)" y="([\d.-]+)" font-size="([\d.]+)" text-anchor="middle">([^<]+)<', drawn)
    boxes = [
        (float(x) - len(text) * float(size) * 0.29, float(x) + len(text) * float(size) * 0.29, float(y), float(size))
        for x, y, size, text in placed
    ]
    for k, (left, right, y, size) in enumerate(boxes):
        for other_left, other_right, other_y, _ in boxes[k + 1 :]:
            assert abs(y - other_y) >= size or right <= other_left or other_right <= left


def test_the_sheet_of_a_job_that_hides_sides_tells_none_until_the_test_passes() -> None:
    filed = load(level_path("four-readings"), KINDS)
    assert filed.level is not None
    hidden, done = sheet(filed), sheet(solved(filed))
    assert "on side" not in hidden
    assert not re.search(r"side [AB]\b", hidden)
    assert "to be found with the meter" in hidden
    assert re.search(r"side [AB]\b", done)
    assert "Every route is clean" in done
    shown = sheet(replace(filed, level=replace(filed.level, sides="shown")))
    assert re.search(r"side [AB]\b", shown)
