"""The rooms of the program and the ways between them, read from the imports: nothing imports upwards or sideways."""

from __future__ import annotations

import ast
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TypeVar

import networkx as nx
import pytest

from sim.track.formations import FORMATIONS
from tests.track.test_conformance import PIECES

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
    "game": BELOW_COACH | {"coach", "sheet", "resources", "progress", "saving", "syllabus"},
    # the front door: it opens the window
    "cli": BELOW_COACH | {"coach", "resources", "progress", "saving", "syllabus", "game", "sheet", "version"},
    "resources": set(),
    "syllabus": {"bench", "track", "resources"},
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

# The rooms of the window, from the top: each imports only from its own and from those after it.
GAME = SIM / "game"
GAME_ROOMS = (
    "app", "screens", "front", "desk", "items/trackside", "items/tools", "items/cards", "items/panels", "items/common",
    "shorts", "picture", "whereabouts",
    "draw/pages", "draw/slips", "draw/instruments", "draw/railway", "draw/pen", "look", "paper",
)  # fmt: skip
GAME_DOOR = GAME / "__init__.py"  # above them all; it knows the program that it opens
GAME_MODULES = [path for path in MODULES if path.is_relative_to(GAME) and path.name != "__init__.py"]
MOST_IN_A_ROOM = 15
# What does not keep to this yet. The lists may only become shorter.
MAY_IMPORT_UPWARDS: dict[str, set[str]] = {}  # a module's path in sim/game -> the rooms above it
MAY_BE_LARGER: dict[str, int] = {}  # a room -> its modules
# Names of modules that stand more than once in the program. The list may only become shorter.
NAMED_TWICE = {
    "again", "faults", "feeds", "frogs", "laying", "loop", "marks", "meter", "plan", "play", "probe", "rolling",
    "sheet", "shot", "standing", "telling", "units", "view", "wheels",
}  # fmt: skip

# Nobody but the formations asks what class a piece is, or knows the names of its sections, places and ends.
ELSEWHERE = [path for path in MODULES if not path.is_relative_to(SIM / "track" / "formations")]
# Words that are names of their own besides: sides, ends that are letters, settings, what a button or a rail is.
COMMON_WORDS = {"left", "right", "main", "diverging", "a", "b"}
# What still has such a name, and why. The list may only become shorter.
MAY_NAME = {
    "bench/level.py": {"T1.frog", "T1.gap.closure.left"},  # examples in what a field says
    "bench/model.py": {"T1.frog", "T1.toe"},  # examples in what a field says
    "bench/piece.py": {"frog"},  # the role of a section, not its name
    "bench/prompt.py": {"T1.frog"},  # examples in what a field says
}

# What lies in a module of the window and changes: the one shelf of drawings. The list may only become shorter.
MAY_CHANGE = {"draw/pen/kept.py": {"_SHELF"}}
CONTAINERS = {"dict", "list", "set", "OrderedDict", "defaultdict", "deque", "Counter", "WeakKeyDictionary"}
CHANGING = {
    "add", "append", "appendleft", "clear", "discard", "extend", "insert", "move_to_end", "pop", "popitem", "popleft",
    "remove", "setdefault", "update",
}  # fmt: skip
# Kept by count: lines of text, in a room under the shelf; all other drawings lie on the shelf.
MAY_KEEP_BY_COUNT = {"look/fonts.py": {"_line"}}


def room_of(path: Path) -> str:
    return path.relative_to(SIM).parts[0].removesuffix(".py")


each_room = pytest.mark.parametrize("room", sorted({room_of(path) for path in MODULES}))
T = TypeVar("T")


def found_in(room: str, among: Iterable[Path], look: Callable[[Path], T]) -> dict[str, T]:
    """What a look at each module of a room finds, by the module's name; those in which it finds nothing left out."""
    seen = {path.relative_to(SIM).as_posix(): look(path) for path in among if room_of(path) == room}
    return {name: found for name, found in seen.items() if found}


