"""A verdict as the JSON document and as the lines of text that `frogbench check` prints."""

from __future__ import annotations

import math
from typing import Any

from sim.bench.model import Bench
from sim.proof.alike import alike, also_words
from sim.proof.verdict import Finding, Verdict
from sim.wiring.loop import loop_names
from sim.wiring.telling import end_words

__all__ = ["runs_words", "span_words", "to_json", "to_text", "way_words"]


def _figures(value: float | None, digits: int = 3) -> float | None:
    """Rounded to so many significant figures, so that the same bench gives the same bytes."""
    if value is None or not math.isfinite(value):
        return None
    if abs(value) < 1e-6:
        return 0.0
    return round(value, digits - 1 - math.floor(math.log10(abs(value))))


def _place(value: float | None) -> float | None:
    return None if value is None else round(value, 1) + 0.0


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "fails": finding.fails,
        "when": finding.when,
        "points": dict(finding.points),
        "path": None if finding.path is None else list(finding.path),
        "direction": finding.direction,
        "vehicle": finding.vehicle,
        "from_mm": _place(finding.from_mm),
        "to_mm": _place(finding.to_mm),
        "touching": list(finding.touching),
        "amps": _figures(finding.amps),
        "volts": _figures(finding.volts),
        "runs": finding.runs,
        "loop": list(loop_names(finding.loop)),
        "text": finding.text,
    }


def to_json(verdict: Verdict) -> dict[str, Any]:
    """The document of bench-file.md; keys in a fixed order, places to 0.1 mm, amps and volts to three figures."""
    return {
        "bench": 1,
        "title": verdict.title,
        "pass": verdict.passed,
        "positions": [{"points": dict(row.points), "feeds": dict(row.feeds)} for row in verdict.positions],
        "findings": [_finding(finding) for finding in verdict.findings],
        "shares": {"safe": round(verdict.shares.safe, 4), "live": round(verdict.shares.live, 4)},
    }


def way_words(bench: Bench, path: tuple[str, str]) -> str:
    """A way over the track by its two ends: "the toe to the main end", with their pieces where there are several."""
    first, last = (end_words(bench, end) for end in path)
    return f"{first} to {last}"


def _line(finding: Finding, bench: Bench) -> str:
    mark = "FAILS" if finding.fails else "note"
    where = ""
    if finding.path is not None and finding.from_mm is not None and finding.to_mm is not None:
        where = f" {way_words(bench, finding.path)}, {span_words(finding.from_mm, finding.to_mm)}:"
    text = finding.text[:1].upper() + finding.text[1:]
    return f"{mark}  {finding.kind}:{where} {text}{runs_words(finding)}"


def runs_words(finding: Finding) -> str:
    """ " (12 runs)": how many show it, nothing where one does or there is nothing on the track."""
    return f" ({finding.runs} runs)" if finding.runs > 1 else ""


def span_words(from_mm: float, to_mm: float) -> str:
    """ "266 to 293 mm", or "at 139 mm" where that is the same; number and unit stay together.

    What begins before the end that is measured from, where an open end is thought on, is told without a minus: "up to
    86 mm".
    """
    low, high = round(from_mm), round(to_mm)  # whole numbers have no minus zero
    if high < 0:
        return "before 0\u00a0mm"
    if low < 0:
        return f"up to {high}\u00a0mm"
    return f"at {low}\u00a0mm" if low == high else f"{low} to {high}\u00a0mm"


def _count_words(verdict: Verdict) -> str:
    """ "2 routes, 16 runs": each route is run by every vehicle, in both directions."""
    routes, runs = len({route.path for route in verdict.routes}), len(verdict.routes)
    return f"{routes} route{'' if routes == 1 else 's'}, {runs} run{'' if runs == 1 else 's'}"


def to_text(verdict: Verdict, bench: Bench) -> list[str]:
    """What a person reads: the outcome, then every finding on a line of its own, failing ones first.

    Those that are alike but for the piece of track are one line.
    """
    shares = verdict.shares
    head = "Every route clean." if verdict.passed else "Not clean."
    lines = [
        f"{verdict.title}: {head}" if verdict.title else head,
        f"{_count_words(verdict)}: {shares.safe:.0%} without a short or a dead place, "
        f"{shares.live:.0%} without a dead place.",
    ]
    for group in alike(verdict, range(len(verdict.findings))):
        lines.append(_line(verdict.findings[group[0]], bench) + also_words(verdict, group))
    return [*lines, *(f"note  {each}" for each in verdict.remarks)]
