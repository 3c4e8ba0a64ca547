"""The pictures in docs are those of the table of moments, and every picture that a page names is there."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
from PIL import Image

from tests.gallery.__main__ import README_FILM, README_PICTURE, main
from tests.gallery.film import FILMS, Film
from tests.gallery.page import FOLDER, file_of, page
from tests.game.played import BOTH_THEMES, DOCS_SIZES, EVERY_SIZE, MIDDLE_SIZE, MOMENTS, every_view, views

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.glob("*.md")])
AGAIN = "run: python -m tests.gallery docs"
MOST_BYTES = 5_000_000
MOST_FILM_BYTES = 400_000


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


def test_docs_show_each_moment_once_by_night_and_four_in_both_lights_at_three_sizes() -> None:
    names = [moment.name for moment in MOMENTS]
    assert len(set(names)) == len(names)
    assert {moment.name for moment in MOMENTS if moment.in_full} == {"jobs", "driving", "short", "failing"}
    for moment in MOMENTS:
        mine = [(view.size, view.theme, view.below) for view in views() if view.moment is moment]
        assert len(set(mine)) == len(mine)
        sides = {False, True} if moment.below else {False}
        expected = {(MIDDLE_SIZE, "night", below) for below in sides}
        if moment.in_full:
            expected |= {(size, theme, False) for size in DOCS_SIZES for theme in BOTH_THEMES}
        assert set(mine) == expected


def test_every_moment_can_be_taken_at_every_size_and_in_both_lights() -> None:
    every = every_view()
    assert set(views()) <= set(every)
    assert len({view.name for view in every}) == len(every)
    for moment in MOMENTS:
        for below in (False, True) if moment.below else (False,):
            mine = {(view.size, view.theme) for view in every if view.moment is moment and view.below == below}
            assert mine == {(size, theme) for size in EVERY_SIZE for theme in BOTH_THEMES}
    assert {(1024, 720), (1280, 800), (1366, 768), (1920, 1080), (2560, 1440)} == set(EVERY_SIZE)


@pytest.mark.slow
def test_all_is_taken_into_a_folder_of_its_own(tmp_path: Path) -> None:
    assert main([str(tmp_path), "--all", "--png", "--only", "languages"]) == 0
    there = {path.name: path for path in (tmp_path / FOLDER).iterdir()}
    wanted = [view for view in every_view() if view.moment.name == "languages"]
    assert set(there) == {f"{view.name}.png" for view in wanted}
    for view in wanted:
        with Image.open(there[f"{view.name}.png"]) as picture:
            assert picture.size == view.size
    before = {path: path.stat().st_mtime_ns for path in DOCS.rglob("*")}
    with pytest.raises(SystemExit):
        main([str(DOCS), "--all", "--only", "languages"])
    assert before == {path: path.stat().st_mtime_ns for path in DOCS.rglob("*")}


def test_the_pictures_are_small() -> None:
    assert sum(path.stat().st_size for path in DOCS.rglob("*") if path.is_file()) < MOST_BYTES


def test_the_page_shows_the_films() -> None:
    names = [film.name for film in FILMS]
    assert names == ["engine", "over-current", "throw"]
    assert not set(names) & {moment.name for moment in MOMENTS}
    assert {film.file for film in FILMS} <= pictures((DOCS / "gallery.md").read_text(encoding="utf-8"))
    assert README_FILM in {film.file for film in FILMS}


@pytest.mark.parametrize("film", FILMS, ids=lambda film: str(film.name))
def test_a_film_is_small_moves_and_runs_on_for_ever(film: Film) -> None:
    path = DOCS / film.file
    assert path.stat().st_size < MOST_FILM_BYTES, AGAIN
    seconds, frames = 0.0, []
    with Image.open(path) as shown:
        assert shown.size == film.size
        assert shown.info["loop"] == 0
        for k in range(getattr(shown, "n_frames", 1)):
            shown.seek(k)
            frames.append(shown.convert("RGB").tobytes())
            seconds += shown.info["duration"] / 1000
    assert len(set(frames)) >= 20
    assert all(one != other for one, other in pairwise(frames))
    assert 4.0 < seconds < 20.0
