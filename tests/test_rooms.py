"""The rooms of the program and the ways between them, read from the imports: nothing imports upwards or sideways."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SIM = ROOT / "sim"

# Room -> the rooms it may import, its own left out (the drawing of DEVELOPERS.md); UNDER_ALL it may import besides.
UNDER_ALL = {"words"}
BELOW_WIRING = {"bench", "track", "train", "electric"}
BELOW_COACH = BELOW_WIRING | {"wiring", "proof", "session"}
MAY_IMPORT: dict[str, set[str]] = {
    "bench": set(),
    "electric": set(),
    "track": {"bench"},
    "train": {"bench", "track"},
    "wiring": BELOW_WIRING,
    "proof": BELOW_WIRING | {"wiring"},
    "session": BELOW_WIRING | {"wiring"},
    "coach": BELOW_COACH,
    "sheet": BELOW_COACH | {"coach"},
    "game": BELOW_COACH | {"coach", "sheet", "resources", "progress", "saving"},
    # the front door: it opens the window
    "cli": BELOW_COACH | {"coach", "resources", "progress", "saving", "game", "sheet", "version"},
    "resources": set(),
    "version": set(),
    "progress": set(),
    "saving": set(),
    "words": set(),
    "__main__": {"cli"},
    "__init__": set(),
}
MIDDLE = {"bench", "electric", "track", "train", "wiring", "proof", "session", "coach"}

# What belongs to the rim: clocks, chance, the system, threads, the net, and everything that shows or sounds.
RIM_MODULES = {
    "asyncio", "calendar", "ctypes", "datetime", "getpass", "locale", "logging", "multiprocessing", "os", "platform",
    "pygame", "random", "secrets", "shutil", "signal", "socket", "sqlite3", "subprocess", "tempfile", "threading",
    "time", "tkinter", "urllib", "uuid", "webbrowser",
}  # fmt: skip
RIM_CALLS = {"open", "input", "print", "eval", "exec", "compile", "__import__"}
MAY_OPEN_A_FILE = {SIM / "bench" / "reading.py"}

MODULES = sorted(SIM.rglob("*.py"))


def room_of(path: Path) -> str:
    return path.relative_to(SIM).parts[0].removesuffix(".py")


def imported(source: str, package: list[str]) -> Iterator[str]:
    """Every name that a module of ``package`` imports, wherever in it, by its full dotted name."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) + 1 - node.level] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            yield from (f"{stem}.{alias.name}" for alias in node.names)


def imports(path: Path) -> set[str]:
    package = ["sim", *path.relative_to(SIM).parts[:-1]]
    return set(imported(path.read_text(encoding="utf-8"), package))


def rooms_imported(path: Path) -> set[str]:
    return {name.split(".")[1] for name in imports(path) if name.split(".")[0] == "sim" and "." in name}


def roots_imported(path: Path) -> set[str]:
    return {name.split(".")[0] for name in imports(path)}


def test_every_room_is_known() -> None:
    assert {room_of(path) for path in MODULES} <= set(MAY_IMPORT)
    assert {room_of(path) for path in MODULES} >= MIDDLE | {"game", "cli"}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SIM)))
def test_nothing_imports_upwards_or_sideways(path: Path) -> None:
    room = room_of(path)
    assert rooms_imported(path) - {room} <= MAY_IMPORT[room] | UNDER_ALL


def test_only_the_window_imports_pygame() -> None:
    assert {room_of(path) for path in MODULES if "pygame" in roots_imported(path)} == {"game"}


@pytest.mark.parametrize(
    "path", [path for path in MODULES if room_of(path) in MIDDLE], ids=lambda path: str(path.relative_to(SIM))
)
def test_the_middle_knows_no_clock_chance_file_screen_or_sound(path: Path) -> None:
    assert roots_imported(path) & RIM_MODULES == set()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    called = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    assert called & RIM_CALLS <= ({"open"} if path in MAY_OPEN_A_FILE else set())
    chance = [
        ast.unparse(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and ast.unparse(node) in {"np.random", "numpy.random"}
    ]
    assert chance == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SIM)))
def test_rules_are_not_left_to_assert(path: Path) -> None:
    """`python -O` leaves assertions out, so no rule may be one."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Assert)] == []


def test_the_reader_of_imports_sees_every_form() -> None:
    """The tests above are worth what this reader sees."""
    source = "import time\ndef f():\n    from sim.proof import prove\n    import sim.game.app\nfrom sim import cli\n"
    assert set(imported(source, ["sim", "bench"])) == {"time", "sim.proof.prove", "sim.game.app", "sim.cli"}


def test_the_reader_of_imports_follows_dots() -> None:
    source = "from ..proof import prove\nfrom . import table\nfrom .. import game\n"
    assert set(imported(source, ["sim", "bench"])) == {"sim.proof.prove", "sim.bench.table", "sim.game"}


def test_the_standard_library_is_named_right() -> None:
    assert RIM_MODULES - {"pygame"} <= set(sys.stdlib_module_names)
