"""The wheel holds the program with its levels and assets, and runs from any folder; the project's files agree."""

from __future__ import annotations

import ast
import configparser
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sim.resources import level_names
from sim.version import VERSION
from tests.cli.running import frogbench

ROOT = Path(__file__).resolve().parents[1]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))



@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def files_under(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def programs(files: dict[str, bytes]) -> dict[str, bytes]:
    return {name: content for name, content in files.items() if "__pycache__" not in name}


@pytest.mark.parametrize("name", ["levels", "assets"])
def test_the_wheel_holds_the_levels_and_the_assets(unpacked: Path, name: str) -> None:
    assert files_under(ROOT / name)
    assert files_under(unpacked / "sim" / name) == files_under(ROOT / name)


def test_the_wheel_holds_the_whole_program_and_no_tests(unpacked: Path) -> None:
    own = programs(files_under(ROOT / "sim"))
    packed = programs(files_under(unpacked / "sim"))
    assert {name for name in packed if not name.startswith(("levels/", "assets/"))} == set(own)
    assert {path.name.split("-")[0] for path in unpacked.iterdir()} == {"sim", "frogbench"}


def test_each_font_has_its_licence_in_the_wheel(unpacked: Path) -> None:
    fonts = unpacked / "sim" / "assets" / "fonts"
    licences = {path.name.split("-")[0] for path in fonts.glob("*OFL*")}
    assert {re.split(r"[-.]", path.name)[0] for path in fonts.glob("*.ttf")} == licences


def test_the_command_of_the_wheel_is_the_one_the_tests_run(unpacked: Path) -> None:
    (listed,) = unpacked.glob("*.dist-info/entry_points.txt")
    entries = configparser.ConfigParser()
    entries.read_string(listed.read_text())
    assert dict(entries["console_scripts"]) == {"frogbench": "sim.cli:main"}


def test_the_wheel_runs_from_any_folder(unpacked: Path, tmp_path: Path) -> None:
    where = frogbench(
        "-c",
        "import sim.resources as r; print(r.levels_folder()); print(r.assets_folder())",
        cwd=tmp_path,
        env={"PYTHONPATH": str(unpacked)},
        program=(sys.executable,),
    )
    assert where.out.decode().split() == [str(unpacked / "sim" / name) for name in ("levels", "assets")]
    listed = frogbench("levels", cwd=tmp_path, env={"PYTHONPATH": str(unpacked)})
    assert listed.status == 0, listed
    assert all(f"  {name} " in listed.out.decode() for name in level_names())
    assert listed.out.decode().startswith("First frog: ")  # from the list of chapters in the wheel
    damaged = shutil.copytree(unpacked, tmp_path / "damaged")
    (damaged / "sim" / "levels" / "chapters.toml").unlink()
    without = frogbench("levels", cwd=tmp_path, env={"PYTHONPATH": str(damaged)})
    assert without.status == 2
    assert "chapters.toml: found no such file" in without.err


def test_the_wheel_is_of_the_version_that_the_program_tells(wheel: Path) -> None:
    assert wheel.name.split("-")[1] == VERSION


def test_a_checkout_runs_from_any_folder(tmp_path: Path) -> None:
    listed = frogbench("levels", cwd=tmp_path)
    assert listed.status == 0, listed
    assert "right-hand" in listed.out.decode()


def imported(folder: Path) -> Iterator[str]:
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) and node.module and not node.level else []
            yield from (name.split(".")[0] for name in names)


def wanted(requirements: list[str]) -> set[str]:
    return {re.split(r"[ <>=;\[]", requirement)[0] for requirement in requirements}


def foreign(folder: Path) -> set[str]:
    named = {"PIL": "pillow"}  # imported by another name than it is asked for
    return {named.get(name, name) for name in set(imported(folder)) - set(sys.stdlib_module_names) - {"sim", "tests"}}


def test_what_the_program_imports_is_what_it_asks_for() -> None:
    # pygame-ce is imported as pygame: one of the two is there
    assert foreign(ROOT / "sim") == wanted(PROJECT["project"]["dependencies"]) - {"pygame-ce"}


def test_what_the_tests_import_is_asked_for() -> None:
    run = wanted(PROJECT["project"]["dependencies"])
    extra = wanted(PROJECT["project"]["optional-dependencies"]["test"])
    # run as commands, not imported: the builder of the wheel, the two checkers, what runs the tests on all cores
    assert foreign(ROOT / "tests") - run == extra - {"hatchling", "mypy", "pytest-xdist", "ruff"}


def commands(readme: str) -> list[str]:
    return re.findall(r"```sh\n(.+)\n```", readme)


def test_the_readme_opens_with_one_paragraph_a_picture_and_two_commands() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = [block for block in readme.split("\n\n") if block.strip()]
    assert blocks[0] == "# frogbench"
    assert blocks[1][0].isalpha()
    picture = re.fullmatch(r"!\[.+\]\((.+)\)", blocks[2])
    assert picture
    assert (ROOT / picture[1]).is_file()
    assert len(commands(readme)) == 2


def test_what_the_readme_shows_is_what_the_command_prints() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    (shown,) = re.findall(r"```console\n\$ frogbench (.+)\n(.+)\n```", readme)
    assert frogbench(*shown[0].split(), cwd=ROOT).out.decode() == f"{shown[1]}\n"


@pytest.mark.programs("awk")
def test_the_checks_run_the_readmes_own_test_command() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    reading = re.search(r"awk '(.+)' README.md", script)
    assert reading
    read = subprocess.run(["awk", reading[1], "README.md"], cwd=ROOT, capture_output=True, text=True, check=True)
    assert read.stdout.strip() == commands((ROOT / "README.md").read_text(encoding="utf-8"))[1]


def test_every_file_that_the_readme_points_to_is_there() -> None:
    for page in ("README.md", "DEVELOPERS.md"):
        targets = re.findall(r"\]\(([^)#:]+)\)", (ROOT / page).read_text(encoding="utf-8"))
        assert targets
        assert [target for target in targets if not (ROOT / target).exists()] == []


def test_each_dependency_has_its_reason() -> None:
    reasons = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    project = PROJECT["project"]
    for name in wanted(project["dependencies"] + project["optional-dependencies"]["test"]):
        assert re.search(rf"^\| [^|]*`{re.escape(name)}`", reasons, re.MULTILINE), name
