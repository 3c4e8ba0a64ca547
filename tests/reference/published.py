"""The published figures that were carried into the project, each with its source, edition and how it was obtained."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, cast

from tests.reference.check import Answer, Check, Obtained, Sense, Source

__all__ = ["Entry", "entry", "sheet"]

DATA = Path(__file__).parent / "data"


@cache
def sheet(name: str) -> dict[str, Any]:
    """One file of figures, by its name without the ending. Raises FileNotFoundError."""
    return tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Entry:
    """One published figure with all that the sheet says of it."""

    path: str
    fields: dict[str, Any]

    @property
    def source(self) -> Source:
        obtained = cast("Obtained", self.fields["obtained"])
        return Source(self.fields["source"], obtained, self.fields.get("where", ""))

    def number(self, field: str = "value") -> float:
        return float(self.fields[field])

    def check(
        self,
        ours: Callable[[], Answer],
        *,
        field: str = "value",
        name: str | None = None,
        within: float = 0.0,
        because: str = "",
        sense: Sense = "equal",
        unit: str | None = None,
        times: float = 1.0,
        differs: str = "",
    ) -> Check:
        """A check of this figure; `times` turns the sheet's unit into `unit`, the one that ours has."""
        return Check(
            name=name or f"{self.path} {field}".removesuffix(" value"),
            source=self.source,
            published=self.number(field) * times,
            ours=ours,
            unit=unit or self.fields["unit"],
            within=within,
            because=because,
            sense=sense,
            differs=differs,
        )


def entry(path: str) -> Entry:
    """The figure at "sheet.table.name". Raises KeyError if there is none."""
    name, *keys = path.split(".")
    found: Any = sheet(name)
    for key in keys:
        found = found[key]
    if "source" not in found:
        raise KeyError(f"{path} is no figure: it has no source")
    return Entry(".".join(keys), found)
