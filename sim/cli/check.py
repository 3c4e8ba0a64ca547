"""``frogbench check``: tests every route of each file, and tells the findings in words or as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from sim.cli.benches import open_bench
from sim.cli.output import CallRefused, print_errors, print_json, print_line
from sim.cli.status import FINE, FOUND, WRONG
from sim.cli.troubles import telling
from sim.cli.wordset import document_in, words_of_bench
from sim.proof import prove, to_json, to_text

__all__ = ["check"]


def _judged(name: str, as_json: bool, asked: str | None) -> tuple[bool, dict[str, Any] | None, Sequence[str]]:
    """Whether the bench of a file passes, with its JSON document or else its lines."""
    bench = open_bench(name)
    words = words_of_bench(asked, name, bench)
    verdict = prove(bench)
    if as_json:
        return verdict.passed, document_in(words, to_json(verdict)), ()
    return verdict.passed, None, [words.of(line) for line in to_text(verdict, bench)]


def check(files: Sequence[str], *, as_json: bool, asked: str | None = None) -> int:
    """Test every route of each file, in their order; a wrong file is told and does not keep the others back.

    asked: the name of the set of words, None for the player's own.

    Returns the greatest status of all files: FINE, FOUND where a finding fails, or WRONG.
    """
    status = FINE
    documents: list[dict[str, Any] | None] = []
    for name in files:
        try:
            passed, document, lines = telling(name, partial(_judged, name, as_json, asked))
        except CallRefused as refused:
            print_errors(refused.lines)
            documents.append(None)
            status = WRONG
            continue
        status = max(status, FINE if passed else FOUND)
        if as_json:
            documents.append(document)
            continue
        print_line(f"{name}:")
        for line in lines:
            print_line(f"  {line}")
    if as_json:
        print_json(documents if len(files) > 1 else documents[0])
    return status
