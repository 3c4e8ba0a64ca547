"""The words of the file and the figures behind them: neither has one that the other lacks."""

from __future__ import annotations

import pytest

from sim.bench import vocabulary
from sim.track.formations import KINDS
from sim.track.rails import rail_section
from sim.track.standards import SCALES, scale_named
from sim.track.wheels import wheel


def test_every_scale_has_its_figures_and_every_figure_its_scale() -> None:
    assert set(vocabulary.SCALES) == set(SCALES)
    assert [scale_named(name).name for name in vocabulary.SCALES] == list(vocabulary.SCALES)


@pytest.mark.parametrize("code", vocabulary.RAILS)
def test_every_rail_has_its_figures(code: str) -> None:
    # NMRA RP-15.1: the code is the height in thousandths of an inch (track_wheel.toml nmra_rp15_1).
    assert rail_section(code).height_mm == pytest.approx(int(code.split()[1]) * 0.0254)


@pytest.mark.parametrize("row", vocabulary.WHEELS)
def test_every_wheel_has_its_figures(row: str) -> None:
    # NMRA RP-25: the code is the width in thousandths of an inch (track_wheel.toml nmra_rp25).
    assert wheel(row, scale_named("HO")).width_mm == pytest.approx(int(row.split()[2]) * 0.0254)


def test_the_kinds_of_the_contract_can_be_read() -> None:
    assert {"turnout", "wye", "plain", "end"} <= set(KINDS)
    assert all(kind in cls.KINDS for kind, cls in KINDS.items())
