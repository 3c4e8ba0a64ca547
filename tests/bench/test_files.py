"""Files that cannot be read, and files that no bench could be."""

from __future__ import annotations

import builtins
import os
from pathlib import Path
from typing import Any

import pytest

from sim.bench.faults import BenchFaults, Fault
from sim.bench.reading import load
from sim.bench.toml_text import LARGEST_BYTES
from sim.track.formations import KINDS
from tests.bench.examples import SMALL


def fault_of(path: Path | str) -> Fault:
    with pytest.raises(BenchFaults) as caught:
        load(path, KINDS)
    (fault,) = caught.value.faults
    shown = "".join(c if c.isprintable() else "?" for c in str(path))
    assert str(caught.value) == f"{shown}: {fault}"
    return fault


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert fault_of(tmp_path / "none.toml").found == "no such file"
    assert fault_of(tmp_path / "none" / "none.toml").found == "no such file"


def test_a_folder(tmp_path: Path) -> None:
    assert fault_of(tmp_path).found == "a directory"


def test_a_file_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    assert fault_of(tmp_path / "a" / "b.toml").found.startswith("a file that cannot be read (")


def test_names_that_no_file_can_have(tmp_path: Path) -> None:
    assert fault_of("a\0b").found == "a path that cannot be"
    assert fault_of(tmp_path / ("x" * 5000)).found.startswith("a file that cannot be read (")


def test_a_device_is_not_read() -> None:
    assert fault_of("/dev/zero").found == "something that is not a file"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert fault_of(tmp_path / "pipe").found == "something that is not a file"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's refusal is imitated where the test's user may read everything, and real where not."""
    file = tmp_path / "secret.toml"
    file.write_text(SMALL)
    file.chmod(0)
    if os.access(file, os.R_OK):

        def refuse(*args: Any, **more: Any) -> Any:
            raise PermissionError(13, "Permission denied", str(file))

        monkeypatch.setattr(builtins, "open", refuse)
    assert fault_of(file).found == "a file that may not be read"


def test_a_disk_that_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "branch.toml"
    file.write_text(SMALL)

    def fail(*args: Any, **more: Any) -> Any:
        raise OSError(5, "Input/output error", str(file))

    monkeypatch.setattr(builtins, "open", fail)
    assert fault_of(file).found == "a file that cannot be read (Input/output error)"


@pytest.mark.parametrize("size", [LARGEST_BYTES + 1, 10_000_000])
def test_a_file_over_a_megabyte_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: int) -> None:
    file = tmp_path / "large.toml"
    file.write_bytes(SMALL.encode() + b"#" * (size - len(SMALL.encode())))
    opened: list[Any] = []
    monkeypatch.setattr(builtins, "open", lambda *args, **more: opened.append(args))
    fault = fault_of(file)
    assert opened == []
    assert fault.found == f"{size:,} bytes"
    assert "1 MB" in fault.expected


def test_a_file_of_a_megabyte_is_read(tmp_path: Path) -> None:
    file = tmp_path / "large.toml"
    file.write_bytes(SMALL.encode() + b"#" * (LARGEST_BYTES - len(SMALL.encode())))
    assert load(file, KINDS).piece("P1").id == "P1"


def test_a_file_that_grew_meanwhile_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "growing.toml"
    file.write_bytes(SMALL.encode())
    really_open = builtins.open

    def grow(*args: Any, **more: Any) -> Any:
        with really_open(file, "ab") as handle:
            handle.write(b"#" * 2_000_000)
        return really_open(*args, **more)

    monkeypatch.setattr(builtins, "open", grow)
    assert "1 MB" in fault_of(file).expected


def test_a_million_wires(tmp_path: Path) -> None:
    file = tmp_path / "wires.toml"
    with file.open("w") as handle:
        handle.write(SMALL)
        handle.writelines('[[wire]]\nends = ["bus.A", "T1.frog"]\n' for _ in range(1_000_000))
    assert "1 MB" in fault_of(file).expected


@pytest.mark.parametrize(
    ("data", "place", "found"),
    [
        (SMALL.encode() + "# gr\xfcn\n".encode("latin-1"), "line 33", "the byte 0xfc"),
        (SMALL.encode("utf-16"), "line 1", "the byte 0xff"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "line 1", "the byte 0x89"),
        (b"bench = 1\ntitle = '\xed\xa0\x80'\n", "line 2", "the byte 0xed"),
        (b"bench = 1\n\xc3", "line 2", "the byte 0xc3"),
    ],
)
def test_what_is_not_utf_8(tmp_path: Path, data: bytes, place: str, found: str) -> None:
    file = tmp_path / "strange.toml"
    file.write_bytes(data)
    fault = fault_of(file)
    assert (fault.path, fault.found, fault.expected) == (place, found, "text in UTF-8")


def test_binary_that_happens_to_be_utf_8(tmp_path: Path) -> None:
    file = tmp_path / "strange.toml"
    file.write_bytes(bytes(range(128)) * 1000)
    assert fault_of(file).path == "line 1, column 1"
