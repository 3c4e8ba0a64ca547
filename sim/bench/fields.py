"""Fields declared once: their sort, range, unit, default and meaning.

A dataclass that stands for a table of a bench file declares each field with ``declared(...)``. The loader, its
messages, the writer and the reference page (docs/bench-fields.md) all work from these declarations alone.

    @dataclass(frozen=True, kw_only=True)
    class Plain(Piece):
        length_mm: float = declared(Number(10, 5000, "mm"), "length along the centre line")
        turns: str | None = declared(Choice("left", "right"), "which way it turns", default=None, needs=("radius_mm",))
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Protocol, TypeVar

from sim.bench.faults import Fault, Faults, at_key, shown
from sim.bench.shapes import Number, OneOrMore, Shape
from sim.bench.table import Table

__all__ = [
    "ByVerb",
    "Declared",
    "Nested",
    "Problem",
    "declarations",
    "declared",
    "plain",
    "problems_of",
    "read_fields",
    "value_faults",
]

_MISSING: Any = object()
_NOWHERE = "declared"


class _Dataclass(Protocol):
    __dataclass_fields__: ClassVar[dict[str, dataclasses.Field[Any]]]


D = TypeVar("D", bound=_Dataclass)


@dataclass(frozen=True)
class Declared:
    """What is known of one field of a table.

    ``key``: its key in the file; "at.mm" is the key mm in the sub-table at. ``default``: the value of a key left out
    (see ``default_for``). ``kinds``: the kind words of the table's class that have this field, all of them if empty.
    ``without``: keys that may not stand beside this one, and before which it gives way; ``needs``: keys that must.
    ``shown``: the default in words.
    """

    name: str
    key: str
    shape: Shape
    meaning: str
    required: bool
    default: Any
    by_kind: Mapping[str, Any]
    kinds: tuple[str, ...]
    without: tuple[str, ...]
    needs: tuple[str, ...]
    shown: str

    def default_for(self, kind: str | None) -> Any:
        """The value of this key when the file leaves it out, in a table of this kind."""
        return self.by_kind.get(kind, self.default) if kind is not None else self.default

    def has(self, kind: str | None) -> bool:
        """Whether a table of this kind can have this key."""
        return not self.kinds or kind in self.kinds


def declared(
    shape: Shape,
    meaning: str,
    *,
    default: Any = _MISSING,
    by_kind: Mapping[str, Any] | None = None,
    required: bool | None = None,
    key: str | None = None,
    kinds: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
    needs: tuple[str, ...] = (),
    shown: str = "",
) -> Any:
    """A dataclass field that can be read from a file, written to it and explained.

    Without a ``default`` the key is required. With ``required=True`` and a default, the file must give the key, but
    code need not: for a field that only some ``kinds`` have, and must have (a turnout's hand, which a wye lacks). For a
    key in a sub-table ("pickup.left"), ``required=True`` with a default asks for the sub-table only.
    ``by_kind``: defaults that go by the table's kind; the class fills them in for a value of None.
    """
    must = default is _MISSING if required is None else required
    what = {
        "key": key,
        "shape": shape,
        "meaning": meaning,
        "required": must,
        "by_kind": by_kind or {},
        "kinds": kinds,
        "without": without,
        "needs": needs,
        "shown": shown,
    }
    if default is _MISSING:
        return dataclasses.field(metadata={_NOWHERE: what})
    return dataclasses.field(default=default, metadata={_NOWHERE: what})


_declarations: dict[type, tuple[Declared, ...]] = {}


def declarations(of: type[_Dataclass] | _Dataclass) -> tuple[Declared, ...]:
    """The declared fields of a dataclass, in order."""
    cls = of if isinstance(of, type) else type(of)
    if cls not in _declarations:
        found = []
        for field in dataclasses.fields(cls):
            if _NOWHERE in field.metadata:
                what = dict(field.metadata[_NOWHERE])
                what["key"] = what["key"] or field.name
                default = None if field.default is dataclasses.MISSING else field.default
                found.append(Declared(name=field.name, default=default, **what))
        _declarations[cls] = tuple(found)
    return _declarations[cls]


@dataclass(frozen=True)
class Problem:
    """Something wrong between the fields of one table, as its class sees it.

    A class that has more rules than its fields can tell gives a method ``problems(self) -> Iterable[Problem]``. ``key``
    is the key to blame; ``found`` and ``expected`` are in words.
    """

    key: str
    found: str
    expected: str


def problems_of(thing: object) -> Iterable[Problem]:
    """The problems that the thing's own class finds in it."""
    problems = getattr(thing, "problems", None)
    return () if problems is None else problems()


def read_fields(
    cls: type[D],
    table: Mapping[str, Any],
    path: str,
    faults: Faults,
    *,
    kind: str | None = None,
    unasked: tuple[str, ...] = (),
) -> D:
    """Read a table of a file as a dataclass.

    Everything wrong goes to ``faults``; a wrong or missing value is replaced by its default or a stand-in, so that
    there is always something to go on with. ``kind``: the kind word, where the class serves several. ``unasked``: keys
    that the reader gave itself, not to be offered to whoever wrote another one.
    """
    fields = [field for field in declarations(cls) if field.has(kind)]
    wrong_for_kind = {field.key for field in declarations(cls) if not field.has(kind)}
    flat = _flattened(table, fields, path, faults)
    known = [field.key for field in fields if field.key not in unasked]
    for key in flat:
        if key in wrong_for_kind:
            faults.add(at_key(path, key), f"{key} = {shown(flat[key])}", f"no {key} on a {kind}")
        elif key not in known and key not in unasked:
            faults.add(_path(path, key), "an unknown key", f"one of {', '.join(known)}", like=key, known=known)
    before = len(faults)
    values = {field.name: _read_one(field, flat, path, faults, kind) for field in fields}
    clean = len(faults) == before
    thing = cls(**values)
    if clean:
        for problem in problems_of(thing):
            faults.add(_path(path, problem.key), problem.found, problem.expected)
    return thing


def _read_one(field: Declared, flat: Mapping[str, Any], path: str, faults: Faults, kind: str | None) -> Any:
    where = _path(path, field.key)
    if field.key not in flat:
        group = field.key.rpartition(".")[0]
        default = field.default_for(kind)
        if field.required and not (group and default is not None):
            faults.add(where, "nothing", field.shape.expected)
            return field.shape.stand_in
        return default
    value = field.shape.read(flat[field.key], where, faults)
    for other in field.without:
        if other in flat:
            faults.add(where, f"both {field.key} and {other}", f"one of {field.key} and {other}")
            value = field.default_for(kind)
    for other in field.needs:
        if other not in flat:
            faults.add(where, f"{field.key} without {other}", f"{other} beside it")
    return value


def _flattened(table: Mapping[str, Any], fields: list[Declared], path: str, faults: Faults) -> dict[str, Any]:
    """The table with the keys of its declared sub-tables as "at.mm"; sub-tables required and missing are reported."""
    groups: dict[str, bool] = {}
    for field in fields:
        group = field.key.rpartition(".")[0]
        if group:
            groups[group] = groups.get(group, False) or field.required
    flat: dict[str, Any] = {}
    for key, value in table.items():
        if key not in groups:
            # A key written "at.mm" in quotation marks is not the key mm of the table at.
            flat[key if "." not in key else f'"{key}"'] = value
        elif isinstance(value, Mapping):
            flat.update({f"{key}.{inner}": item for inner, item in value.items()})
        else:
            inner_keys = [field.key.rpartition(".")[2] for field in fields if field.key.startswith(f"{key}.")]
            faults.add(at_key(path, key), shown(value), f"a table with {' and '.join(inner_keys)}")
    for group, needed in groups.items():
        if needed and group not in table:
            faults.add(at_key(path, group), "nothing", f"a table {group}")
    return flat


def _path(path: str, key: str) -> str:
    """The key path of a flattened key, or of one that a class blames ("pickup.left[2]")."""
    if key.startswith('"'):
        return at_key(path, key[1:-1])
    for part in key.split("."):
        word, bracket, index = part.partition("[")
        path = at_key(path, word) + bracket + index
    return path


@dataclass(frozen=True)
class Nested:
    """The shape of a table that is itself a declared dataclass."""

    cls: type[Any]
    what: str

    @property
    def expected(self) -> str:
        keys = ", ".join(field.key for field in declarations(self.cls))
        return f"{self.what}: a table of {keys}"

    @property
    def stand_in(self) -> Any:
        return read_fields(self.cls, {}, "", Faults())

    def takes(self, value: object) -> bool:
        return isinstance(value, Mapping)

    def read(self, value: object, path: str, faults: Faults) -> Any:
        if isinstance(value, Mapping):
            return read_fields(self.cls, value, path, faults)
        faults.add(path, shown(value), self.expected)
        return self.stand_in


@dataclass(frozen=True)
class ByVerb:
    """The shape of a table that may be one of several dataclasses, told by which of their keys stands in it."""

    what: str
    sorts: Mapping[str, type[Any]]

    @property
    def expected(self) -> str:
        return f"{self.what}: a table with one of {', '.join(self.sorts)}"

    @property
    def stand_in(self) -> Any:
        return Nested(next(iter(self.sorts.values())), self.what).stand_in

    def takes(self, value: object) -> bool:
        return isinstance(value, Mapping)

    def read(self, value: object, path: str, faults: Faults) -> Any:
        verbs = [key for key in value if key in self.sorts] if isinstance(value, Mapping) else []
        if isinstance(value, Mapping) and len(verbs) == 1:
            return read_fields(self.sorts[verbs[0]], value, path, faults)
        found = " and ".join(verbs) or shown(value)
        like = next(iter(value), "") if isinstance(value, Mapping) and not verbs else ""
        faults.add(path, found, self.expected, like=like, known=tuple(self.sorts))
        return self.stand_in


def plain(thing: Any) -> Any:
    """A declared dataclass as the plain table that a file would give for it; keys at their default are left out.

    Tuples become lists and tables dicts, so that reading the result gives an equal thing.
    """
    if isinstance(thing, Table):
        return {key: plain(value) for key, value in thing.items()}
    if isinstance(thing, tuple):
        return [plain(item) for item in thing]
    if not dataclasses.is_dataclass(thing):
        return thing
    kind = getattr(thing, "kind", None)
    written = {field.key: field for field in declarations(thing) if _is_written(thing, field, kind)}
    table: dict[str, Any] = {}
    for field in declarations(thing):
        group, _, last = field.key.rpartition(".")
        inner = table.setdefault(group, {}) if group and (field.required or field.key in written) else table
        # Of two keys that exclude each other, the one that gives way is not written: it follows from the other.
        if field.key in written and not any(other in written for other in field.without):
            value = plain(getattr(thing, field.name))
            if isinstance(field.shape, OneOrMore):
                value = field.shape.written(value)
            elif isinstance(field.shape, Number):
                value = float(value) + 0.0  # equal things are written alike: 1 as 1.0, -0.0 as 0.0
            inner[last] = value
    return table


def _is_written(thing: Any, field: Declared, kind: str | None) -> bool:
    value = getattr(thing, field.name)
    return value is not None and (field.required or value != field.default_for(kind))


def value_faults(thing: object) -> tuple[Fault, ...]:
    """What is wrong with a thing made in code rather than read: ranges, words, and its class's own rules."""
    faults = Faults()
    cls: type[Any] = type(thing)
    read_fields(cls, plain(thing), "", faults, kind=getattr(thing, "kind", None))
    return faults.all()
