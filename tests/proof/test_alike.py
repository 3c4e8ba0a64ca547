"""What is alike but for the piece of track is told once, with the names of the others; what differs is not."""

from __future__ import annotations

from dataclasses import replace

from sim.bench.model import Bench
from sim.proof.alike import alike, also_words
from sim.proof.report import to_text
from sim.proof.verdict import Finding, Position, Route, Verdict
from tests.session.benches import read


def _at(piece: str, text: str = "The points of {} lie wrong.", mm: float = 170.0, rail: str = "") -> Finding:
    return Finding(
        "points-against", "wheel", {piece: "normal"}, (f"{piece}.toe", f"{piece}.main"), "backward", "shunter", mm, mm,
        (f"{rail or piece}.frog",), None, None, text.format(piece), runs=8,
    )  # fmt: skip


def _verdict(*findings: Finding, pieces: int = 12) -> Verdict:
    names = [f"T{k}" for k in range(1, pieces + 1)]
    feeds = {f"{name}.frog": "A" for name in sorted(names)}
    routes = tuple(
        Route((f"{n}.toe", f"{n}.main"), {n: "normal"}, "shunter", "forward", 400.0, True, True) for n in names
    )
    return Verdict("", (Position(dict.fromkeys(names, "normal"), feeds),), findings, routes)


def _yard() -> Bench:
    rows = [
        f'[[track]]\nid = "T{k}"\nkind = "turnout"\nscale = "HO"\nhand = "right"\nnumber = 6\n' for k in range(1, 13)
    ]
    return read('bench = 1\n[supply]\nkind = "dcc"\n' + "".join(rows))


def _groups(verdict: Verdict) -> list[list[int]]:
    return alike(verdict, range(len(verdict.findings)))


def test_names_alone_make_no_difference_and_the_file_s_order_is_kept() -> None:
    verdict = _verdict(_at("T1"), _at("T10"), _at("T2"))
    assert _groups(verdict) == [[0, 2, 1]]
    assert also_words(verdict, _groups(verdict)[0]) == " So too with T2 and T10."
    (line,) = to_text(verdict, _yard())[2:]
    assert line.endswith("The points of T1 lie wrong. (8 runs) So too with T2 and T10.")


def test_another_place_word_rail_or_outcome_is_told_by_itself() -> None:
    first = _at("T1")
    for other in (
        _at("T2", mm=180.0),
        _at("T2", "The points of {} lie right."),
        _at("T2", rail="T1"),
        replace(_at("T2"), fails=True),
        replace(_at("T2"), vehicle="wagon"),
        replace(_at("T2"), kind="dead"),
    ):
        assert _groups(_verdict(first, other)) == [[0], [1]]


def test_a_name_within_a_word_is_no_name() -> None:
    verdict = _verdict(_at("T1", "T1 and T11x."), _at("T2", "T2 and T21x."))
    assert _groups(verdict) == [[0], [1]]


def test_what_is_about_no_piece_is_told_each_by_itself() -> None:
    bare = Finding("near-its-end", "power-on", {}, None, None, None, None, None, (), None, None, "A contact of M1.")
    assert _groups(_verdict(bare, replace(bare, text="A contact of M2."))) == [[0], [1]]


def test_of_many_the_first_eight_are_named() -> None:
    verdict = _verdict(*(_at(f"T{k}") for k in range(1, 13)))
    (group,) = _groups(verdict)
    assert also_words(verdict, group) == " So too with T2, T3, T4, T5, T6, T7, T8, T9 and 3 more."
