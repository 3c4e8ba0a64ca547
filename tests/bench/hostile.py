"""Texts of a megabyte, each made to cost a reader all the time, room or depth that it has.

``python -m tests.bench.hostile NAME...`` reads those, one after the other, and prints for each a line: how many faults
were found, the processor seconds that it took, and the most kilobytes that were resident until then.
"""

from __future__ import annotations

import itertools
import resource
import string
import sys
import time
from collections.abc import Callable, Iterator

from sim.bench.faults import BenchFaults
from sim.bench.reading import parse
from sim.bench.toml_text import LARGEST_BYTES
from sim.track.formations import KINDS

__all__ = ["HOSTILE"]

_M = LARGEST_BYTES - 100


def _filled(unit: str) -> str:
    return unit * (_M // len(unit))


def _numbered(form: str, most: int = 10**6) -> str:
    """The form with short keys, each once, until the text is as long as it may be, or ``most`` times."""
    made: list[str] = []
    length = 0
    for key in itertools.islice(_keys(), most):
        made.append(form.replace("KEY", key))
        length += len(made[-1])
        if length > _M:
            break
    return "".join(made[:-1])


def _keys() -> Iterator[str]:
    for size in (2, 3, 4):
        yield from map("".join, itertools.product(string.ascii_lowercase + string.digits, repeat=size))


HOSTILE: dict[str, Callable[[], str]] = {
    "brackets": lambda: "a=" + _filled("["),
    "braces": lambda: _filled("a={"),
    "a key of many parts": lambda: "a" + _filled(".a") + "=1",
    "lists": lambda: "a=[" + _filled("[],") + "]",
    "deep lists": lambda: "a=[" + _filled("[" * 14 + "]" * 14 + ",") + "]",
    "tables in a list": lambda: "a=[" + _filled("{},") + "]",
    "tables with lists": lambda: "a=[" + _filled("{a=[]},") + "]",
    "tables with dotted keys": lambda: "a=[" + _filled("{a.b=1},") + "]",
    "tables with long dotted keys": lambda: "a=[" + _filled("{a.a.a.a.a.a.a.a.a.a.a.a.a.a.a=1},") + "]",
    "headers": lambda: _numbered("[KEY]\n"),
    "as many headers as allowed": lambda: _numbered("[KEY]\n", 39_000),
    "rows": lambda: _filled("[[a]]\n"),
    "rows of wires": lambda: "bench=1\n" + _filled("[[wire]]\n"),
    "rows of vehicles": lambda: "bench=1\n" + _numbered("[[vehicle]]\n", 1_000) + "pickup={}\n",
    "keys": lambda: _numbered("KEY=1\n"),
    "keys of lists": lambda: _numbered("KEY=[]\n"),
    "keys of tables": lambda: _numbered("KEY={}\n"),
    "dotted keys": lambda: _numbered("KEY.a=1\n"),
    "dotted keys of lists": lambda: _numbered("KEY.a=[]\n", 39_000),
    "more dotted keys of lists": lambda: _numbered("KEY.a=[]\n"),
    "long dotted keys": lambda: _numbered("KEY.a.a.a.a.a.a.a.a.a.a.a.a.a.a=[]\n", 2_500),
    "keys far below": lambda: "[a.a.a.a.a.a.a.a.a.a.a.a.a.a.a]\n" + _numbered("KEY=[]\n"),
    "empty strings": lambda: "a=[" + _filled('"",') + "]",
    "numbers": lambda: "a=[" + _filled("1,") + "]",
    "dates": lambda: "a=[" + _filled("2024-01-01,") + "]",
    "one number": lambda: "a=" + _filled("1"),
    "one number in hex": lambda: "bench=0x" + _filled("f"),
    "one fraction": lambda: "bench=1." + _filled("1"),
    "one exponent": lambda: "bench=1e" + _filled("1"),
    "escapes": lambda: 'a="' + _filled("\\n") + '"',
    "lines continued": lambda: 'a="""' + _filled("\\ \n") + '"""',
    "quotation marks that end nothing": lambda: _filled('\\"""'),
    "quotation marks": lambda: "a=" + _filled('"'),
    "remarks": lambda: _filled("#\n"),
    "empty lines in a list": lambda: "a=[" + _filled("\n") + "]",
    "one key": lambda: _filled("a") + "=1",
    "lamps of names much alike": lambda: (
        "bench=1\nsupply.kind='dc'\n"
        + "".join(f'[[lamp]]\nid="{"y" * 50}{i}"\n' for i in range(1000))
        + "".join(f'[[wire]]\nends=["{"y" * 50}_{i}.1","{"y" * 50}-{i}.2"]\n' for i in range(6000))
    ),
    "turnouts much alike": lambda: (
        "bench=1\nsupply.kind='dc'\n"
        + "".join(f'[[track]]\nid="T{i}"\nkind="turnout"\nscale="HO"\nhand="left"\nnumber=6\n' for i in range(1000))
        + "".join(f'[[wire]]\nends=["X{i}.frog","T{i % 1000}.forg"]\n' for i in range(10_000))
    ),
}


def _read(text: str) -> str:
    started = time.process_time()
    try:
        parse(text, KINDS, name="x")
    except BenchFaults as wrong:
        taken = time.process_time() - started
        return f"{len(wrong.faults)} {taken} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}"
    return "0 0 0"


if __name__ == "__main__":
    for name in sys.argv[1:]:
        print(_read(HOSTILE[name]()), flush=True)
