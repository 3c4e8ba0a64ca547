"""The trade's words as the player says them: US, UK or international English.

All texts of the program, its files and its command line are written in one set, the international one: British
spelling, sleeper, blade and changeover, but turnout, frog, feeder and throttle, as modellers write who meet across
borders. The other two sets replace what their own players call otherwise; `Words.of` does it for one text on its way to
the screen, to paper or to the command line's output.

What is never touched: names with a dot, digit, hyphen or underscore beside the word ("T1.frog", "first-frog"), what
stands between quotation marks, and what `verbatim` was put round. Every term keeps its number (one bonding wire leads,
two lead), so that verbs still agree; "a" and "an" follow the new word, but the letter of a side or screw is no article.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["FIRST_SET", "SETS", "TERMS", "Words", "plain", "set_kept", "verbatim"]

FIRST_SET = "international"

SETS: Mapping[str, str] = {"us": "US", "uk": "UK", "international": "International"}
"""Every set and its name on the screen."""

_ONCE_CALLED = {"continental": FIRST_SET}  # what a set was called in what may still be kept

# Each line: the text's own words, in US, in UK; "" where the set says the same. From the vocabulary of the trade
# (US, UK, German, French and Dutch side by side), common practice, not cross-checked word by word; those marked
# "from memory" are not in it.
#
# Left alone on purpose, because a word of another set would be wrong or say two things:
#   frog          UK "crossing" is a frog or a diamond; in models "frog" is said there too
#   points        thrown, normal, diverging: in the US the two moving rails, in the UK the whole turnout; both lie so
#   turnout (US)  "switch" is a turnout or an electrical switch
#   turnout (UK)  "turnout" is said too; "at each point" and "no point" say something else, and "the points of the
#                 point" nobody says: what is thrown, and how it lies, is "the points" in all three sets
#   blade (US)    "point" for the same reason, so "point rail"
#   normal, diverging   "closed" is straight in one convention and right-hand in another; "reverse" is a way to drive
#   gap           UK "isolating break" is longer, and "gap" is understood
#   diamond crossing    US and UK "crossing" alone says less; metre: US "meter" is what one measures with
_TABLE: tuple[tuple[str, str, str], ...] = (
    ("wye turnout", "wye", "Y turnout"),
    ("wye", "", "Y"),
    ("blade", "point rail", ""),
    ("blades", "point rails", ""),
    ("point blade", "point rail", ""),
    ("point blades", "point rails", ""),
    ("point motor", "switch machine", ""),
    ("point motors", "switch machines", ""),
    ("check rail", "guard rail", ""),
    ("check rails", "guard rails", ""),
    ("tie-bar", "throw bar", ""),
    ("hand lever", "ground throw", ""),
    ("sleeper", "tie", ""),
    ("sleepers", "ties", ""),
    ("feeder", "", "dropper"),
    ("feeders", "", "droppers"),
    ("throttle", "", "controller"),
    ("throttles", "", "controllers"),
    ("joiner", "rail joiner", ""),
    ("joiners", "rail joiners", ""),
    ("rail joiner", "rail joiner", "joiner"),
    ("rail joiners", "rail joiners", "joiners"),
    ("insulated joiner", "insulated joiner", "insulated rail joiner"),
    ("insulated joiners", "insulated joiners", "insulated rail joiners"),
    ("bond", "", "bonding wire"),
    ("bonds", "", "bonding wires"),
    # From memory: the US says the throws of a contact, but a throw is also what a motor does. Before a noun "outer" is
    # plain already.
    ("outer", "outer terminal", ""),
    ("outers", "outer terminals", ""),
    *((f"outer {what}", f"outer {what}", "") for what in ("wire", "wires", "rail", "rails", "screw", "screws", "end")),
    ("changeover", "SPDT contact", ""),
    ("changeovers", "SPDT contacts", ""),
    ("changeover contact", "SPDT contact", ""),
    ("changeover contacts", "SPDT contacts", ""),
    ("changeover switch", "SPDT switch", ""),
    ("changeover switches", "SPDT switches", ""),
    ("reverse loop", "", "reversing loop"),
    ("reverse loops", "", "reversing loops"),
    ("triangle of track", "wye of track", ""),
    ("double crossover", "", "scissors crossover"),
    ("double crossovers", "", "scissors crossovers"),
    ("buffer stop", "bumper", ""),  # from memory
    ("buffer stops", "bumpers", ""),
    ("shunter", "switcher", ""),  # from memory, as are the rest
    ("shunters", "switchers", ""),
    ("bogie", "truck", ""),
    ("bogies", "trucks", ""),
    ("bogie diesel", "four-axle diesel", ""),  # a truck diesel would be one for the highway
    ("four-wheel shunter", "four-wheel switcher", ""),  # whole, so that a train called "shunter" leaves it alone
    ("metal-wheel wagon", "metal-wheel car", ""),
    ("wagon", "car", ""),
    ("wagons", "cars", ""),
    ("goods shed", "freight house", ""),
    ("goods", "freight", ""),
    ("both roads", "both routes", ""),
    ("other road", "other route", ""),
    ("other roads", "other routes", ""),
    ("mains", "house current", ""),
    ("mains side", "house current side", ""),
    ("towards", "toward", ""),
    ("turned round", "turned around", ""),
    ("neighbour", "neighbor", ""),
    ("neighbours", "neighbors", ""),
    ("oxidised", "oxidized", ""),
    ("colour", "color", ""),
    ("colours", "colors", ""),
    ("coloured", "colored", ""),
    ("grey", "gray", ""),
    ("centre", "center", ""),
    ("labelled", "labeled", ""),
)

TERMS: Mapping[str, Mapping[str, str]] = {
    "us": {own: us for own, us, _ in _TABLE if us},
    "uk": {own: uk for own, _, uk in _TABLE if uk},
    "international": {},
}
"""For each set: from the words that the texts are written in to the set's own, all small letters but names."""

