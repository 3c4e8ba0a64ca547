"""The reference page is fresh and says what the loader does."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from sim.bench.chapters import Chapter
from sim.bench.fields import declarations
from sim.bench.level import STEPS, Allow, Level, Trial
from sim.bench.model import Bench, Bus, Changeover, Lamp, Motor, Polarity, Supply, Train, Vehicle, WheelSize, Wire
from sim.bench.reading import MOST
from sim.bench.reference import page
from sim.track.formations import KINDS

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "bench-fields.md"


def test_the_page_is_fresh() -> None:
    fresh = PAGE.read_text(encoding="utf-8") == page(KINDS)
    assert fresh, "run: python -m sim.bench.reference > docs/bench-fields.md"


@pytest.mark.parametrize("arguments", [[], ["sim.track.formations"]])
def test_the_command_writes_the_page(arguments: list[str]) -> None:
    command = [sys.executable, "-m", "sim.bench.reference", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=True, timeout=60)
    assert done.stdout == page(KINDS)
    assert done.stderr == ""


def test_every_key_has_its_row() -> None:
    text = page(KINDS)
    classes = [Bench, Supply, Bus, *KINDS.values(), Motor, Changeover, Wire, Polarity, Lamp, Vehicle, WheelSize, Train]
    classes += [Trial, Level, Allow, *STEPS.values(), Chapter]
    for cls in classes:
        for field in declarations(cls):
            if (cls, field.name) != (Motor, "changeovers"):
                key, value, meaning = map(re.escape, (field.key, field.shape.expected, field.meaning))
                pattern = rf"^\| `{key}` \| {value} \| .* \| {meaning}"
                assert re.search(pattern, text, re.MULTILINE), (cls, field.key)


def test_every_limit_and_kind_is_named() -> None:
    text = page(KINDS)
    for key, most in MOST.items():
        assert f"{most:,} `[[{key}]]`" in text
    for kind in KINDS:
        assert f'"{kind}"' in text


def test_only_the_kinds_given_are_listed() -> None:
    text = page({"plain": KINDS["plain"]})
    assert '`kind = "plain"`' in text
    assert "wye" not in text
    assert "`blade_mm`" not in text


def test_a_row_is_a_row() -> None:
    for line in page(KINDS).splitlines():
        if line.startswith("|"):
            assert line.count("|") == 5
