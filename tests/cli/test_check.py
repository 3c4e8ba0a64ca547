"""``frogbench check``: its exit status, its words, and its JSON document to the letter of the contract."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli.running import ROOT, called, frogbench

BENCHES = ROOT / "tests" / "benches"
CLEAN = str(BENCHES / "clean.toml")
EXCHANGED = str(BENCHES / "exchanged.toml")


def document(out: bytes) -> Any:
    return json.loads(out)


def test_a_clean_bench_ends_with_0_and_says_so() -> None:
    ended = called("check", CLEAN)
    assert ended.status == 0, ended
    assert ended.err == ""
    assert "every route clean" in ended.out.decode().lower()


def test_exchanged_outers_end_with_1_and_say_short() -> None:
    ended = called("check", EXCHANGED)
    assert ended.status == 1, ended
    assert ended.err == ""
    assert "short" in ended.out.decode()


def test_the_document_has_the_keys_of_the_contract_in_their_order() -> None:
    ended = called("check", EXCHANGED, "--json")
    assert ended.status == 1, ended
    found = document(ended.out)
    assert list(found) == ["bench", "title", "pass", "positions", "findings", "shares"]
    assert [list(row) for row in found["positions"]] == [["points", "feeds"]] * len(found["positions"])
    keys = ["kind", "fails", "when", "points", "path", "direction", "vehicle", "from_mm", "to_mm", "touching", "amps",
            "volts", "runs", "loop", "text"]  # fmt: skip
    assert found["findings"]
    assert [list(row) for row in found["findings"]] == [keys] * len(found["findings"])
    assert list(found["shares"]) == ["safe", "live"]
    assert found["bench"] == 1
    assert found["title"] == "A right-hand turnout, outers exchanged"
    assert found["pass"] is False


def test_the_example_of_the_contract_comes_out() -> None:
    """The finding shown in the contract: a right-hand HO No. 6 with the outers exchanged, points normal."""
    found = document(called("check", EXCHANGED, "--json").out)
    (position,) = [row for row in found["positions"] if row["points"] == {"T1": "normal"}]
    feeds = {"T1.stock.left": "A", "T1.stock.right": "B", "T1.frog": "A", "T1.exit.left": "B"}
    assert position["feeds"] | feeds == position["feeds"]
    (finding,) = [
        row
        for row in found["findings"]
        if row["kind"] == "short"
        and row["path"] == ["T1.toe", "T1.main"]
        and row["vehicle"] == "four-wheel shunter"
        and row["direction"] == "forward"
        and row["touching"] == ["T1.blade.right", "T1.frog"]
    ]
    assert (finding["fails"], finding["when"], finding["points"]) == (True, "wheel", {"T1": "normal"})
    # By closed form: an arc's frog point lies 2 G N beyond the toe, itself toe_mm (80) from the end; the closure gap
    # lies N (G - B - T + 0.3) before it. A wheel joins the gap's edges, or the two axles stand on either side of it.
    gauge, back_to_back, flange = 16.5, 0.566 * 25.4, 0.030 * 25.4  # NMRA S-4.2 HO, least; RP-25 code 110
    gap_mm = 80 + 2 * gauge * 6 - 6 * (gauge - back_to_back - flange + 0.3)
    assert finding["from_mm"] == pytest.approx(gap_mm, abs=1.0)
    assert finding["to_mm"] == pytest.approx(gap_mm + 26, abs=1.0)
    assert finding["amps"] > 3.0
    assert found["shares"]["safe"] == 0.0


def test_places_have_one_decimal_and_amps_three_figures() -> None:
    found = document(called("check", EXCHANGED, "--json").out)
    for finding in found["findings"]:
        for key in ("from_mm", "to_mm"):
            assert finding[key] is None or finding[key] == round(finding[key], 1)
        for key in ("amps", "volts"):
            assert finding[key] is None or finding[key] == float(f"{finding[key]:.3g}")


def test_the_same_file_gives_the_same_bytes_in_every_process() -> None:
    runs = [frogbench("check", EXCHANGED, "--json", env={"PYTHONHASHSEED": seed}) for seed in ("1", "2")]
    assert runs[0].out == runs[1].out
    assert runs[0].out.endswith(b"}\n")
    assert runs[0].out.count(b"\n") == 1


def test_the_exit_status_is_pass() -> None:
    for name in (CLEAN, EXCHANGED):
        ended = called("check", name, "--json")
        assert document(ended.out)["pass"] is (ended.status == 0)


def test_several_files_give_one_array_in_order_with_null_for_a_wrong_one(tmp_path: Path) -> None:
    (tmp_path / "wrong.toml").write_text("bench = 2\n")
    ended = called("check", "--json", EXCHANGED, "wrong.toml", CLEAN, cwd=tmp_path)
    assert ended.status == 2
    assert ended.lines
    assert all(line.startswith("wrong.toml: ") for line in ended.lines)
    first, second, third = document(ended.out)
    assert second is None
    assert first == document(called("check", EXCHANGED, "--json").out)
    assert third == document(called("check", CLEAN, "--json").out)


def test_the_greatest_status_of_several_files_counts() -> None:
    assert called("check", EXCHANGED, CLEAN, "--json").status == 1
    assert called("check", CLEAN, CLEAN, "--json").status == 0


def test_the_option_may_stand_anywhere() -> None:
    ended = [called("check", *order) for order in (
        ("--json", CLEAN, EXCHANGED), (CLEAN, "--json", EXCHANGED), (CLEAN, EXCHANGED, "--json"))]  # fmt: skip
    assert ended[0].out == ended[1].out == ended[2].out
    assert len(document(ended[0].out)) == 2


def test_one_wrong_file_gives_the_document_null(tmp_path: Path) -> None:
    ended = called("check", "--json", "missing.toml", cwd=tmp_path)
    assert ended.status == 2
    assert document(ended.out) is None


def test_a_supply_that_is_off_or_unplugged_is_tested_as_if_it_were_on(tmp_path: Path) -> None:
    text = Path(CLEAN).read_text().replace("on = true", "on = false\nplugged = false")
    (tmp_path / "off.toml").write_text(text)
    assert called("check", "off.toml", "--json", cwd=tmp_path).out == called("check", CLEAN, "--json").out


def test_words_can_be_printed_in_any_encoding(tmp_path: Path) -> None:
    (tmp_path / "title.toml").write_text(Path(CLEAN).read_text().replace("A right", "Größe: a right"), encoding="utf-8")
    for encoding in ("ascii", "latin-1", "utf-8"):
        ended = frogbench("check", "title.toml", cwd=tmp_path, env={"PYTHONIOENCODING": encoding})
        assert ended.status == 0, ended
        assert ended.err == ""
    plain = frogbench("check", "title.toml", "--json", cwd=tmp_path, env={"PYTHONIOENCODING": "ascii"})
    assert plain.out == called("check", "title.toml", "--json", cwd=tmp_path).out


def test_a_title_cannot_drive_the_terminal(tmp_path: Path) -> None:
    text = Path(CLEAN).read_text().replace("A right-hand", "A\\u001b[31m right-hand")
    (tmp_path / "title.toml").write_text(text)
    assert b"\x1b" not in called("check", "title.toml", cwd=tmp_path).out


TURNING = {
    "right to left": "\u202e", "a mark": "\u200f", "an isolate": "\u2066", "a command to terminals": "\u009b",
    "delete": "\u007f", "a line separator": "\u2028", "a tag": "\U000e0041", "a soft hyphen": "\u00ad",
}  # fmt: skip


@pytest.mark.parametrize("sign", TURNING.values(), ids=TURNING)
def test_no_output_turns_text_about_or_drives_a_terminal(sign: str, tmp_path: Path) -> None:
    title = f"A{sign}B Größe 線"
    file = f"na{sign}me.toml"
    told = json.dumps(title, ensure_ascii=False).replace("\x7f", "\\u007f")
    (tmp_path / file).write_text(
        Path(CLEAN).read_text(encoding="utf-8").replace('"A right-hand turnout, wired right"', told), encoding="utf-8"
    )
    assert told in (tmp_path / file).read_text(encoding="utf-8")
    ended = called("check", file, "--json", cwd=tmp_path)
    assert ended.status == 0, ended
    assert sign not in ended.out.decode()
    assert document(ended.out)["title"] == title  # nothing is lost
    assert "Größe 線" in ended.out.decode()
    words = called("check", file, cwd=tmp_path).out.decode()
    assert sign not in words
    assert words.startswith(f"na{sign.encode('unicode_escape').decode()}me.toml:")
    (tmp_path / file).write_text("bench = 2\n")
    assert sign not in called("check", file, cwd=tmp_path).err
