"""What is arranged once is drawn where it is pointed at, wherever it is moved."""

from __future__ import annotations

from sim.game.draw.slips.choices import Choice, Line, choice_slip, stepper
from sim.game.draw.slips.word_slip import word_slip
from sim.game.look.theme import load_theme

LINES = (stepper("Size", "size", "0.5"), Line("", (Choice("remove", "Take it off"), Choice("close", "Close"))))


def test_a_slip_that_is_moved_is_not_drawn_again_and_lies_whole_in_its_new_place() -> None:
    slip = choice_slip(1.0, load_theme(), "W1", LINES)
    moved = slip.moved(300, 200)
    assert moved.sprite.surface is slip.sprite.surface
    assert moved.sprite.rect == slip.sprite.rect.move(300, 200)
    assert moved.box == slip.box.move(300, 200)
    assert moved.places == {name: place.move(300, 200) for name, place in slip.places.items()}
    again = moved.moved(-300, -200)
    assert (again.sprite.rect, again.places) == (slip.sprite.rect, slip.places)


def test_only_what_can_be_chosen_has_a_place_on_a_slip_of_choices_and_it_is_drawn_there() -> None:
    slip = choice_slip(1.0, load_theme(), "W1", LINES)
    assert list(slip.places) == ["size-", "size+", "remove", "close"]
    written = {text: box for box, text in slip.lines}
    assert written["0.5"].collidelist(list(slip.places.values())) < 0
    bare = choice_slip(1.0, load_theme(), "W1", LINES[:1]).sprite
    for name in ("remove", "close"):
        place = slip.places[name].move(-slip.sprite.x, -slip.sprite.y)
        seen = {slip.sprite.surface.get_at((x, place.centery))[:3] for x in range(place.left, place.right)}
        assert min(map(sum, seen)) < 300, "dark words on pale paper"
    assert bare.rect.height < slip.sprite.rect.height


def test_a_slip_of_words_is_no_wider_than_they_are_and_holds_all_of_them() -> None:
    theme = load_theme()
    wide, narrow = (word_slip(1.0, theme, "A gap", "The wheel bridges it here.", None, room) for room in (600, 120))
    assert wide.box.width < 300
    assert narrow.box.width <= 120
    assert narrow.box.height > wide.box.height
    for slip in (wide, narrow):
        assert all(slip.box.contains(box) for box, _ in slip.lines)
        assert " ".join(text for _, text in slip.lines) == "A gap The wheel bridges it here."
