"""The trade's words in each set: every sentence that can come to the screen is put into them rightly and once."""

from __future__ import annotations

import ast
import dataclasses
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.edits import RemoveWire
from sim.bench.given import given_names
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.coach.assessment import assess, told
from sim.coach.job import begin
from sim.game.look.settings import Settings, choices
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.session.acts import Dial, Do, Drive, Plug, Power, Probe, Throw
from sim.session.session import Session
from sim.track.formations import KINDS
from sim.words import FIRST_SET, SETS, TERMS, Words, plain, set_kept, verbatim
from tests.levels.playing import level_of, play, predictions, quick
from tests.track.test_conformance import PIECES

SIM = Path(__file__).resolve().parents[1] / "sim"
SPEAKING = ("wiring", "session", "proof", "coach", "sheet", "track", "cli", "game")  # the rooms that say something
_NAMED_AT_ONCE = plain(next(row.note for row in choices(Settings(), (1280, 800)) if row.name == "words"))
OTHERS = [name for name in SETS if TERMS[name]]


def whole(word: str, text: str) -> bool:
    """Whether a word or phrase stands in a text by itself, not as part of a name."""
    return re.search(rf"(?<![\w.\-/]){re.escape(word)}(?![\w\-/]|[.:]\w)", text, re.IGNORECASE) is not None


def docstrings(tree: ast.Module) -> set[int]:
    """The constants of a module that only the reader of its text sees."""
    return {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}


