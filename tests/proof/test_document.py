"""The JSON document of the contract: its keys, their order, what is null, its rows of positions, the same bytes
twice.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from sim.proof import prove, to_json, to_text
from sim.proof.verdict import FAILING, KINDS
from tests.proof.benches import HANDS, Desk, four_wheeler
from tests.proof.neighbours import LINK, bench, fed, turnout

ROOT = Path(__file__).resolve().parents[2]

DESKS = {
    "right": Desk(),
    "exchanged": Desk().exchanged(),
    "unfed": Desk("left").without("frog wire"),
    "bridged": Desk("wye").with_place("gaps", "closure.left", "closed"),
    "make before break": Desk().with_contact(travel=[0.6, 0.4]),
    "blade-fed": Desk(frog="live"),
    "hot, weak, overloaded": Desk().exchanged().with_contact(condition="oxidised"),
    "dead": Desk(frog="dead"),
    "near its end, leaking": Desk().with_contact(travel=[0.95, 0.98]).with_place("gaps", "exit.left", "leaking"),
    "oxidised": Desk().with_contact(condition="oxidised"),
}

FINDING = [
    "kind",
    "fails",
    "when",
    "points",
    "path",
    "direction",
    "vehicle",
    "from_mm",
    "to_mm",
    "touching",
    "amps",
    "volts",
    "runs",
    "loop",
    "text",
]


def document(desk: Desk) -> dict[str, Any]:
    written: dict[str, Any] = json.loads(json.dumps(to_json(desk.verdict()), allow_nan=False))
    return written


@pytest.mark.parametrize("name", DESKS)
def test_keys_their_order_and_their_types(name: str) -> None:
    found = document(DESKS[name])
    assert list(found) == ["bench", "title", "pass", "positions", "findings", "shares"]
    assert found["bench"] == 1
    assert list(found["shares"]) == ["safe", "live"]
    assert all(0 <= share <= 1 for share in found["shares"].values())
    assert found["pass"] is not any(row["fails"] for row in found["findings"])
    assert found["findings"]
    for row in found["findings"]:
        assert list(row) == FINDING
        assert row["kind"] in KINDS
        assert row["fails"] is (row["kind"] in FAILING)
        assert set(row["points"]) <= {"T1"}  # those that matter
        assert set(row["points"].values()) <= {"normal", "diverging", "throwing"}
        thrown = row["points"].get("T1") == "throwing"
        assert thrown == (row["when"] == "throw") == (row["kind"] == "short-while-throwing")
        assert isinstance(row["runs"], int)
        assert (row["runs"] > 0) == (row["when"] == "wheel")
        assert (row["loop"] != []) == (row["kind"] in {"short", "hot", "short-while-throwing", "will-not-trip"})
        if row["loop"]:
            assert {row["loop"][0], row["loop"][-1]} == {"bus.A", "bus.B"}
        assert row["touching"] == [rail for rail in row["touching"] if rail.startswith("T1.")]
        assert isinstance(row["text"], str)
        assert row["text"]


@pytest.mark.parametrize("name", DESKS)
def test_null_where_nothing_is_on_the_track(name: str) -> None:
    """`from_mm`, `to_mm` are null, like `path` and `vehicle`, when nothing is on the track; and `direction` with
    them.
    """
    for row in document(DESKS[name])["findings"]:
        places = [row[key] is None for key in ("path", "direction", "vehicle", "from_mm", "to_mm")]
        assert places == [row["when"] != "wheel"] * 5
        if row["when"] == "wheel":
            assert row["path"][0] == "T1.toe"
            assert row["direction"] in {"forward", "backward"}
            if row["kind"] != "points-against":
                assert row["from_mm"] <= row["to_mm"]
        known = {
            "short": (False, False),
            "hot": (False, False),
            "short-while-throwing": (False, False),
            "dead": (True, False),
            "weak": (True, False),
            "blade-fed": (True, True),
            "overloaded": (False, True),
            "will-not-trip": (False, True),
        }
        if row["kind"] in known:
            assert (row["amps"] is None, row["volts"] is None) == known[row["kind"]]


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("filed", ["normal", "diverging"])
def test_one_row_as_filed_and_one_for_each_other_setting(filed: str, hand: str) -> None:
    rows = document(Desk(hand).built(set=filed))["positions"]
    assert [list(row) for row in rows] == [["points", "feeds"]] * 2
    other = "diverging" if filed == "normal" else "normal"
    assert [row["points"] for row in rows] == [{"T1": filed}, {"T1": other}]
    # A2's table: the left leg needs the right rail
    frogs = ["B" if (row["points"]["T1"] == "normal") == (hand != "left") else "A" for row in rows]
    assert rows[0]["feeds"] == {
        "T1.stock.left": "A",
        "T1.stock.right": "B",
        "T1.blade.left": "A",
        "T1.blade.right": "B",
        "T1.frog": frogs[0],
        "T1.exit.left": "B",
        "T1.exit.right": "A",
    }
    assert rows[1]["feeds"] == {"T1.frog": frogs[1]}  # what differs, and no more


def test_positions_of_several_motors_and_of_a_turnout_without_one() -> None:
    """One row as filed and one for each other setting of each motor, and of each turnout without a motor."""
    loose = turnout("T2", "M2", "isolated", joins=LINK).partition("[[motor]]")[0]
    rows = to_json(prove(bench(turnout("T1", "M1", "isolated"), loose, fed("T1", "M1", "A", "B"))))["positions"]
    assert [row["points"] for row in rows] == [
        {"T1": "normal", "T2": "normal"},
        {"T1": "diverging"},
        {"T2": "diverging"},
    ]
    assert [row["feeds"] for row in rows[1:]] == [{"T1.frog": "A"}, {}]


def test_feeds_name_every_section_and_no_frog_of_plastic() -> None:
    sections = set(document(Desk(frog="dead"))["positions"][0]["feeds"])
    assert sections == set(document(Desk())["positions"][0]["feeds"]) - {"T1.frog"}


def test_feeds_know_none_and_both() -> None:
    unfed = document(Desk().without("frog wire"))["positions"][0]["feeds"]
    assert unfed["T1.frog"] == "none"
    bridged = document(Desk().with_place("gaps", "closure.left", "closed"))["positions"]
    assert bridged[0]["points"] == {"T1": "normal"}
    assert set(bridged[0]["feeds"].values()) == {"both"}
    leaking = document(Desk().with_place("gaps", "closure.left", "leaking"))["positions"]
    assert set(leaking[0]["feeds"].values()) == {"both"}  # whatever the resistance


@pytest.mark.parametrize("name", DESKS)
def test_figures_are_rounded(name: str) -> None:
    for row in document(DESKS[name])["findings"]:
        for key in ("from_mm", "to_mm"):
            assert row[key] is None or row[key] == round(row[key], 1)
        for key in ("amps", "volts"):
            assert row[key] is None or row[key] == float(f"{row[key]:.3g}")
            assert row[key] is None or row[key] >= 0


def test_failing_kinds_come_first() -> None:
    kinds = [row["kind"] for row in document(Desk().exchanged().with_contact(condition="oxidised"))["findings"]]
    assert kinds == sorted(kinds, key=KINDS.index)
    assert len(set(kinds)) >= 3


def test_findings_that_touch_the_same_are_one() -> None:
    """Findings of one kind, `when`, points, path and vehicle that touch the same sections are one finding."""
    for desk in DESKS.values():
        seen = [
            json.dumps(
                [row[key] for key in ("kind", "when", "points", "path", "vehicle", "touching")]
                + ([row["text"]] if row["kind"] == "overloaded" else [])
            )
            for row in document(desk)["findings"]
        ]
        assert len(seen) == len(set(seen))


def test_shares_are_counted_over_all_routes() -> None:
    """Path, vehicle and direction: four vehicles, two paths, both ways; one leg shorted is half of them."""
    verdict = Desk().wired("right outer", "M1.m", "bus.A").verdict()
    assert len(verdict.routes) == 16
    assert to_json(verdict)["shares"] == {"safe": 0.5, "live": 1.0}
    unfed = Desk().without("frog wire").verdict()  # only the shunter, of four vehicles, stalls on a No. 6
    assert to_json(unfed)["shares"] == {"safe": 0.75, "live": 0.75}  # a dead place is not safe either
    bridged = Desk().with_place("gaps", "closure.left", "closed").verdict()  # short at power-on: neither safe nor live
    assert to_json(bridged)["shares"] == {"safe": 0.5, "live": 0.5}


def test_a_route_that_only_wheels_short_counts_as_live() -> None:
    """The contract's example: outers exchanged, No. 6, every standard vehicle: safe 0, live 1."""
    assert document(Desk().exchanged())["shares"] == {"safe": 0.0, "live": 1.0}


def test_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    desk = Desk().exchanged().with_contact(condition="oxidised").carrying(four_wheeler(20.0, draws_amps=0.5))
    file = tmp_path / "desk.toml"
    file.write_text(desk.text(), encoding="utf-8")
    script = (
        "import json, sys; from sim.bench.reading import load; from sim.track.formations import KINDS; "
        "from sim.proof import prove, to_json; print(json.dumps(to_json(prove(load(sys.argv[1], KINDS)))))"
    )
    outs = {
        subprocess.run(
            [sys.executable, "-c", script, str(file)],
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "77")
    }
    assert outs == {(json.dumps(to_json(desk.verdict())) + "\n").encode()}


def test_the_lines_for_people_say_the_same() -> None:
    verdict = Desk().exchanged().verdict()
    head, count, *lines = to_text(verdict, Desk().bench())
    assert "Not clean" in head
    assert count.startswith("2 routes, 16 runs:")
    assert "0% without a short" in count
    assert len(lines) == len(verdict.findings) == 3  # one wrong rail for each leg, and trailing in
    assert [line.startswith("FAILS") for line in lines] == [finding.fails for finding in verdict.findings]
    assert "Every route clean" in to_text(Desk().verdict(), Desk().bench())[0]
