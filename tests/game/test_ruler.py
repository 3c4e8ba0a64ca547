"""The mat's ruler and the findings measure alike: from the toe."""

from __future__ import annotations

import numpy as np
import pytest

from sim.game.look.theme import load_theme
from sim.game.paper.view import rooms
from sim.game.picture.ruler import where_words
from sim.game.whereabouts.stage import Stages
from sim.proof.prove import prove
from tests.session.benches import bench


def test_a_findings_millimetres_are_the_rulers_on_a_single_turnout() -> None:
    start = bench(frog="exchanged")
    stage = Stages().of(start, rooms((1280, 800)), load_theme())
    finding = next(f for f in prove(start).findings if f.kind == "short" and f.path == ("T1.toe", "T1.main"))
    assert finding.from_mm is not None
    x, _, _ = stage.plan.layout.pose("T1", 0, np.array([finding.from_mm]))
    assert float(x[0]) - stage.plan.zero_mm == pytest.approx(finding.from_mm, abs=0.01)
    assert stage.plan.zero_word == "toe"


def test_a_gap_is_told_in_the_same_measure() -> None:
    stage = Stages().of(bench(), rooms((1280, 800)), load_theme())
    mark = stage.plan.by_id["T1"].geometry.marks.places["gap.closure.right"]
    station = next(s for s in mark.stations if s is not None)
    assert where_words(stage, "T1.gap.closure.right") == f"{station:.0f}\u00a0mm from the toe"
    assert stage.plan.by_id["T1"].mark(mark).x - stage.plan.zero_mm == pytest.approx(station, abs=1.5)


def test_where_several_pieces_lie_each_is_named() -> None:
    track = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 100\njoins = { a = "T1.toe" }\n'
    stage = Stages().of(bench(more=track), rooms((1280, 800)), load_theme())
    assert where_words(stage, "T1.gap.closure.left").endswith("mm from the toe of T1")
