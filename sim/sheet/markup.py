"""Small pieces of HTML: escaped text, elements, tables."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

from sim.words import Words

__all__ = ["element", "escaped", "in_words", "table"]

_TAG = re.compile(r"(<style>.*?</style>|<[^>]*>)", re.DOTALL)


def escaped(text: str) -> str:
    """Text as it may stand in HTML, also in a quoted attribute."""
    return html.escape(text)


def in_words(page: str, words: Words) -> str:
    """A page with what can be read on it in these words; styles, tags and their attributes as they are."""
    parts = _TAG.split(page)  # a text, a tag, a text ...
    parts[::2] = (escaped(words.of(html.unescape(text))) for text in parts[::2])
    return "".join(parts)


def element(name: str, inner: str, **attributes: str) -> str:
    """An element around HTML that is ready; an attribute's trailing underscore is dropped ("class_")."""
    said = "".join(f' {key.rstrip("_").replace("_", "-")}="{escaped(value)}"' for key, value in attributes.items())
    return f"<{name}{said}>{inner}</{name}>"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], class_: str = "") -> str:
    """A table of plain texts; the first column heads its row."""
    top = element("thead", element("tr", "".join(element("th", escaped(head), scope="col") for head in heads)))
    body = "\n".join(
        element(
            "tr",
            element("th", escaped(row[0]), scope="row") + "".join(element("td", escaped(cell)) for cell in row[1:]),
        )
        for row in rows
    )
    inner = f"{top}\n<tbody>\n{body}\n</tbody>"
    return element("table", inner, class_=class_) if class_ else element("table", inner)
