"""Laws of reading, on salads of known words, marks and nonsense."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from strandline.knowledge.reading.lexicon import lexicon
from strandline.knowledge.reading.read import read_texts
from strandline.knowledge.reading.result import COLUMNS, TextReading
from strandline.knowledge.reading.tokens import WORD

NAMES = sorted({name.phrase for listed in lexicon().by_first.values() for name in listed})
SMALL = [
    "and",
    "with",
    "on",
    "in",
    "of",
    "or",
    "no",
    "without",
    "missing",
    "imitation",
    "style",
    "probably",
    "over",
    "to simulate",
]
MARKS = [", ", "; ", " (", ") ", "/", ": ", ". ", " & ", "? ", " - ", "\n", "-", " ", " ", " ", " "]

word = st.one_of(
    st.sampled_from(NAMES),
    st.sampled_from(SMALL),
    st.text(alphabet="abcdeioßÉñ’'_19", min_size=1, max_size=9),
    st.text(max_size=6),
)
salad = st.lists(st.tuples(word, st.sampled_from(MARKS)), max_size=14).map(
    lambda pairs: "".join(first + mark for first, mark in pairs)
)
rows = st.dictionaries(st.sampled_from(COLUMNS), salad, max_size=5)


def spans(reading: TextReading) -> list[tuple[str, int, str]]:
    """Every span: column, start, text."""
    found = [(p.column, p.start, p.span) for p in reading.parts]
    found += [(f.column, f.start, f.span) for f in reading.features]
    found += [(j.column, j.start, j.span) for j in reading.joins]
    found += [(w.column, w.start, w.word) for w in reading.words]
    return found


def unaccounted(row: dict[str, str], reading: TextReading) -> list[str]:
    """Words that lie in no span at all."""
    covered = {
        (column, at) for column, start, text in spans(reading) for at in range(start, start + len(text))
    }
    return [
        match[0]
        for column, text in row.items()
        if text.strip()
        for match in WORD.finditer(text)
        if (column, match.start()) not in covered
    ]


@settings(max_examples=600)
@given(rows)
def test_every_word_is_accounted_for_and_every_span_occurs(row: dict[str, str]) -> None:
    reading = read_texts(row)
    assert unaccounted(row, reading) == []
    for column, start, text in spans(reading):
        assert row[column][start : start + len(text)] == text


def test_a_reader_that_loses_words_would_be_caught() -> None:
    row = {"materials": "oak and flurbium, painted red"}
    broken = replace(read_texts(row), words=())
    assert unaccounted(row, broken) == ["and", "flurbium", "red"]


@settings(max_examples=300)
@given(rows)
def test_keys_are_known_and_joins_name_two_parts(row: dict[str, str]) -> None:
    words = lexicon()
    reading = read_texts(row)
    for part in reading.parts:
        assert part.material in words.family_of or part.material in {
            "unknown",
            *(f"{family}_unknown" for family in words.family_of.values()),
        }
        assert words.family(part.material) == part.family
        assert set(part.features) <= words.feature_keys
        assert set(part.could_be) <= {*words.family_of, "glass_unknown"}
        assert (part.surface == "stated") == bool(set(part.features) & words.surfaces)
    assert {one.key for one in reading.features} <= words.feature_keys
    for join in reading.joins:
        assert join.a != join.b
        assert 0 <= join.a < len(reading.parts) > join.b >= 0


@settings(max_examples=200)
@given(salad)
def test_a_word_counted_as_harmless_or_unread_is_counted_once(text: str) -> None:
    starts = [word.start for word in read_texts({"materials": text}).words]
    assert len(starts) == len(set(starts))


@settings(max_examples=200)
@given(
    st.sampled_from(["paint", "gilding", "varnish", "lacquer"]), st.sampled_from(["no", "without", "never"])
)
def test_a_denied_finish_never_appears(finish: str, denial: str) -> None:
    reading = read_texts({"materials": f"oak, {denial} {finish}"})
    found = {one.key for one in reading.features} | {key for part in reading.parts for key in part.features}
    assert found == {"bare"}


@settings(max_examples=200)
@given(rows)
def test_a_hazard_is_seen_whatever_stands_beside_it(row: dict[str, str]) -> None:
    row = {**row, "title": "Mercury barometer"}
    assert "mercury_inside" in {one.key for one in read_texts(row).features}
