"""The whole sheet as one HTML file, for paper: it needs nothing from elsewhere, and reads in black and white."""

from __future__ import annotations

from collections.abc import Iterator

from sim.bench.model import Bench
from sim.coach.sides import sides_hidden
from sim.proof import prove
from sim.proof.report import span_words, way_words
from sim.proof.verdict import Finding, Verdict
from sim.sheet.markup import element, escaped, in_words, table
from sim.sheet.plan import Plan, fitted, full_size, plan
from sim.sheet.record import Card, Contact, cards, contacts, lines
from sim.track.layout import Layout
from sim.words import Words, plain, verbatim

__all__ = ["sheet"]

_STYLE = """
@page { size: portrait; margin: 15mm }
* { box-sizing: border-box }
body { font: 11pt/1.4 "Source Sans 3", "Source Sans Pro", system-ui, sans-serif; color: #000; background: #fff;
  max-width: 180mm; margin: 10mm auto }
h1 { font-size: 20pt; margin: 0 0 2mm }
h2 { font-size: 14pt; margin: 8mm 0 2mm; break-after: avoid }
h3 { font-size: 12pt; margin: 0 0 1mm }
p { margin: 0 0 2mm }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm }
th, td { border: 0.3mm solid #000; padding: 1mm 2mm; text-align: left; vertical-align: top; font-weight: normal }
thead th, tbody th { font-weight: bold }
tr, section.card, figure { break-inside: avoid }
section.card { border: 0.5mm solid #000; padding: 3mm; margin: 0 0 4mm }
.caution { border: 0.8mm solid #000; padding: 2mm 3mm; margin: 3mm 0 }
.sign { margin-top: 6mm; line-height: 2.2 }
figure { margin: 0 0 4mm }
figcaption { font-size: 10pt }
svg { display: block }
svg text { font-family: "Source Sans 3", "Source Sans Pro", system-ui, sans-serif; font-weight: bold }
svg .mark { stroke: #000; fill: #fff }
svg .leader { stroke: #000; fill: none }
svg .tab { stroke: #000; fill: #fff }
"""

_CAUTION = (
    "This sheet never replaces the meter test on the real board: take the four readings of every frog there, with the "
    "supply unplugged and nothing on the rails, before any power. Leave the supply's mains side closed: it is for "
    "licensed practice and local codes. A short can heat wire and melt plastic. Ventilate when soldering."
)
_BLANK = "_______"
_FIRST = Words()


def sheet(bench: Bench, words: Words = _FIRST) -> str:
    """The wiring sheet of a bench in the words of a set. The same bench gives the same text.

    Of a job whose rails show no side until it is proved, nothing tells of sides before the test of every route passes.
    """
    layout = Layout(bench)
    board = plan(bench, layout)
    verdict = prove(bench)
    to_find = sides_hidden(bench) and not verdict.passed
    title = bench.title or "Untitled bench"
    parts = [
        element("h1", escaped(title)),
        element("p", "Wiring sheet. Left and right are those of the piece seen from above, from its toe or end a."),
        element("p", escaped(_CAUTION), class_="caution"),
        *_plan(board),
        *_wires(bench, layout, to_find),
        *(_card(card) for card in _heading("Turnouts", cards(bench, layout))),
        *_contacts(bench),
        *_tested(bench, verdict, to_find),
        *_at_full_size(board),
        element("p", f"Checked on the real board: {_BLANK * 3} date {_BLANK * 2} by {_BLANK * 2}", class_="sign"),
    ]
    head = f'<meta charset="utf-8">\n<title>{escaped(title)}</title>\n<style>{_STYLE}</style>'
    body = "\n".join(parts)
    page = f'<!doctype html>\n<html lang="en">\n<head>\n{head}\n</head>\n<body>\n{body}\n</body>\n</html>\n'
    return in_words(page, words)


def _heading(title: str, every: tuple[Card, ...]) -> Iterator[Card | str]:
    if every:
        yield title
    yield from every


def _plan(board: Plan | None) -> Iterator[str]:
    yield element("h2", "The board from below")
    if board is None:
        yield element("p", "There is no track on this bench.")
        return
    drawn, scale = fitted(board)
    size = "full size" if scale == 1.0 else f"1 to {1 / scale:.2g} of full size"
    told = (
        f"Mirrored, as it is seen while wiring; {size}. Numbers are those of the wires that end there; a line across a "
        "rail is a cut gap, a ring a gap that is not cut. Points as filed."
    )
    yield element("figure", drawn + element("figcaption", told))


