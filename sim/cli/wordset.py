"""In which of the trade's words a command speaks: those asked for, else those that the player has set up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.bench.given import given_names
from sim.bench.model import Bench
from sim.cli.benches import bench_file
from sim.progress import kept_setting
from sim.resources import levels_folder
from sim.words import FIRST_SET, Words, set_kept

__all__ = ["document_in", "words_for", "words_of_bench"]

_SENTENCES = frozenset({"title", "text"})
"""Keys of a JSON document whose texts are sentences; all others are names."""


def words_for(asked: str | None) -> Words:
    """`asked`: the name of a set, or None for the player's own; the first set where nothing is set up or it cannot be
    read, for which no command is held back."""
    if asked is not None:
        return Words(asked)
    return Words(set_kept(kept_setting("words") or "") or FIRST_SET)


def words_of_bench(asked: str | None, name: str, bench: Bench) -> Words:
    """The same for what is said of the bench called `name`: what somebody called things on one of their own stays.

    Levels that come with the program have texts of the program.
    """
    words = words_for(asked)
    ours = bench_file(name).resolve().parent == levels_folder()
    return words if ours else Words(words.name, given_names(bench))


def document_in(words: Words, value: Any) -> Any:
    """A JSON document with its sentences in these words."""
    if isinstance(value, Mapping):
        return {
            key: words.of(each) if key in _SENTENCES and isinstance(each, str) else document_in(words, each)
            for key, each in value.items()
        }
    return [document_in(words, each) for each in value] if isinstance(value, list) else value
