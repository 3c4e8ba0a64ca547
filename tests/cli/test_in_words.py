"""``--words``: in which of the trade's words a command speaks, and what it leaves as somebody wrote it."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest

from sim.progress import Progress
from sim.words import SETS
from tests.cli.running import ROOT, called

OWN = (ROOT / "tests" / "benches" / "clean.toml").read_text(encoding="utf-8")
TITLE = "Feeder of the wagon works"
WEAK = OWN.replace("[[motor.changeover]]", '[[motor.changeover]]\ncondition = "open"')


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A bench of one's own whose frog is dead, with names that are words of the trade."""
    text = re.sub(r"(?m)^title = .*$", f'title = "{TITLE}"', WEAK)
    text = text.replace("[[wire]]", '[[wire]]\nnote = "feeder to the sleeper"', 1)
    text += '\n[[train]]\nid = "shunter"\nvehicles = ["four-wheel shunter"]\nat = { end = "T1.toe", mm = 40 }\n'
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


def texts(value: Any) -> list[str]:
    """All sentences of a document."""
    if isinstance(value, dict):
        return [each for key, one in value.items() for each in ([one] if key == "text" else texts(one))]
    return [each for one in value for each in texts(one)] if isinstance(value, list) else []


@pytest.mark.parametrize(("words", "engine"), [("us", "switcher"), ("uk", "shunter"), ("international", "shunter")])
def test_findings_are_told_in_the_words_asked_for(own: Path, words: str, engine: str) -> None:
    plain = called("check", str(own), "--words", words)
    assert plain.status == 1, plain
    lines = plain.out.decode().splitlines()
    assert lines[0] == f"{own}:"
    assert lines[1] == f"  {TITLE}: Not clean."
    assert any(f"the four-wheel {engine} stops" in line for line in lines)
    document = json.loads(called("check", str(own), "--json", "--words", words).out)
    assert document["title"] == TITLE
    assert any(f"the four-wheel {engine} stops" in text for text in texts(document))
    assert {row["vehicle"] for row in document["findings"]} >= {"four-wheel shunter"}  # a name, not a sentence


def test_a_document_differs_in_its_sentences_alone(own: Path) -> None:
    def bare(words: str) -> Any:
        document = json.loads(called("check", str(own), "wye", "--json", "--words", words).out)
        for each in document:
            for row in each["findings"]:
                row["text"] = ""
        return document

    assert bare("us") == bare("uk") == bare("international")


def test_the_sheet_follows_and_leaves_what_was_typed(own: Path, tmp_path: Path) -> None:
    pages = {}
    for words in SETS:
        out = tmp_path / f"{words}.html"
        assert called("sheet", str(own), "-o", str(out), "--words", words).status == 0
        pages[words] = out.read_text(encoding="utf-8")
    for page in pages.values():
        assert html.escape(TITLE) in page
        assert "<td>feeder to the sleeper</td>" in page
    styles = {re.search("<style>.*</style>", page, re.DOTALL)[0] for page in pages.values()}  # type: ignore[index]
    assert len(styles) == 1
    assert ">Color<" in pages["us"]
    assert ">Colour<" in pages["uk"]
    assert "left bonding wire" in pages["uk"]
    assert "left bond<" in pages["us"]
    assert "house current side" in pages["us"]
    assert "mains side" in pages["international"]
    tags = {re.sub(r">[^<]*<", "><", page) for page in pages.values()}
    assert len(tags) == 1  # nothing but what is read differs


def test_the_players_own_words_are_the_default(own: Path, tmp_path: Path) -> None:
    env = {"XDG_DATA_HOME": str(tmp_path)}
    book = Progress(tmp_path / "frogbench" / "frogbench.sqlite")

    def told(*more: str) -> bytes:
        return called("check", str(own), *more, env=env).out

    assert told() == told("--words", "international")
    for kept, words in (("us", "us"), ("continental", "international"), ("klingon", "international")):
        book.set("words", kept)
        assert told() == told("--words", words)
    assert told("--words", "us") != told("--words", "uk")


def test_settings_that_cannot_be_read_hold_no_command_back_and_are_left_alone(own: Path, tmp_path: Path) -> None:
    file = tmp_path / "frogbench" / "frogbench.sqlite"
    file.parent.mkdir()
    file.write_text("not a file of marks")
    ended = called("check", str(own), env={"XDG_DATA_HOME": str(tmp_path)})
    assert (ended.status, ended.err) == (1, "")
    assert list(file.parent.iterdir()) == [file]
    assert file.read_text() == "not a file of marks"


@pytest.mark.parametrize(
    "call", [["check", "wye"], ["probe", "wye", "bus.A", "bus.B"], ["levels"], ["sheet", "wye", "-o", "out.html"],
             ["shot", "wye", "out.png"]], ids=" ".join,
)  # fmt: skip
def test_a_set_that_is_none_is_refused_in_one_line(call: list[str], tmp_path: Path) -> None:
    for words in ("continental", "de", ""):
        ended = called(*call, "--words", words, cwd=tmp_path)
        assert (ended.status, ended.out, len(ended.lines)) == (2, b"", 1), ended
        assert ended.err.startswith(f"frogbench {call[0]}: ")
        assert all(name in ended.err for name in SETS)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", SETS)
def test_names_in_a_line_stay_names(words: str) -> None:
    levels = called("levels", "--words", words).out.decode().splitlines()
    assert {line.split()[0] for line in levels} >= {"wye", "right-hand"}
    probed = called("probe", "right-hand", "M1.m", "M1.p", "--words", words).out
    assert probed == b"M1.m to M1.p: 0.23 ohm, the buzzer beeps\n"


def test_a_picture_speaks_in_the_words_asked_for(tmp_path: Path) -> None:
    for words in SETS:
        assert called("shot", "left-hand", str(tmp_path / f"{words}.png"), "--words", words).status == 0
    us, uk = ((tmp_path / f"{words}.png").read_bytes() for words in ("us", "uk"))
    assert us != uk  # the goods shed of its job is a freight house