def imported(source: str, package: list[str]) -> Iterator[str]:
    """Every name that a module of ``package`` imports, wherever in it, by its full dotted name."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) + 1 - node.level] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            yield from (f"{stem}.{alias.name}" for alias in node.names)


@cache
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


@each_room
def test_nothing_imports_upwards_or_sideways(room: str) -> None:
    allowed = {room} | MAY_IMPORT[room] | UNDER_ALL
    assert found_in(room, MODULES, lambda path: rooms_imported(path) - allowed) == {}


def game_room_of(path: Path) -> str:
    return path.parent.relative_to(GAME).as_posix()


def game_rooms_in(names: set[str]) -> set[str]:
    """The rooms of the window that imported names stand in; "." for its door."""
    known = {room.replace("/", "."): room for room in GAME_ROOMS}
    found: set[str] = set()
    for name in (f"{name}." for name in names if f"{name}.".startswith("sim.game.")):
        found.add(next((room for stem, room in known.items() if name.startswith(f"sim.game.{stem}.")), "."))
    return found


def game_rooms_above(room: str) -> set[str]:
    return {".", *GAME_ROOMS[: GAME_ROOMS.index(room)]}


def circles(arrows: Mapping[str, set[str]]) -> list[list[str]]:
    """The groups of modules that import each other, straight or by way of others."""
    graph = nx.DiGraph([(one, other) for one, others in arrows.items() for other in others])
    loops = [sorted(group) for group in nx.strongly_connected_components(graph) if len(group) > 1]
    return sorted(loops + [[one] for one in nx.nodes_with_selfloops(graph)])


def dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def arrows_between_modules() -> dict[str, set[str]]:
    known = {dotted(path) for path in MODULES}
    arrows: dict[str, set[str]] = {}
    for path in MODULES:
        named = {name if name in known else name.rpartition(".")[0] for name in imports(path)}
        arrows[dotted(path)] = named & known
    return arrows


def test_every_module_of_the_window_is_in_a_room() -> None:
    assert {game_room_of(path) for path in GAME_MODULES} == set(GAME_ROOMS)


@pytest.mark.parametrize("room", GAME_ROOMS)
def test_no_room_of_the_window_imports_from_one_above_it(room: str) -> None:
    above = {
        path.relative_to(GAME).as_posix(): rooms
        for path in GAME_MODULES
        if game_room_of(path) == room and (rooms := game_rooms_in(imports(path)) & game_rooms_above(room))
    }
    allowed = {name: rooms for name, rooms in MAY_IMPORT_UPWARDS.items() if game_room_of(GAME / name) == room}
    assert above == allowed  # what is no longer needed leaves the list


def test_the_door_of_the_window_opens_the_program_alone() -> None:
    assert game_rooms_in(imports(GAME_DOOR)) <= {"app", "screens"}


@pytest.mark.parametrize("path", [GAME / room / "__init__.py" for room in ("draw", "items", *GAME_ROOMS)], ids=str)
def test_a_room_of_the_window_says_what_it_is_and_imports_nothing(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert imports(path) == set()


def test_no_room_of_the_window_is_too_large() -> None:
    sizes = Counter(game_room_of(path) for path in GAME_MODULES)
    assert {room: size for room, size in sizes.items() if size > MOST_IN_A_ROOM} == MAY_BE_LARGER


def test_the_lists_of_the_window_name_what_there_is() -> None:
    assert set(MAY_IMPORT_UPWARDS) <= {path.relative_to(GAME).as_posix() for path in GAME_MODULES}
    assert set(MAY_BE_LARGER) <= set(GAME_ROOMS)


def test_no_modules_import_each_other_in_a_circle() -> None:
    assert circles(arrows_between_modules()) == []


def test_the_name_of_a_module_stands_once() -> None:
    names = Counter(path.stem for path in MODULES if not path.stem.startswith("__"))
    assert {name for name, times in names.items() if times > 1} == NAMED_TWICE
    rooms = {part for room in GAME_ROOMS for part in room.split("/")}
    assert rooms & (set(names) | set(MAY_IMPORT)) == set()


def _assigned(body: Iterable[ast.stmt]) -> Iterator[tuple[str, ast.expr]]:
    """The names that a module or class gives values to, and these."""
    for node in body:
        if isinstance(node, ast.Assign):
            yield from ((target.id, node.value) for target in node.targets if isinstance(target, ast.Name))
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value is not None:
            yield node.target.id, node.value


def _changing_classes(tree: ast.Module) -> set[str]:
    """The classes of a module whose objects change after they are made."""
    return {
        klass.name
        for klass in tree.body
        if isinstance(klass, ast.ClassDef)
        for method in klass.body
        if isinstance(method, ast.FunctionDef) and method.name != "__init__"
        for node in ast.walk(method)
        if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store) and ast.unparse(node.value) == "self"
    }


def _is_changed(node: ast.AST) -> str:
    """The name that a piece of code changes what it stands for of, if it does."""
    if isinstance(node, ast.Subscript | ast.Attribute) and isinstance(node.ctx, ast.Store | ast.Del):
        return ast.unparse(node.value)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CHANGING:
        return ast.unparse(node.func.value)
    return ""


def changing_names(source: str) -> set[str]:
    """What of a module, or of a class in it, changes while the program runs, or can only be there to be changed."""
    tree = ast.parse(source)
    classes = [node for node in tree.body if isinstance(node, ast.ClassDef)]
    given = dict(_assigned(tree.body))
    held = {f"{node.name}.{name}": value for node in classes for name, value in _assigned(node.body)}
    makers = CONTAINERS | _changing_classes(tree)
    found = set()
    for name, value in {**given, **held}.items():
        empty = (isinstance(value, ast.Dict) and not value.keys) or (isinstance(value, ast.List) and not value.elts)
        made = isinstance(value, ast.Call) and ast.unparse(value.func).rpartition(".")[2] in makers
        if empty or made:
            found.add(name)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.Lambda)]
    inside = [node for function in functions for node in ast.walk(function)]
    found |= {name for node in inside if isinstance(node, ast.Global) for name in node.names}
    changed = {_is_changed(node) for node in inside}
    names = {node.name for node in classes}
    found |= changed & (set(given) | set(held) | names)
    return found


def test_nothing_that_changes_lies_in_a_module_of_the_window() -> None:
    found = {
        path.relative_to(GAME).as_posix(): names
        for path in GAME_MODULES
        if (names := changing_names(path.read_text(encoding="utf-8")))
    }
    assert found == MAY_CHANGE


def test_the_reader_of_what_changes_sees_every_form() -> None:
    source = (
        "class Pen:\n    window = None\n    at = ClassVar\n"
        "class Shelf:\n    def __init__(self): self.size = 0\n    def lay(self): self.size += 1\n"
        "class Still:\n    def __init__(self): self.size = 0\n"
        "A = {}\nB: dict[int, int] = dict()\nC = OrderedDict()\nD = Shelf()\nE = 0\nF = {1: 2}\nG = [1]\nH = {2}\n"
        "I = {1: 2}\nJ = [3]\nK = Still()\nL = (1,)\n"
        "def f():\n    global E\n    E = 1\n    F[3] = 4\n    G.append(2)\n    del H[0]\n    Pen.window = 1\n"
        "    local = []\n    local.append(I)\n"
    )
    assert changing_names(source) == {"A", "B", "C", "D", "E", "F", "G", "H", "Pen"}


def kept_by_count(path: Path) -> set[str]:
    """The drawing functions of a module that keep so many of their drawings, however large these are."""
    return {
        node.name
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and node.returns is not None
        if {"Sprite", "Surface"} & set(re.findall(r"\w+", ast.unparse(node.returns)))
        if any("cache" in ast.unparse(each) for each in node.decorator_list)
    }


def test_every_drawing_that_is_kept_lies_on_the_shelf() -> None:
    found = {path.relative_to(GAME).as_posix(): names for path in GAME_MODULES if (names := kept_by_count(path))}
    assert found == MAY_KEEP_BY_COUNT


def test_only_the_window_imports_pygame() -> None:
    assert {room_of(path) for path in MODULES if "pygame" in roots_imported(path)} == {"game"}


def rim_in(path: Path) -> set[str]:
    """Clocks, chance, files, screen and sound, as far as a module has them."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    called = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    chance = {
        ast.unparse(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and ast.unparse(node) in {"np.random", "numpy.random"}
    }
    called &= RIM_CALLS - ({"open"} if path in MAY_OPEN_A_FILE else set())
    return called | chance | roots_imported(path) & RIM_MODULES