_OPEN, _SHUT = "\ue000", "\ue001"  # private characters; nothing on the screen has them
_ASIDE = re.compile("[\ue000\ue001]")
_NAME_BEFORE = r"(?<![\w.\-/\\:=@#$%&+~])"
_NAME_AFTER = r"(?![\w\-/\\=@#$%&+~]|[.:]\w)"
_BEFORE_A_LETTER = re.compile(r"\b(?:side|bus|end|screw|terminal|probe)[ \n]$", re.IGNORECASE)  # "bus A", "end a"
_INSIDE = re.compile(r"[\w,;)][ \n]$")  # in a sentence, not at its beginning
_AN = frozenset({"SPDT contact", "SPDT contacts", "SPDT switch"})  # "ess"; the other terms are said as they are written


def verbatim(text: str) -> str:
    """A text that is never put into other words: a file's name, what somebody typed or called a thing."""
    return f"{_OPEN}{plain(text)}{_SHUT}" if text else text


def set_kept(text: str) -> str | None:
    """The name of the set that was kept under that name, now or once; None for what is none."""
    name = _ONCE_CALLED.get(text, text)
    return name if name in SETS else None


def plain(text: str) -> str:
    """The text without the marks of `verbatim`, as it is shown."""
    return _ASIDE.sub("", text)


@dataclass(frozen=True)
class Words:
    """A set of words, one of `SETS`, and `own`: names that somebody gave, which are never put into other words."""

    name: str = FIRST_SET
    own: tuple[str, ...] = ()

    def of(self, text: str) -> str:
        """A text in these words, its verbatim parts as they are. Doing it again changes nothing but those."""
        if not TERMS.get(self.name):
            return plain(text)
        return _reworded(self, text)


@lru_cache(maxsize=6)
def _pattern(words: Words) -> re.Pattern[str]:
    """Whole words only, the longest first; a set's own words stand among them and stay."""
    terms = TERMS[words.name]
    every = sorted({*terms, *terms.values()}, key=len, reverse=True)
    own = sorted((name for name in words.own if name.strip()), key=len, reverse=True)
    names = "|".join(re.escape(name) for name in own) or r"(?!)"
    texts = "|".join(re.escape(term).replace(r"\ ", r"[ \n]") for term in every)
    quoted = r"'[^'\s][^'\n]*'(?!\w)|\"[^\"\n]*\"|“[^”\n]*”|‘[^’\n]*’"
    return re.compile(
        f"{_OPEN}(?P<aside>[^{_SHUT}]*){_SHUT}?|(?P<own>(?<!\\w)(?:{names})(?!\\w)|(?<!\\w)(?:{quoted}))"
        f"|(?:(?P<article>\\b[Aa]n?)(?P<gap>[ \\n]))?{_NAME_BEFORE}(?P<term>{texts}){_NAME_AFTER}",
        re.IGNORECASE,
    )


def _like(term: str, sample: str) -> str:
    """The term in capitals, or with a capital, as the sample is written."""
    letters = [letter for letter in sample if letter.isalpha()]
    if len(letters) > 1 and all(letter.isupper() for letter in letters):
        return term.upper()
    return term[:1].upper() + term[1:] if letters and letters[0].isupper() else term


@lru_cache(maxsize=4000)
def _reworded(words: Words, text: str) -> str:
    terms = TERMS[words.name]

    def put(found: re.Match[str]) -> str:
        if found["aside"] is not None:
            return found["aside"]
        if found["own"] is not None:
            return found["own"]
        said = found["term"]
        key = said.lower().replace("\n", " ")
        new = terms.get(key)
        article, gap = found["article"] or "", found["gap"] or ""
        if new is None or new == key:
            return found[0]
        before = text[: found.start()]
        named = _BEFORE_A_LETTER.search(before) or (article == "A" and _INSIDE.search(before))
        if article and not named:
            right = "an" if new in _AN or new[0] in "aeiou" else "a"
            article = right.capitalize() if article[0] == "A" else right
        return f"{article}{gap}{_like(new, said)}"

    return plain(_pattern(words).sub(put, text))