def _at_full_size(board: Plan | None) -> Iterator[str]:
    if board is None or fitted(board)[1] == 1.0:
        return
    strips = full_size(board)
    if not strips:
        return
    yield element("h2", "The board from below, full size")
    for number, strip in enumerate(strips, 1):
        told = f"Part {number} of {len(strips)}, left to right; the parts overlap by 8 mm. Print at 100 %."
        yield element("figure", strip + element("figcaption", told))


def _wires(bench: Bench, layout: Layout, to_find: bool) -> Iterator[str]:
    yield element("h2", "Wires")
    rows = lines(bench, layout)
    typed = plain if bench.level is not None else verbatim  # what a job says is the program's
    if not rows:
        yield element("p", "Nothing is wired yet.")
        return
    yield table(
        ("No.", "From", "To", "Carries", "Colour", "Size", "Length", "Remark"),
        [
            (
                line.number,
                *(f"{end}, {said}" if said else end for end, said in zip(line.ends, line.said, strict=True)),
                _BLANK if to_find else line.carries,
                typed(line.colour) or _BLANK,
                line.size,
                f"{line.metres:g} m",
                typed(line.note),
            )
            for line in rows
        ],
    )


def _card(card: Card | str) -> str:
    if isinstance(card, str):
        return element("h2", escaped(card))
    parts = [element("h3", escaped(f"{card.piece}: {card.said}, moved by {card.moved_by}"))]
    if card.frog:
        parts.append(
            table(
                ("Points", "Closed blade", "Frog to left stock rail", "Frog to right stock rail"),
                [
                    (
                        match.setting,
                        match.side,
                        *(
                            f"expected: {'joined' if side == match.side else 'open'}; measured: {_BLANK}"
                            for side in ("left", "right")
                        ),
                    )
                    for match in card.matches
                ],
            )
        )
    else:
        parts.append(element("p", "No frog of metal: nothing is fed through a contact."))
    if card.places:
        parts.append(
            table(
                ("Place", "As built", "Done"),
                [
                    (words, state if usual else f"{state}, not as the piece comes", _BLANK)
                    for words, state, usual in card.places
                ],
            )
        )
    return element("section", "\n".join(parts), class_="card")


def _contacts(bench: Bench) -> Iterator[str]:
    every = contacts(bench)
    if not every:
        return
    yield element("h2", "Contacts")
    yield table(
        ("Contact", "Screws", "Common", "Joined to it, points normal", "Joined to it, points diverging"),
        [_contact_row(contact) for contact in every],
    )
    if any(not contact.common for contact in every):
        yield element("p", "What is left open is to be found with the meter: the supply unplugged, the wires off.")


def _contact_row(contact: Contact) -> tuple[str, ...]:
    found = (contact.common, contact.normal, contact.diverging)
    return (
        f"{contact.said}, contact {contact.number}",
        ", ".join(contact.screws),
        *((letter or "neither") if contact.common else _BLANK for letter in found),
    )


def _tested(bench: Bench, verdict: Verdict, to_find: bool) -> Iterator[str]:
    yield element("h2", "Tested on the screen")
    if to_find:
        yield element("p", "Not clean yet. Which side each wire and rail is on is to be found with the meter.")
        return
    if not verdict.routes:
        yield element("p", "There is no route to test.")
    elif verdict.passed:
        vehicles = len({route.vehicle for route in verdict.routes})
        yield element("p", f"Every route is clean, with {vehicles} vehicles in both directions.")
    if verdict.findings:
        yield table(
            ("Where", "Vehicle", "Runs", "Found"),
            [
                (
                    _where(bench, found),
                    found.vehicle or "none",
                    str(found.runs or ""),
                    ("" if found.fails else "Advice: ") + found.text[:1].upper() + found.text[1:],
                )
                for found in verdict.findings
            ],
        )
    for remark in verdict.remarks:
        yield element("p", escaped(remark))


def _where(bench: Bench, found: Finding) -> str:
    if found.path is None or found.from_mm is None or found.to_mm is None:
        return "with a coin on the track" if found.when == "coin" else "with nothing on the track"
    words = way_words(bench, found.path)
    return f"{words[:1].upper()}{words[1:]}, {span_words(found.from_mm, found.to_mm)}"