@pytest.mark.parametrize("room", sorted(MIDDLE))
def test_the_middle_knows_no_clock_chance_file_screen_or_sound(room: str) -> None:
    assert found_in(room, MODULES, rim_in) == {}


def assertions_of(path: Path) -> list[int]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Assert)]


@each_room
def test_rules_are_not_left_to_assert(room: str) -> None:
    """`python -O` leaves assertions out, so no rule may be one."""
    assert found_in(room, MODULES, assertions_of) == {}


def test_the_reader_of_imports_sees_every_form() -> None:
    """The tests above are worth what this reader sees."""
    source = "import time\ndef f():\n    from sim.proof import prove\n    import sim.game.app\nfrom sim import cli\n"
    assert set(imported(source, ["sim", "bench"])) == {"time", "sim.proof.prove", "sim.game.app", "sim.cli"}


def test_the_reader_of_imports_follows_dots() -> None:
    source = "from ..proof import prove\nfrom . import table\nfrom .. import game\n"
    assert set(imported(source, ["sim", "bench"])) == {"sim.proof.prove", "sim.bench.table", "sim.game"}


def test_the_reader_of_the_windows_rooms_sees_every_form() -> None:
    source = (
        "from sim.game import NoDisplay\nfrom sim.game.picture import side\nfrom sim.game.draw.pen.ink import Pen\n"
        "import sim.game.paper.view\nfrom sim.game.looking import eye\nfrom sim.bench.model import Bench\n"
    )
    seen = game_rooms_in(set(imported(source, ["sim", "game", "look"])))
    assert seen == {".", "picture", "draw/pen", "paper"}
    assert seen & game_rooms_above("look") == {".", "picture", "draw/pen"}
    assert seen & game_rooms_above("app") == game_rooms_in({"sim.game"}) == {"."}


