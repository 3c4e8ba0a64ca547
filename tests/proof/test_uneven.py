"""Supplies of unlike volts or kinds on one bench: each fault goes by the volts that really meet in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.proof import Finding
from tests.practice.documents import Document, bench_of, verdict_of
from tests.practice.planks import Plank
from tests.proof.brute import Brute

_LONG = {
    "name": "long wagon", "scale": "HO", "axles_mm": [0.0, 90.0], "wheel": "RP-25 code 110", "draws_amps": 0.0,
    "works_from_volts": 0.0, "grams": 90.0, "pickup": {"left": [], "right": []},
}  # fmt: skip


def _oxidised(*, exchanged: bool, second: Mapping[str, Any] | None = None) -> Document:
    """A frog through an oxidised contact, on the wrong sides if `exchanged`; and, apart from it, track of a `second`
    supply."""
    plank = Plank(vehicles=["metal-wheel wagon"], on=True)
    plank.turnout("T1")
    plank.wired()
    document = plank.document
    motor = document["motor"][0]
    motor["changeover"][0]["condition"] = "oxidised"
    if exchanged:
        exchange = {"M1.n1": "M1.d1", "M1.d1": "M1.n1"}
        for wire in document["wire"]:
            wire["ends"] = [exchange.get(end, end) for end in wire["ends"]]
    if second is not None:
        document["supply"] = [{**document["supply"], "id": "N"}, {"on": True, "id": "S", **second}]
        for wire in document["wire"]:
            wire["ends"] = [end.replace("bus.", "N.") for end in wire["ends"]]
        document["track"].append({"id": "P9", "kind": "plain", "length_mm": 300.0, "scale": "HO"})
        document["wire"] += [{"ends": ["S.A", "P9.left"]}, {"ends": ["S.B", "P9.right"]}]
    return document


def _told(document: Document) -> list[tuple[str, str, tuple[str, ...], float | None]]:
    def line(finding: Finding) -> tuple[str, str, tuple[str, ...], float | None]:
        amps = finding.amps
        return finding.kind, finding.when, finding.touching, None if amps is None else round(amps, 3)

    return [line(finding) for finding in verdict_of(document).findings]


def test_a_supply_of_more_volts_elsewhere_changes_no_current() -> None:
    """15 V over 5 ohm burns (hot); 18 V would open the breaker, but they feed another track."""
    for exchanged, kind in ((True, "hot"), (False, "will-not-trip")):
        alone = _told(_oxidised(exchanged=exchanged))
        assert kind in {what for what, *_ in alone}
        assert _told(_oxidised(exchanged=exchanged, second={"kind": "dcc", "volts": 18.0})) == alone


def test_a_short_that_only_one_polarity_shows_is_told_beside_one_that_both_show() -> None:
    """A digital and a DC supply with one side in common, and rails that meet which lie on their other sides."""
    plank = Plank(vehicles=["long wagon"], on=True)
    plank.turnout("T1")
    plank.wired()
    plank.plain("P9")
    plank.join("P9.a", "T1.main", "insulated", "insulated")
    document = plank.document
    document["vehicle"] = [_LONG]
    digital = {**document["supply"], "id": "N", "volts": 12.0, "source_ohms": 0.5}
    document["supply"] = [digital, {"kind": "dc", "on": True, "id": "S"}]
    for wire in document["wire"]:
        exchange = {"M1.n1": "M1.d1", "M1.d1": "M1.n1"}
        wire["ends"] = [exchange.get(end, end).replace("bus.", "N.") for end in wire["ends"]]
    plank.wire("N.A", "P9.left")
    plank.wire("S.B", "P9.right")
    plank.wire("N.A", "S.A")
    found = {frozenset(finding.touching) for finding in verdict_of(document).findings if finding.kind == "short"}
    expected = frozenset({"P9.right", "T1.exit.left"})
    assert expected in {rails for out in Brute(bench_of(document)).runs().values() for rails in out.shorts}
    assert expected in found
