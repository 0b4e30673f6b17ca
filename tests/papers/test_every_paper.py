"""What holds for every paper: archival, accessible, black on white, dated, and honest in its words."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

import pytest

from strandline.papers.compile import CompiledPaper
from strandline.papers.registry import PAPERS
from tests.papers import looking
from tests.papers.samples import HEAD, samples

SIZES = {"care_card": (105, 148), "class_cards": (105, 148), "tray_card": (148, 210)}
ACROSS = {"list_against_reality": (297, 210)}
NEVER = re.compile(r"\b(clean|cleaned|safe|safely|sterile|saniti[sz]ed|certificate|overdue)\b", re.IGNORECASE)
NO_ADVICE = {"tags", "sign_in", "list_against_reality"}
"""Papers that need not say that advice is not reviewed."""

every = pytest.mark.parametrize("name", sorted(PAPERS))


@lru_cache(maxsize=32)
def made(name: str) -> CompiledPaper:
    """A paper from the samples, made once."""
    return PAPERS[name][1](HEAD, samples()[name])


def test_every_paper_has_a_sample() -> None:
    """So that nothing below passes for want of data."""
    assert samples().keys() == PAPERS.keys()
    assert all(len(description) > 10 for description, _ in PAPERS.values())


@every
def test_it_says_it_is_archival_and_accessible(name: str) -> None:
    """PDF/A-2a and PDF/UA-1 in its metadata; language, title, tags marked."""
    root = looking.reader(made(name).pdf).trailer["/Root"]
    told = root["/Metadata"].get_data().decode()
    assert re.search(r"<pdfaid:part>2</pdfaid:part>\s*<pdfaid:conformance>A</pdfaid:conformance>", told)
    assert "<pdfuaid:part>1</pdfuaid:part>" in told
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert HEAD.name in looking.reader(made(name).pdf).metadata["/Title"]
    assert looking.reader(made(name).pdf).metadata["/Author"] == "Strandline"


@every
def test_it_is_tagged(name: str) -> None:
    """One heading at least and none that skips a level; tables have header cells, pictures have words."""
    elements = looking.structure(made(name).pdf)
    kinds = [str(element["/S"]) for element in elements]
    levels = [int(kind[2]) for kind in kinds if re.fullmatch(r"/H\d", kind)]
    assert levels
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert kinds.count("/Table") == 0 or kinds.count("/TH") >= kinds.count("/Table")
    figures = [element for element in elements if element["/S"] == "/Figure"]
    assert all(element.get("/Alt") for element in figures)


@every
def test_size_and_count_of_pages(name: str) -> None:
    """The size it is meant to have, and as many pages as it says."""
    wanted = SIZES.get(name) or ACROSS.get(name) or (210, 297)
    assert looking.size_mm(made(name).pdf) == {wanted}
    assert len(looking.reader(made(name).pdf).pages) == made(name).pages


@every
def test_black_on_white(name: str) -> None:
    """No grey and no colour: a cheap printer shows all of it."""
    shades = looking.shades(made(name).pdf)
    assert 0.0 in shades
    assert shades <= {0.0, 1.0}


@every
def test_only_the_shipped_fonts(name: str) -> None:
    """Nothing of the machine it was made on gets in."""
    fonts = set()
    for page in looking.reader(made(name).pdf).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            fonts.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
    assert fonts
    assert all(font.startswith(("AtkinsonHyperlegibleNext", "NotoSans")) for font in fonts)


@every
def test_words_that_are_never_printed(name: str) -> None:
    """None of them stands in what a paper says of itself."""
    found = NEVER.search(looking.text(made(name).pdf))
    assert found is None, found


@every
def test_it_carries_its_hour_and_its_incident(name: str) -> None:
    """On every page the hour, in the zone of the incident, or on cards at least the plan and the hour."""
    for page in looking.pages(made(name).pdf):
        assert "Sun 15 March 2026, 15:40 GMT" in page


@every
def test_it_says_that_advice_is_not_reviewed(name: str) -> None:
    """As long as the rules are not reviewed; and no longer."""
    said = "not yet reviewed by a practising conservator"
    assert (said in looking.text(made(name).pdf)) == (name not in NO_ADVICE)
    reviewed = HEAD.__class__(HEAD.incident, HEAD.name, HEAD.as_of, HEAD.zone, HEAD.knowledge, reviewed=True)
    assert said not in looking.text(PAPERS[name][1](reviewed, samples()[name]).pdf)


@every
def test_equal_data_gives_equal_bytes(name: str) -> None:
    """No clock and no chance in it."""
    assert PAPERS[name][1](HEAD, samples()[name]).pdf == made(name).pdf


@every
def test_all_is_printed(name: str) -> None:
    """The samples hold nothing that the fonts lack."""
    assert made(name).unprintable == ()


@pytest.mark.parametrize(
    ("name", "key"),
    [("care_card", "objects"), ("class_cards", "classes"), ("tray_card", "trays"), ("day_sheet", "sheets")],
)
def test_a_paper_of_nothing_says_so(name: str, key: str) -> None:
    """A short list has no trays; that is one sheet, and no error."""
    made_of_nothing = PAPERS[name][1](HEAD, {key: []})
    assert made_of_nothing.pages == 1
    assert "no object of this list calls for it" in looking.text(made_of_nothing.pdf)
