"""Rules on the templates of pages, as functions from a tree to a list of findings.

A template is read as HTML with each of its Django tags and variables replaced by one sign that stands for its
content, so that ``for="f-{{ name }}"`` and ``id="f-{{ name }}"`` are found to be the same.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser

from tests.house.tree import SourceFile

UNTRANSLATED: dict[str, str] = {
    "Strandline": "a name",
    "JSON": "a name",
    "UTC": "a name",
    "°C": "a unit",
    "% RH": "a unit",
    "mm": "a unit",
    "h": "a unit",
    "min": "a unit",
}
"""Text that stands on a page without translation, and why; further ones need a reason here."""

READ_OUT = {"alt", "title", "aria-label", "placeholder", "aria-roledescription", "aria-valuetext"}
"""Attributes that a person reads or hears."""

TOKEN = re.compile(r"\{#.*?#\}|\{\{.*?\}\}|\{%.*?%\}", re.DOTALL)
BLOCKS = re.compile(
    r"\{%-?\s*comment\b.*?\{%\s*endcomment\s*%\}|\{%\s*blocktrans(?:late)?\b.*?\{%\s*endblocktrans(?:late)?\s*%\}",
    re.DOTALL,
)
TAG = re.compile(r"\{%\s*(\w+)")
STEERING = {
    *("if", "elif", "else", "endif", "for", "empty", "endfor", "with", "endwith", "block", "endblock"),
    *("load", "extends", "include", "comment", "spaceless", "endspaceless", "regroup", "cycle"),
}
"""Tags that print nothing themselves."""

FIRST_SIGN = 0xE000
HANDED = re.compile(r"\b(label|word|title|hint|say|legend|text)=(\"[^\"]*\"|'[^']*')")
USUAL = re.compile(r"\|\s*(?:default|default_if_none|yesno|add|join)\s*:\s*(\"[^\"]*\"|'[^']*')")
ADDRESS = re.compile(r"(?:https?:)?//[\w.\[-]", re.IGNORECASE)
LED_BY = {"href", "src", "action", "formaction", "srcset", "poster", "data"}
OUTSIDE = re.compile(
    r"https?://(?!www\.w3\.org/2000/svg\b)|@import|url\(\s*[\"']?(?:https?:)?//", re.IGNORECASE
)


@dataclass
class Element:
    """A tag of the page: its name, its attributes, its line, and whether it stands inside a label."""

    name: str
    attributes: dict[str, str]
    line: int
    labelled: bool


@dataclass
class Page(HTMLParser):
    """The elements and texts of a template, Django's parts replaced by signs."""

    elements: list[Element] = field(default_factory=list)
    texts: list[tuple[int, str]] = field(default_factory=list)
    scripts: list[int] = field(default_factory=list)
    _inside: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin."""
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep an element."""
        held = {name: value or "" for name, value in attrs}
        self.elements.append(Element(tag, held, self.getpos()[0], "label" in self._inside))
        if tag in {"label", "script", "style"}:
            self._inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Leave a label, a script or a style."""
        if tag in self._inside:
            self._inside.remove(tag)

    def handle_data(self, data: str) -> None:
        """Keep a text; what stands in a script is none."""
        if not data.strip():
            return
        first = self.getpos()[0] + data[: len(data) - len(data.lstrip())].count("\n")
        if {"script", "style"} & set(self._inside):
            self.scripts.append(first)
        else:
            self.texts.append((first, data.strip()))


def templates(tree: Sequence[SourceFile]) -> list[SourceFile]:
    """The templates of pages."""
    return [file for file in tree if "/templates/" in file.path and file.path.endswith(".html")]


def read(file: SourceFile) -> Page:
    """A template as a page."""
    page = Page()
    page.feed(bare(file.text))
    page.close()
    return page


def bare(text: str) -> str:
    """The text with signs for what Django prints and spaces for what it does not; lines stay in place."""
    signs: dict[str, str] = {}

    def sign(found: re.Match[str]) -> str:
        token = " ".join(found[0].split())
        lines = "\n" * found[0].count("\n")
        steers = TAG.match(token)
        if token.startswith("{#") or (steers and steers[1] in STEERING):
            return " " + lines
        return signs.setdefault(token, chr(FIRST_SIGN + len(signs))) + lines

    return TOKEN.sub(sign, BLOCKS.sub(sign, text))


def _letters(text: str) -> str:
    """What of a text is neither a sign nor let stand; '' when it has no letter."""
    plain = re.sub(r"[\ue000-\uf8ff]", " ", text)
    for allowed in sorted(UNTRANSLATED, key=len, reverse=True):
        plain = re.sub(rf"(?<!\w){re.escape(allowed)}(?!\w)", " ", plain)
    return " ".join(plain.split()) if re.search(r"[^\W\d_]", plain) else ""


def translation_findings(tree: Sequence[SourceFile]) -> list[str]:
    """Words on a page stand in translate, blocktranslate or a variable."""
    findings = []
    for file in templates(tree):
        page = read(file)
        found = [(line, _letters(text)) for line, text in page.texts]
        for one in page.elements:
            found += [(one.line, _letters(one.attributes[name])) for name in READ_OUT & one.attributes.keys()]
        findings += [file.at(line, f"is not translated: {text!r}") for line, text in found if text]
        findings += list(_literals(file))
    return findings


def _literals(file: SourceFile) -> Iterator[str]:
    """Words handed to an included template, or usual words of a filter, without ``_()``."""
    for token in TOKEN.finditer(file.text):
        line = file.text.count("\n", 0, token.start()) + 1
        handed = HANDED.findall(token[0]) if TAG.match(token[0]) and "include" in token[0] else []
        usual = USUAL.findall(token[0]) if _is_read(file.text[: token.start()]) else []
        for word in [*(value for _, value in handed), *usual]:
            if text := _letters(word.strip("\"'")):
                yield file.at(line, f"is not translated: {text!r}")


def _is_read(before: str) -> bool:
    """Whether what comes next is read by people: a text, or an attribute that is read out."""
    plain = TOKEN.sub("", before)
    if plain.rfind("<") <= plain.rfind(">"):
        return True
    attribute = re.search(r"([\w-]+)=[\"'][^\"']*$", plain)
    return attribute is not None and attribute[1] in READ_OUT


def inline_findings(tree: Sequence[SourceFile]) -> list[str]:
    """No style, script or handler in a page: the content policy lets none of them run."""
    findings = []
    for file in templates(tree):
        page = read(file)
        findings += [file.at(line, "holds a script or style of its own") for line in page.scripts]
        for one in page.elements:
            findings += [
                file.at(one.line, f"<{one.name}> has {name}=")
                for name in one.attributes
                if name == "style" or name.startswith("on") or name in {"hx-on", "hx-vals"}
            ]
            if one.name == "style" or (one.name == "script" and not one.attributes.get("src")):
                findings.append(file.at(one.line, f"<{one.name}> stands in the page"))
    return findings


def label_findings(tree: Sequence[SourceFile]) -> list[str]:
    """Each picture has a text, and each field a label or a name that is read out."""
    findings = []
    for file in templates(tree):
        page = read(file)
        labels = {one.attributes.get("for", "") for one in page.elements if one.name == "label"}
        for one in page.elements:
            if one.name == "img" and "alt" not in one.attributes:
                findings.append(file.at(one.line, "<img> has no alt"))
            if one.name in {"input", "select", "textarea"} and not _named(one, labels):
                findings.append(
                    file.at(one.line, f"<{one.name} name={one.attributes.get('name', '')!r}> has no label")
                )
    return findings


def _named(one: Element, labels: Iterable[str]) -> bool:
    if one.name == "input" and one.attributes.get("type") in {"hidden", "submit", "button"}:
        return True
    own = one.attributes.get("id")
    named = one.attributes.get("aria-label") or one.attributes.get("aria-labelledby")
    return one.labelled or bool(named) or (own is not None and own in labels)


def address_findings(tree: Sequence[SourceFile]) -> list[str]:
    """Pages, styles and scripts ask nobody else for anything."""
    findings = []
    for file in templates(tree):
        for one in read(file).elements:
            findings += [
                file.at(one.line, f"{name}= leads elsewhere: {value!r}")
                for name, value in one.attributes.items()
                if name in LED_BY and ADDRESS.match(value.strip())
            ]
    for file in tree:
        if "/static/" in file.path or file in templates(tree):
            findings += [
                file.at(number, "names another host")
                for number, line in enumerate(file.lines, start=1)
                if OUTSIDE.search(line)
            ]
    return findings


NEVER = re.compile(
    r"\b(clean(?:ed|ly)?|safe(?:ly)?|sterile|saniti[sz]ed|certificates?|overdue)\b"
    r"|\bsmell (?:it|them|the|at)\b",
    re.IGNORECASE,
)
"""Words that promise what nobody knows of an object, hurry people, or tell them to smell at something."""

NOT_OF_AN_OBJECT: dict[str, str] = {
    "clean": "the key of a water with nothing in it, printed in other words",
}
"""Whole strings with such a word that are not said of an object, and why."""

LITERAL = re.compile(r"\"([^\"]*)\"|'([^']*)'")
WORDS_STAND_IN = ("src/strandline/web/", "src/strandline/services/")


def word_findings(tree: Sequence[SourceFile]) -> list[str]:
    """No page says one of the words that may not stand on it, whether template, Python or TOML holds them."""
    findings = []
    for file in tree:
        if not file.path.startswith(WORDS_STAND_IN):
            continue
        for line, text in _said(file):
            if text not in NOT_OF_AN_OBJECT and (found := NEVER.search(text)):
                findings.append(file.at(line, f"says '{found[0]}': {text[:60]!r}"))
    return findings


def _said(file: SourceFile) -> Iterator[tuple[int, str]]:
    """Texts of a file that may be printed on a page, with their lines."""
    if file.path.endswith(".html"):
        yield from read(file).texts
        for token in [*BLOCKS.finditer(file.text), *TOKEN.finditer(file.text)]:
            line = file.text.count("\n", 0, token.start()) + 1
            inner = re.sub(TOKEN, " ", token[0]) if token[0].count("{%") > 1 else ""
            yield from ((line, text) for text in [inner, *(a or b for a, b in LITERAL.findall(token[0]))])
    elif file.is_python:
        described = {id(node) for node in _docstrings(file.syntax)}
        for node in ast.walk(file.syntax):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in described:
                yield node.lineno, node.value
    elif file.path.endswith((".toml", ".js")):
        for number, text in enumerate(file.lines, start=1):
            yield from ((number, a or b) for a, b in LITERAL.findall(text))


def _docstrings(tree: ast.Module) -> Iterator[ast.expr]:
    """Strings that stand alone: what code says of itself."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value


RULES: dict[str, Callable[[Sequence[SourceFile]], list[str]]] = {
    "translation": translation_findings,
    "inline": inline_findings,
    "label": label_findings,
    "address": address_findings,
    "word": word_findings,
}