def written() -> Iterator[str]:
    """Every text in the modules that speak, as far as it is more than a name."""
    for room in SPEAKING:
        for path in sorted((SIM / room).rglob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            unseen = docstrings(tree)
            for node in ast.walk(tree):
                if not isinstance(node, ast.Constant) or not isinstance(node.value, str) or id(node) in unseen:
                    continue
                if "{" in node.value:  # a style sheet is no sentence
                    continue
                if re.search(r"[A-Za-z]{2,}.* |^[A-Z][a-z]{3,}$", node.value):
                    yield node.value


def of_level(bench: Bench) -> Iterator[str]:
    """What a level says, what is found and told on it as filed, solved, and with each wire of the solution off."""
    level = level_of(bench)
    yield from (bench.title, level.brief, level.teaches, *level.hints)
    yield from (finding.text for finding in prove(bench).findings)
    solved, _ = play(quick(bench), level.solution, predictions(bench))
    yield from told(solved.snapshot())
    yield from assess(solved.snapshot()).patterns.values()
    good = solved.snapshot().bench
    for index in range(len(good.wires)):
        session = begin(good)
        session.step(Session.DT, (Do(RemoveWire(index)), Dial("ohms")))
        piece = bench.tracks[0].id
        session.step(Session.DT, (Probe(f"{piece}.frog", f"{piece}.stock.left"),))
        session.step(30 * Session.DT, (Plug(True), Power(True)))
        session.step(30 * Session.DT, (Drive(bench.trains[0].id, 0.6), Throw(piece, None)) if bench.trains else ())
        session.step(100 * Session.DT)
        now = session.snapshot()
        yield from told(now)
        if now.fault is not None:
            yield now.fault.text
        if index < 2:
            yield from (finding.text for finding in prove(now.bench).findings)


def of_pieces() -> Iterator[str]:
    """What pieces of track, their rails, gaps, bonds and ends are called, and the vehicles."""
    for piece in PIECES:
        yield from (f"{piece.title}: {piece.size_words}", piece.build_words)
        yield from (f"A wire to the {rail.words}." for rail in piece.rails())
        yield from (f"the {place.words} is {place.state}" for place in piece.places())
        yield from (piece.end_words(end) for end in piece.ENDS)
    for vehicle in STANDARD_VEHICLES:
        yield from (f"The {vehicle} stops.", f"A {vehicle} on the frog")


@lru_cache(maxsize=1)
def corpus() -> tuple[str, ...]:
    """Sentences of every kind, each once."""
    texts = [text for text in written() if text != _NAMED_AT_ONCE]
    texts += of_pieces()
    for name in level_names():
        texts += of_level(load(level_path(name), KINDS))
    return tuple(dict.fromkeys(text for text in texts if text.strip()))


def forbidden(name: str) -> set[str]:
    """Words that a set does not use: those it has others for, and those of the other sets that it does not share."""
    mine = set(TERMS[name].values())
    theirs = {new for other in SETS if other != name for new in TERMS[other].values()}
    shared = {word for word in theirs if any(whole(word, own) for own in mine)}
    known = set().union(*(TERMS[other] for other in SETS))
    gone = {old for old, new in TERMS[name].items() if old != new}
    letters = {word for word in theirs if len(word) == 1}  # a screw may be called so
    return (theirs - shared - known - letters | gone) - mine


def test_the_corpus_is_large_and_has_every_kind_of_text() -> None:
    texts = corpus()
    assert len(texts) > 500, len(texts)
    parts = ("The current's way:", "Wire made from", "Still to take", "Throttle", "breaker opens", "to the next thing")
    for part in parts:
        assert any(part in text for text in texts), part
    for name in OTHERS:
        assert sum(Words(name).of(text) != text for text in texts) > 12


@pytest.mark.parametrize("name", SETS)
def test_no_word_of_another_set_is_left(name: str) -> None:
    mine = sorted(set(TERMS[name].values()), key=len, reverse=True)
    left = set()
    for text in corpus():
        said = Words(name).of(text)
        for own in mine:
            said = re.sub(rf"\b{re.escape(own)}\b", "§", said, flags=re.IGNORECASE)
        left |= {(word, text) for word in forbidden(name) if whole(word, said)}
    assert left == set()


@pytest.mark.parametrize("name", SETS)
def test_a_text_in_its_words_stays_so(name: str) -> None:
    words = Words(name)
    for text in corpus():
        once = words.of(text)
        assert words.of(once) == once


@pytest.mark.parametrize("name", OTHERS)
def test_only_the_words_change(name: str) -> None:
    """Taking the new words back gives the sentence as it was, but for the article before them."""
    terms = TERMS[name]
    articles = re.compile(r"\ban? ", re.IGNORECASE)
    for text in corpus():
        said = Words(name).of(text)
        if said == text:
            continue
        one, two = articles.sub("", said.lower()), articles.sub("", text.lower())
        for old, new in sorted(terms.items(), key=lambda pair: -len(pair[1])):
            one, two = one.replace(new.lower(), "§"), two.replace(old, "§").replace(new.lower(), "§")
        for old in sorted(terms, key=len, reverse=True):
            two = two.replace(old, "§")
        assert len(re.findall(r"\d", one)) == len(re.findall(r"\d", two))
        assert one.count("§") >= 1
        assert re.sub(r"[§\w]+", "", one).replace(" ", "") == re.sub(r"[§\w]+", "", two).replace(" ", "")


@pytest.mark.parametrize("name", OTHERS)
def test_a_and_an_go_with_the_word_after_them(name: str) -> None:
    single = [old for old in TERMS[name] if f"{old}s" in TERMS[name]]
    for text in (*corpus(), *(f"{'An' if old[0] in 'aeiou' else 'a'} {old}" for old in single)):
        said = Words(name).of(text)
        for new in sorted(set(TERMS[name].values())):
            for found in re.finditer(rf"\b(an?) {re.escape(new)}\b", said, re.IGNORECASE):
                vowel = new[0] in "aeiou" or new.startswith("SPDT")
                assert (found[1].lower() == "an") == vowel, said


@pytest.mark.parametrize("name", OTHERS)
def test_one_stays_one_and_many_stay_many(name: str) -> None:
    """So verbs and "this" or "these" still agree."""
    terms = TERMS[name]
    many = {old for old in terms if old.removesuffix("s") != old and {old[:-1], old[:-2]} & set(terms)}
    assert many
    for old in many:
        single = old[:-1] if old[:-1] in terms else old[:-2]
        one, several = terms[single].split(), terms[old].split()
        assert len(one) == len(several)
        changed = [(a, b) for a, b in zip(one, several, strict=True) if a != b]
        assert changed == [(a, a + ("es" if a.endswith("ch") else "s")) for a, _ in changed]
        assert len(changed) == 1
    assert Words("uk").of("This bond leads on; these bonds lead off.") == (
        "This bonding wire leads on; these bonding wires lead off."
    )


@pytest.mark.parametrize("name", OTHERS)
def test_the_letter_of_a_side_or_screw_is_no_article(name: str) -> None:
    words = Words(name)
    joiner = words.of("insulated joiner")
    for text in ("side A {}", "bus A {}", "From bus A, {}", "end a {}", "the feeder of side A {}"):
        assert words.of(text.format("insulated joiner")) == words.of(text.format("§")).replace("§", joiner)
    assert words.of("A changeover. A changeover; it is a changeover") == words.of(
        "{0}. {0}; it is {1}".format(*(("An SPDT contact", "an SPDT contact") if name == "us" else
                                       ("A changeover", "a changeover")))
    )  # fmt: skip


def test_what_an_outer_is_called_in_the_us() -> None:
    us = Words("us")
    assert us.of("Two outers, one common: that outer or its wire is off.") == (
        "Two outer terminals, one common: that outer terminal or its wire is off."
    )
    assert us.of("The two outer wires are exchanged.") == "The two outer wires are exchanged."
    for text in corpus():
        assert not re.search(r"\bouters?\b(?! (?:terminals?|wires?|rails?|screws?|end)\b)", us.of(text), re.IGNORECASE)
        assert not re.search(r"\bbogies?\b", us.of(text), re.IGNORECASE)
    assert us.of("the bogie diesel") == "the four-axle diesel"


def test_the_uk_says_turnout_and_bonding_wire() -> None:
    uk = Words("uk")
    assert uk.of("Every turnout has one") == "Every turnout has one"
    assert uk.of("wye number 6: left bond, a bond") == "Y number 6: left bonding wire, a bonding wire"
    assert uk.of("the closure rail bonded to it") == "the closure rail bonded to it"
    for text in corpus():
        assert len(re.findall("sets? of points", uk.of(text))) == len(re.findall("sets? of points", text))


def test_levels_use_places_that_everybody_knows() -> None:
    for name in level_names():
        texts = " ".join(of_level(load(level_path(name), KINDS)))
        assert not re.search(r"\b(?:harbou?r|quay|coal stage|engine shed|turned about)\b", texts, re.IGNORECASE), name


def test_a_set_is_known_by_the_name_that_it_once_had() -> None:
    assert set_kept("continental") == FIRST_SET == "international"
    assert [set_kept(name) for name in SETS] == list(SETS)
    assert set_kept("klingon") is set_kept("") is None


def test_what_would_say_two_things_is_never_said() -> None:
    """UK crossing is frog or diamond, point is blade, tip or turnout; US switch is a turnout or electrical."""
    for text in corpus():
        for word, name in (("crossing", "uk"), ("point", "uk"), ("point", "us"), ("switch", "us"), ("tip", "us")):
            said = re.findall(rf"\b{word}\b(?! (?:rails?|motors?|blades?|machines?)\b)", Words(name).of(text))
            assert len(said) <= len(re.findall(rf"\b{word}\b(?! (?:rails?|motors?|blades?|machines?)\b)", text)), text
    for name in OTHERS:
        assert "frog" not in TERMS[name]
        assert not {"points", "normal", "diverging"} & set(TERMS[name])


@pytest.mark.parametrize("name", OTHERS)
@pytest.mark.parametrize(
    "shape", ["T1.{0}", "{0}.toml", "my-{0}", "{0}-1", "{0}_2", "'{0}'", '"{0}"', "{0}:left", "/{0}"]
)
def test_names_are_left_alone(name: str, shape: str) -> None:
    for term in TERMS[name]:
        if " " not in term:
            text = f"see {shape.format(term)} there"
            assert Words(name).of(text) == text
            assert Words(name).of(f"{term}.") == f"{Words(name).of(term)}."


@pytest.mark.parametrize("name", SETS)
def test_what_is_verbatim_stays_as_typed(name: str) -> None:
    text = f"throttle {verbatim('my Throttle and turnout')} throttle"
    new = TERMS[name].get("throttle", "throttle")
    assert Words(name).of(text) == f"{new} my Throttle and turnout {new}"
    assert plain(text) == "throttle my Throttle and turnout throttle"
    assert verbatim("") == ""


def test_given_names_stay_on_a_bench_of_ones_own() -> None:
    bench = load(level_path("right-hand"), KINDS)
    named = dataclasses.replace(bench, title="Feeder and throttle", level=None)
    assert given_names(dataclasses.replace(named, title="Yard", trains=())) == ()
    own = given_names(named)
    assert "Feeder and throttle" in own
    uk = Words("uk", own)
    assert uk.of("Feeder and throttle: the throttle is on a feeder.") == (
        "Feeder and throttle: the controller is on a dropper."
    )


@pytest.mark.parametrize("name", OTHERS)
def test_capitals_stay_capitals(name: str) -> None:
    for old, new in TERMS[name].items():
        assert Words(name).of(old.upper()) == new.upper()
        assert Words(name).of(old.capitalize()) == new[0].upper() + new[1:]


@given(st.text(st.sampled_from("turnof blades'.\n-A\ue000\ue001"), max_size=60))
def test_any_text_can_be_told(text: str) -> None:
    for name in SETS:
        once = Words(name).of(text)
        assert plain(once) == once


def test_the_texts_of_the_program_are_in_the_first_set() -> None:
    assert TERMS[FIRST_SET] == {}
    assert list(SETS)[-1] == FIRST_SET
