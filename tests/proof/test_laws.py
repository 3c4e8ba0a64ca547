"""Laws that hold for every bench: the mirror, the exchange of A and B, names and order of tables, repetition."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.proof import Verdict, prove, to_json
from sim.track.formations import KINDS
from tests.proof.benches import Desk, four_wheeler
from tests.proof.met import fits, met
from tests.proof.saying import one_rail

# --- By lot: a turnout of any kind, its wires anywhere, its gaps and bonds in any state, a lamp or a polarity unit. ---

SIDES = {"left": "right", "right": "left"}
TABS = ["stock.left", "stock.right", "blade.left", "blade.right", "frog", "exit.left", "exit.right"]
GAPS = ["closure.left", "closure.right", "exit.left", "exit.right"]


@st.composite
def desks(draw: st.DrawFn) -> Desk:
    frog = draw(st.sampled_from(["isolated", "isolated", "live", "dead"]))
    tabs = [f"T1.{tab}" for tab in TABS if tab != "frog" or frog != "dead"]
    ends = [*tabs, "bus.A", "bus.B", "M1.k", "M1.m", "M1.p"]
    desk = Desk(draw(st.sampled_from(["right", "left", "wye"])), draw(st.sampled_from([4, 6, 9])), frog=frog)
    if draw(st.booleans()):
        desk = desk.exchanged()
    if frog == "live" and draw(st.booleans()):
        desk = desk.exits_cut()
    off = draw(st.lists(st.sampled_from(sorted(desk.wires)), max_size=2, unique=True))
    desk = desk.without(*off)
    for k, (a, b) in enumerate(
        draw(st.lists(st.lists(st.sampled_from(ends), min_size=2, max_size=2, unique=True), max_size=2))
    ):
        desk = desk.wired(f"odd wire {k}", a, b)
    if frog != "dead":
        for gap in draw(st.lists(st.sampled_from(GAPS), max_size=1)):
            desk = desk.with_place("gaps", gap, draw(st.sampled_from(["cut", "closed", "leaking"])))
    for kind in ("bonds", "jumpers"):
        for side in draw(st.lists(st.sampled_from(["left", "right"]), max_size=1)):
            desk = desk.with_place(kind, side, draw(st.sampled_from(["made", "open"])))
    if "frog wire" in desk.wires:
        desk = draw(st.sampled_from([desk, desk, lamp_in_frog_wire(desk), unit_on_frog(desk)]))
    travel = draw(st.sampled_from([[0.45, 0.55], [0.02, 0.05], [0.6, 0.4], [0.3, 0.99]]))
    desk = desk.with_contact(travel=travel, condition=draw(st.sampled_from(["good", "worn", "oxidised", "open"])))
    desk = desk.with_motor(turned=draw(st.booleans()))
    desk = desk.built(
        set=draw(st.sampled_from(["normal", "diverging"])),
        blade_contact=draw(st.sampled_from(["good", "oxidised", "open"])),
    )
    axles = sorted({0.0, *(float(x) for x in draw(st.lists(st.integers(8, 60), min_size=1, max_size=3)))})
    numbers = st.lists(st.integers(1, len(axles)), max_size=3, unique=True)
    vehicle = four_wheeler(
        0, axles_mm=axles, pickup={"left": draw(numbers), "right": draw(numbers)},
        draws_amps=draw(st.sampled_from([0.0, 0.2, 0.6])),
    )  # fmt: skip
    for k, end in enumerate(draw(st.lists(st.sampled_from(["toe", "main", "diverging"]), max_size=2, unique=True))):
        joints = draw(st.fixed_dictionaries({side: st.sampled_from(["metal", "insulated", "bad"]) for side in SIDES}))
        curve = draw(st.sampled_from(["", 'radius_mm = 600\nturns = "left"\n']))
        states = ", ".join(f'{side} = "{state}"' for side, state in joints.items())
        desk = desk.beside(
            f'\n[[track]]\nid = "P{k}"\nkind = "plain"\nlength_mm = {draw(st.sampled_from([50, 400]))}\n{curve}'
            f'joins = {{ a = "T1.{end}" }}\njoint = {{ {states} }}\n'
        )
        for rail in draw(st.lists(st.sampled_from(["left", "right"]), max_size=2, unique=True)):
            desk = desk.beside(f'[[wire]]\nends = ["bus.{draw(st.sampled_from("AB"))}", "P{k}.{rail}"]\n')
    return desk.carrying(vehicle)


def lamp_in_frog_wire(desk: Desk) -> Desk:
    a, b = desk.wires["frog wire"]
    wired = desk.wired("frog wire", a, "L1.1").wired("frog wire on", "L1.2", b)
    return wired.beside('\n[[lamp]]\nid = "L1"\nvolts = 12.0\nwatts = 21.0\n')


def unit_on_frog(desk: Desk) -> Desk:
    bare = desk.without("frog wire").wired("unit out", "Q1.out", "T1.frog")
    wired = bare.wired("unit a", "Q1.a", "bus.A").wired("unit b", "Q1.b", "bus.B")
    return wired.beside('\n[[polarity]]\nid = "Q1"\nturns_at_amps = 1.5\n')


# --- What a verdict says, freed of the order of findings and of rounding. ---


@dataclass(frozen=True)
class Said:
    kind: str
    when: str
    points: tuple[tuple[str, str], ...]
    path: tuple[str, str] | None
    direction: str | None
    vehicle: str | None
    touching: tuple[str, ...]


Figures = tuple[float | None, ...]
Rename = Callable[[str], str]


def said(verdict: Verdict, rename: Rename = str, points: Rename = str) -> list[tuple[Said, Figures]]:
    """Findings with their names changed by `rename`, and settings by `points`; sorted."""
    found = []
    for f in verdict.findings:
        # With nothing on the track the rails are those of one way that the current takes; there may be others as wide.
        rails = tuple(sorted(rename(rail) for rail in f.touching)) if f.when == "wheel" or not f.loop else ()
        key = Said(
            f.kind, f.when, tuple(sorted((rename(piece), points(how)) for piece, how in f.points.items())),
            None if f.path is None else (rename(f.path[0]), rename(f.path[1])), f.direction,
            None if f.vehicle is None else rename(f.vehicle), rails,
        )  # fmt: skip
        found.append((key, (f.from_mm, f.to_mm, f.amps, f.volts)))
    return sorted(found, key=lambda pair: (repr(pair[0]), repr(pair[1])))


def coarse(
    verdict: Verdict, bench: Bench, rename: Rename = str
) -> list[tuple[str, str, bool, int, tuple[str, ...]]]:
    """Findings without what is the first run's: kind, when, whether it fails, how many runs, and which rails are wrong.

    Which run is the first, and of rails that are one which it meets, hangs on the order of the file.
    """
    found = []
    for f in verdict.findings:
        rails = one_rail(bench, f.touching) if f.when == "wheel" and f.fails else ()
        found.append((f.kind, f.when, f.fails, f.runs, tuple(sorted(rename(rail) for rail in rails))))
    return sorted(found)


def runs(verdict: Verdict, rename: Rename = str, points: Rename = str) -> list[tuple[object, ...]]:
    """Every run, and what it met."""
    return sorted(
        (
            tuple(sorted(rename(end) for end in r.path)),
            tuple((rename(piece), points(how)) for piece, how in r.points.items()),
            rename(r.vehicle), r.direction, round(r.length_mm, 6), r.safe, r.live,
        )
        for r in verdict.routes
    )  # fmt: skip


def feeds(
    verdict: Verdict, rename: Rename = str, points: Rename = str, side: Rename = str
) -> list[tuple[object, object]]:
    first, *others = verdict.positions
    rows = [
        (
            tuple(sorted((rename(piece), points(how)) for piece, how in row.points.items())),
            tuple(sorted((rename(rail), side(on)) for rail, on in {**first.feeds, **row.feeds}.items())),
        )
        for row in (first, *others)
    ]
    return sorted(rows)


def agree(one: list[tuple[Said, Figures]], other: list[tuple[Said, Figures]]) -> None:
    assert [key for key, _ in one] == [key for key, _ in other]
    for (key, mine), (_, its) in zip(one, other, strict=True):
        assert [figure is None for figure in mine] == [figure is None for figure in its], key
        known = [(a, b) for a, b in zip(mine, its, strict=True) if a is not None]
        assert [a for a, _ in known] == pytest.approx([b for _, b in known], rel=1e-6, abs=1e-6), key


EXAMPLES = settings(
    max_examples=30,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


# --- The mirror. ---


def mirrored_name(name: str) -> str:
    return re.sub(r"left|right", lambda m: SIDES[m.group()], name)


def mirrored(desk: Desk) -> Desk:
    """The same bench in a mirror: the other hand, left and right exchanged in every name.

    A wye stays one, and its left leg is called main whatever happens: there normal and diverging exchange too.
    """
    wye = desk.hand == "wye"
    swap = {"M1.m": "M1.p", "M1.p": "M1.m"} if wye else {}
    wires = {
        name: (swap.get(a, mirrored_name(a)), swap.get(b, mirrored_name(b))) for name, (a, b) in desk.wires.items()
    }
    turnout: dict[str, object] = {}
    for key, value in desk.turnout.items():
        turnout[key] = {mirrored_name(k): v for k, v in value.items()} if isinstance(value, Mapping) else value
    contact = dict(desk.contact)
    if wye:
        turnout["set"] = {"normal": "diverging", "diverging": "normal"}[str(turnout["set"])]
        first, second = contact["travel"]
        contact["travel"] = [1 - second, 1 - first]
    vehicles = tuple(
        {**vehicle, "pickup": {SIDES[side]: axles for side, axles in vehicle["pickup"].items()}}
        for vehicle in desk.vehicles
    )
    more = mirrored_wye(desk.more) if wye else mirrored_name(desk.more)
    none = dict.fromkeys(desk.wires.keys() | {"left feeder", "right feeder", "left outer", "right outer", "frog wire"})
    return replace(
        desk,
        hand=SIDES.get(desk.hand, "wye"),
        changed={**none, **wires},
        turnout=turnout,
        contact=contact,
        vehicles=vehicles,
        more=more,
    )


def mirrored_wye(name: str) -> str:
    ends = {"main": "diverging", "diverging": "main", "normal": "diverging"}
    return re.sub(r"main|diverging", lambda m: ends[m.group()], mirrored_name(name))


@EXAMPLES
@given(desks())
def test_a_mirrored_bench_has_mirrored_findings(desk: Desk) -> None:
    verdict, image = desk.verdict(), mirrored(desk).verdict()
    if desk.hand == "wye":
        how = {"normal": "diverging", "diverging": "normal"}
        # the first track of the one is the second of the other
        assert coarse(image, mirrored(desk).bench()) == coarse(verdict, desk.bench(), mirrored_wye)
        assert runs(image) == runs(verdict, mirrored_wye, lambda word: how.get(word, word))
        assert feeds(image) == feeds(verdict, mirrored_wye, lambda word: how.get(word, word))
    else:
        agree(said(image), said(verdict, mirrored_name))
        assert runs(image) == runs(verdict, mirrored_name)
        assert feeds(image) == feeds(verdict, mirrored_name)
    assert image.shares == verdict.shares


# --- A and B. ---

LETTERS = {"A": "B", "B": "A"}


@EXAMPLES
@given(desks())
def test_exchanging_a_and_b_changes_only_the_letters(desk: Desk) -> None:
    verdict = desk.verdict()
    turned = prove(
        parse(re.sub(r'"bus\.([AB])"', lambda m: f'"bus.{LETTERS[m.group(1)]}"', desk.text()), KINDS, name="x")
    )
    agree(said(turned), said(verdict))
    assert runs(turned) == runs(verdict)
    assert feeds(turned) == feeds(verdict, side=lambda on: LETTERS.get(on, on))
    assert turned.shares == verdict.shares


# --- Names and order. ---

NAMES = {"T1": "Points-7", "M1": "A-lever", "trolley": "the green one"}


@EXAMPLES
@given(desks())
def test_other_names_change_nothing_else(desk: Desk) -> None:
    def rename(text: str) -> str:
        return re.sub(r"\b(T1|M1|trolley)\b", lambda m: NAMES[m.group()], text)

    verdict, renamed = desk.verdict(), prove(parse(rename(desk.text()), KINDS, name="x"))
    agree(said(renamed), said(verdict, rename))
    assert runs(renamed) == runs(verdict, rename)
    assert [rename(f.text) for f in verdict.findings] == [f.text for f in renamed.findings]


@EXAMPLES
@given(desks(), st.randoms(use_true_random=False))
def test_the_order_of_tables_changes_nothing(desk: Desk, lot: object) -> None:
    head, *tables = re.split(r"\n(?=\[\[?)", desk.text())
    # A motor's contacts belong to the motor before them.
    joined: list[str] = []
    for table in tables:
        if table.startswith("[[motor.changeover]]"):
            joined[-1] += "\n" + table
        else:
            joined.append(table)
    lot.shuffle(joined)  # type: ignore[attr-defined]
    other = prove(parse("\n".join([head, *joined]), KINDS, name="x"))
    verdict = desk.verdict()
    assert coarse(other, desk.bench()) == coarse(verdict, desk.bench())
    assert runs(other) == runs(verdict)
    assert feeds(other) == feeds(verdict)


@settings(EXAMPLES, max_examples=10)
@given(desks())
def test_the_same_bench_gives_the_same_document(desk: Desk) -> None:
    assert to_json(desk.verdict()) == to_json(desk.verdict())


# --- What no bench may do. ---


@EXAMPLES
@given(desks())
def test_findings_keep_the_promises_of_the_model(desk: Desk) -> None:
    """Faults and the breaker: a short reaches the trip current, a hot one does not and is more than 0.1 A; a
    setting that is faulty with nothing on the track has no finding of a vehicle, and no run that is safe; a dead
    engine has less than it needs, a weak one enough; one finding stands for one cause.
    """
    verdict = desk.verdict()
    bad = [f.points for f in verdict.findings if f.when == "power-on" and f.kind in {"short", "hot"}]
    for f in verdict.findings:
        if f.kind == "short":
            assert f.amps is not None
            assert 3.0 <= f.amps <= 4.5  # what a supply can give that opens at 3 A, unless it says otherwise
        if f.kind == "hot":
            assert f.amps is not None
            assert 0.1 < f.amps < 3.0
        if f.when == "wheel" and f.kind != "points-against":
            assert not any(fits(points, f.points) for points in bad)
        if f.kind == "dead":
            assert f.volts is not None
            assert f.volts < 7.0
        if f.kind == "weak":
            assert f.volts is not None
            assert 7.0 <= f.volts < 13.5
        if f.from_mm is not None:
            assert f.to_mm is not None
            assert f.path is not None
            assert f.vehicle is not None
        assert (f.when == "wheel") == (f.path is not None)
        assert (f.runs > 0) == (f.when == "wheel")
        assert f.text[0].isupper() or f.text.startswith(("the ", "if ", "with nothing on the track ", "a coin "))
        assert f.points.items() <= {"T1": f.points.get("T1")}.items()
    for route in verdict.routes:
        if any(fits(points, {"T1": "", **route.points}) for points in bad):
            assert (route.safe, route.live) == (False, False)
        assert route.live or not route.safe
    for kind in ("short", "hot", "dead"):
        met(verdict, kind)
    causes = [(f.kind, f.when, f.touching, tuple(f.points.items())) for f in verdict.findings if f.kind != "overloaded"]
    assert len(set(causes)) == len(causes)
    assert len(verdict.routes) == 4 + 2 * desk.more.count('"plain"')
