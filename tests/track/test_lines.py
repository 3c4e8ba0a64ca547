"""Centre lines: poses, points beside them, and back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.track.lines import CentreLine, Run

runs = st.builds(
    Run,
    st.floats(1.0, 300.0),
    st.sampled_from((0.0, 1 / 288, -1 / 288, 1 / 1188, -1 / 400)),
    st.sampled_from((0.0, 0.0, 0.035, -0.023)),
)
lines = st.lists(runs, min_size=1, max_size=4).map(CentreLine.of)


@given(lines, st.floats(-30.0, 1.0), st.floats(0.0, 1.2))
def test_a_point_beside_a_line_is_seen_where_it_was_put(line: CentreLine, offset: float, share: float) -> None:
    station = share * line.length_mm
    # Inside the corner of a kink a point lies beside two stations.
    kinks = [s for s, run in zip((0.0, *line.joints), line.runs, strict=True) if run.kink]
    point = line.beside(np.array([station]), offset)
    if all(abs(station - kink) > 1.5 for kink in kinks):
        seen, across = line.seen(point)
        assert (seen[0], across[0]) == pytest.approx((station, offset), abs=1e-6)
    x, y, heading = (value[0] for value in line.pose(np.array([station])))
    assert math.hypot(point[0, 0] - x, point[0, 1] - y) == pytest.approx(abs(offset), abs=0.01)
    assert math.isfinite(heading)


@given(lines, st.floats(0.0, 1.0))
def test_the_heading_is_the_way_the_line_goes(line: CentreLine, share: float) -> None:
    station = share * line.length_mm
    if any(abs(station - joint) < 0.01 for joint in (0.0, *line.joints, line.length_mm)):
        station += 0.02
    x, y, heading = line.pose(np.array([station - 1e-4, station, station + 1e-4]))
    assert x[2] - x[0] == pytest.approx(2e-4 * math.cos(heading[1]), abs=1e-9)
    assert y[2] - y[0] == pytest.approx(2e-4 * math.sin(heading[1]), abs=1e-9)


@given(st.floats(20.0, 200.0), st.floats(-8.0, 8.0))
def test_distance_along_a_rail_is_measured_on_the_rail(distance: float, offset: float) -> None:
    line = CentreLine.of([Run(50.0), Run(400.0, 1 / 300)])
    end = line.station_along(40.0, distance, offset)
    points = line.beside(np.linspace(40.0, end, 4000), offset)
    assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(distance, abs=1e-3)
    assert line.station_along(end, -distance, offset) == pytest.approx(40.0)


def test_a_quarter_circle_ends_where_it_should() -> None:
    line = CentreLine.of([Run(math.pi / 2 * 100.0, 1 / 100.0)])
    x, y, heading = (value[0] for value in line.pose(np.array([line.length_mm])))
    assert (x, y, heading) == pytest.approx((100.0, 100.0, math.pi / 2))


@pytest.mark.parametrize("kink", [0.035, -0.035])
def test_rails_beside_a_kink_run_on_without_turning_back(kink: float) -> None:
    line = CentreLine.of([Run(80.0), Run(30.0, 0.0, kink)])
    for offset in (-8.25, 8.25):
        points = line.beside(line.stations(0.0, line.length_mm, 1.5), offset)
        assert (np.diff(points[:, 0]) > 0).all()
        # The corner is where the two offset lines meet.
        corner = line.beside(np.array([80.0]), offset)[0]
        assert corner == pytest.approx((80.0 - offset * math.tan(kink / 2), offset), abs=1e-9)


@pytest.mark.parametrize("kink", [0.035, -0.035])
def test_from_a_kink_a_rail_is_measured_from_its_corner(kink: float) -> None:
    line = CentreLine.of([Run(80.0), Run(30.0, 0.002, kink)])
    for offset in (-8.25, 8.25):
        assert line.station_along(80.0, 0.0, offset) == 80.0
        for distance in (20.0, -20.0):
            end = line.station_along(80.0, distance, offset)
            rail = line.beside(np.array([80.0, *np.linspace(80.0, end, 200)[3:]]), offset)
            assert np.hypot(*np.diff(rail, axis=0).T).sum() == pytest.approx(20.0, abs=1e-5)


def test_runs_of_no_length_are_left_out_and_their_kinks_kept() -> None:
    line = CentreLine.of([Run(10.0), Run(0.0, 0.0, 0.1), Run(10.0)])
    assert line.runs == (Run(10.0), Run(10.0, 0.0, 0.1))