def test_the_finder_of_circles_finds_them() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a", "d"}, "d": {"e"}, "f": {"f"}}) == [["a", "b", "c"], ["f"]]
    assert circles({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []
    arrows = arrows_between_modules()
    assert "sim.game.app.loop" in arrows["sim.game"]  # imported inside a function
    assert "sim.game.app.mishaps" in arrows["sim.game.app.loop"]
    assert "sim.proof.prove" in arrows["sim.cli.check"]


def test_the_standard_library_is_named_right() -> None:
    assert RIM_MODULES - {"pygame"} <= set(sys.stdlib_module_names)


def local_names() -> set[str]:
    """Names that formations give to their sections, places and ends, as they stand after a piece's id."""
    found: set[str] = set()
    for piece in PIECES:
        full = [*piece.sections(), *(place.name for place in piece.places())]
        found |= {name.partition(".")[2] for name in full} | set(piece.ENDS)
    return found - COMMON_WORDS


def stems(names: set[str]) -> set[str]:
    """What a name begins with when it is put together: "blade." of "blade.left", "gap.exit." of "gap.exit.left"."""
    kinds = {place.kind for piece in PIECES for place in piece.places()}
    return {f"{name.rpartition('.')[0]}." for name in names if "." in name} - {f"{kind}." for kind in kinds}


@cache
def known_names() -> re.Pattern[str]:
    """Such a name, whole or begun."""
    names = local_names()
    whole = "|".join(re.escape(name) for name in sorted(names))
    begun = "|".join(re.escape(stem) for stem in sorted(stems(names)))
    return re.compile(rf"(^|\.)(({whole})($|[./])|({begun})$)")


def names_in(source: str) -> set[str]:
    """The strings of a module in which such a name stands; documentation and whole sentences are left out."""
    tree = ast.parse(source)
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    texts = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told
    ]
    return {text for text in texts if known_names().search(text) and " " not in text}


def classes_asked_in(source: str) -> set[str]:
    """Formation classes that a module imports, asks an object for, or matches."""
    classes = {formation.__name__ for formation in FORMATIONS}
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("sim.track.formations"):
            found |= {alias.name for alias in node.names} & classes
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"isinstance", "type"}:
            for each in ast.walk(node):
                found |= {each.id} & classes if isinstance(each, ast.Name) else set()
        elif isinstance(node, ast.MatchClass):
            found |= {ast.unparse(node.cls).rpartition(".")[2]} & classes
    return found


@each_room
def test_nobody_asks_a_piece_for_its_class(room: str) -> None:
    assert found_in(room, ELSEWHERE, lambda path: classes_asked_in(path.read_text(encoding="utf-8"))) == {}


@each_room
def test_nobody_knows_a_section_a_place_or_an_end_by_name(room: str) -> None:
    allowed = {name: names for name, names in MAY_NAME.items() if room_of(SIM / name) == room}
    found = found_in(room, ELSEWHERE, lambda path: names_in(path.read_text(encoding="utf-8")))
    assert found == allowed  # what is no longer needed leaves the list


def test_the_reader_of_names_sees_every_form() -> None:
    source = (
        '"""T1.frog"""\n'
        "a = f'{p}.frog', 'T1.stock.left', f'{p}.blade.{side}', 'exit.left', f'gap.closure.{side}', 'T1.toe'\n"
        "b = 'stock', 'gap.', 'bond.', 'left', 'frogs of a piece', 'a frog', 'main'\n"
    )
    seen = {".frog", "T1.stock.left", ".blade.", "exit.left", "gap.closure.", "T1.toe"}
    assert names_in(source) == seen
    source = (
        "from sim.track.formations import Plain, formation_of\nif isinstance(x, (End, int)): pass\n"
        "match x:\n    case Turnout(): pass\n"
    )
    assert classes_asked_in(source) == {"Plain", "End", "Turnout"}
