"""Any text at all can be measured, fitted, broken into lines and drawn: what cannot be seen kills nothing."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.shapes import is_seen
from sim.game.app.window import Window
from sim.game.look.fonts import ROLES, Type
from sim.game.look.theme import load_theme
from sim.game.screens.jobs_page import JobsScreen
from tests.game.playing import Player

ROOT = Path(__file__).parents[2]

INK = (250, 250, 250)
KIND = Type(load_theme(), 1.0)
# The whole of Unicode with the halves of pairs, which a file's name can hold, and more often what leaves no mark.
UNSEEN = (
    "\0\x1b\x85\x9b\xad\u034f\u061c\u115f\u180b\u200b\u200d\u200f\u2028\u202e\u2066\u2060\u3164\ufe0f\ufeff"
    "\U000e0001\U000e0100"
)
TEXTS = st.text(st.characters(exclude_categories=[]) | st.sampled_from(UNSEEN + " \n\t"), max_size=30)


@given(text=TEXTS, role=st.sampled_from(["body", "title", "engraved", "eyebrow", "reading"]), width=st.integers(0, 300))
def test_any_text_is_measured_fitted_and_drawn(text: str, role: str, width: int) -> None:
    surface = KIND.line(text, role, INK)
    assert surface.get_width() == max(1, KIND.width(text, role))
    for line in (*KIND.wrap(text, role, width), KIND.fit(text, role, width), KIND.squeezed(text, role, width)):
        KIND.line(line, role, INK)


@pytest.mark.parametrize("role", ["body", "engraved"])
@pytest.mark.parametrize("sign", UNSEEN)
def test_what_leaves_no_mark_is_drawn_alone_and_among_letters(sign: str, role: str) -> None:
    assert not is_seen(sign)
    for text in (sign, sign * 50, f"a{sign}b"):
        surface = KIND.line(text, role, INK)
        assert surface.get_height() > 0
        assert surface.get_width() == max(1, KIND.width(text, role))


@pytest.mark.parametrize("role", ROLES)
def test_letters_beside_a_mark_that_is_not_seen_are_drawn_as_ever(role: str) -> None:
    """The mark's own width is nothing: the ink is that of the letters alone."""
    plain, marked = (KIND.line(text, role, INK).get_bounding_rect().size for text in ("ab", "ab\u200b\ufe0f"))
    assert plain == marked
    assert plain[0] > 1


def test_a_bench_whose_every_text_is_unseen_is_shown_and_played(tmp_path: Path) -> None:
    text = "\u200b\u200e\u202e\xad\ufe0f\u3164"
    file = tmp_path / f"{text}.toml"
    filed = (ROOT / "tests" / "benches" / "exchanged.toml").read_text(encoding="utf-8")
    filed = filed.replace("A right-hand turnout, outers exchanged", text)
    assert text in filed
    filed += f'\n[level]\nbrief = "{text}"\nteaches = "{text}"\n'
    file.write_text(filed, encoding="utf-8")
    player = Player(None)
    player.window = Window((1280, 800), file)
    player.look()
    player.key(pygame.K_t)
    player.wait_for_result()
    for key in (pygame.K_ESCAPE, pygame.K_ESCAPE):
        player.window.frame(pygame.Surface(player.window.rooms.size))
        player.key(key)
    assert isinstance(player.window.screen, JobsScreen)
    player.window.frame(pygame.Surface(player.window.rooms.size))
