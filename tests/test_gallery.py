"""The pictures in docs are those of the table of moments, and every picture that a page names is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image

from tests.gallery.__main__ import README_FILM, README_PICTURE
from tests.gallery.film import SIZE
from tests.gallery.page import FOLDER, file_of, page
from tests.game.played import BOTH_THEMES, EVERY_SIZE, MOMENTS, views

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.glob("*.md")])
AGAIN = "run: python -m tests.gallery docs"
MOST_BYTES = 10_000_000
MOST_FILM_BYTES = 2_000_000


def pictures(text: str) -> set[str]:
    return set(re.findall(r"[(\"]([^()\"\s]+\.(?:png|webp|gif|jpg))[)\"]", text))


@pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.name))
def test_every_picture_that_a_page_names_is_there(path: Path) -> None:
    assert [name for name in pictures(path.read_text(encoding="utf-8")) if not (path.parent / name).is_file()] == []


def test_the_readme_shows_the_picture_and_the_film() -> None:
    shown = pictures((ROOT / "README.md").read_text(encoding="utf-8"))
    assert shown == {f"docs/{README_PICTURE}", f"docs/{README_FILM}"}


def test_the_gallery_holds_the_views_of_the_table_and_no_others() -> None:
    there = {f"{FOLDER}/{path.name}" for path in (DOCS / FOLDER).iterdir()}
    assert there == {file_of(view) for view in views()}, AGAIN


def test_the_page_of_the_gallery_is_fresh() -> None:
    text = (DOCS / "gallery.md").read_text(encoding="utf-8")
    assert text == page(), AGAIN
    assert {name for name in pictures(text) if name.startswith(f"{FOLDER}/")} == {file_of(view) for view in views()}


def test_every_view_is_there_at_its_size() -> None:
    for view in views():
        with Image.open(DOCS / file_of(view)) as picture:
            assert picture.size == view.size, AGAIN


def test_the_table_names_each_moment_once_and_shows_it_in_both_themes() -> None:
    names = [moment.name for moment in MOMENTS]
    assert len(set(names)) == len(names)
    for moment in MOMENTS:
        assert {view.theme for view in views() if view.moment is moment} == set(BOTH_THEMES)
        assert moment.sizes
        assert {*moment.sizes, *moment.below} <= set(EVERY_SIZE)


def test_the_pictures_are_small() -> None:
    assert sum(path.stat().st_size for path in DOCS.rglob("*") if path.is_file()) < MOST_BYTES
    assert (DOCS / README_FILM).stat().st_size < MOST_FILM_BYTES


def test_the_film_moves_and_is_short() -> None:
    with Image.open(DOCS / README_FILM) as film:
        assert film.size == SIZE
        assert 40 < getattr(film, "n_frames", 1) < 200
        first = film.copy().convert("RGB").tobytes()
        film.seek(film.tell() + 30)
        assert film.convert("RGB").tobytes() != first
