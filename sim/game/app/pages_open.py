"""The pages that are open: the one that is seen, those that it lies over, and what lies over all."""

from __future__ import annotations

from collections.abc import Mapping

from sim.game.app.setting_up import KeptSettings
from sim.game.draw.pages.question_sheet import told_label
from sim.game.draw.pen.ink import Sprite
from sim.game.items.common.commands import Page
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.cautions_page import CautionsScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.languages_page import LanguagesScreen
from sim.game.screens.parts_page import NamesScreen
from sim.game.screens.question import Question
from sim.game.screens.screen import Screen
from sim.game.screens.settings_page import SettingsScreen
from sim.words import plain

__all__ = ["FootLabel", "OpenPages"]

_STANDS_S = 6.0


_STILL: Mapping[Page, type[KeysScreen | NamesScreen | CautionsScreen | LanguagesScreen]] = {
    Page.KEYS: KeysScreen, Page.NAMES: NamesScreen, Page.CAUTIONS: CautionsScreen, Page.LANGUAGES: LanguagesScreen,
}  # fmt: skip


class OpenPages:
    """The page that is seen, and the pile of those that it lies over."""

    def __init__(self, seen: Screen) -> None:
        self.seen = seen
        self.question: Question | None = None
        self._under: list[Screen] = []

    def lay(self, page: Screen) -> None:
        """Lay a page over the one that is seen; where one of its kind is in the pile, those over that are put away."""
        kinds = [type(each) for each in self._under]
        if type(page) in kinds:
            del self._under[kinds.index(type(page)) :]
        elif type(page) is not type(self.seen):
            self._under.append(self.seen)
        self.seen = page

    def close(self) -> None:
        """Close the page that lies over another."""
        if self._under:
            self.seen = self._under.pop()

    def show(self, page: Page, settings: KeptSettings) -> None:
        """Lay that page over the one that is seen."""
        self.lay(SettingsScreen(settings.now, settings.fault) if page is Page.SETTINGS else _STILL[page]())

    def toggle(self, page: Page, settings: KeptSettings) -> None:
        """Lay that page over the one that is seen; close it if it is that one."""
        if isinstance(self.seen, _STILL.get(page, SettingsScreen)):
            self.close()
        else:
            self.show(page, settings)

    def turn_to(self, page: Screen) -> None:
        """This page alone."""
        self.seen = page
        self._under.clear()

    @property
    def bench(self) -> BenchScreen | None:
        """The bench that is open, also while another page lies over it."""
        return next((page for page in (self.seen, *self._under) if isinstance(page, BenchScreen)), None)


class FootLabel:
    """The label at the window's foot: a few words that stand for a while."""

    def __init__(self) -> None:
        self._told: tuple[str, bool, float] | None = None

    @property
    def stands(self) -> bool:
        """Whether something is told."""
        return self._told is not None

    @property
    def words(self) -> str:
        """What it says now."""
        return "" if self._told is None else plain(self._told[0])

    def tell(self, words: str, *, fault: bool = False) -> None:
        """Say something for a while; `fault`: in red."""
        self._told = (words, fault, _STANDS_S)

    def clear(self) -> None:
        """Say nothing."""
        self._told = None

    def go_on(self, seconds: float) -> None:
        """Let time pass."""
        if self._told is not None:
            words, fault, left = self._told
            self._told = (words, fault, left - seconds) if left > seconds else None

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The label, if something is told."""
        if self._told is None:
            return []
        words, fault, _ = self._told
        return [told_label(rooms.size, rooms.unit, theme, words, fault)]
