"""Suggestions: which rows of the list a thing on the table could be.  A person decides."""

from __future__ import annotations

from django.db.models.fields.json import KT
from rapidfuzz import fuzz, process, utils

from strandline.pipeline.cell_words import folded
from strandline.records.models.objects import ListRow
from strandline.records.models.sites import Incident

TITLE_SHARE = 0.7
"""Share of the title in the score where materials are known as well; the rest is theirs."""
LEAST_SCORE = 40
"""Rows that score less are not worth a look: confidence c."""


def suggest(incident: Incident, title: str, materials: str, limit: int = 5) -> list[tuple[ListRow, int]]:
    """Rows nobody has seen yet that read most like a thing, the best first, with a score of 0 to 100.

    Nothing for a thing without title and materials.  Order of words, capitals and accents do not matter.
    """
    scores = _scores(incident, folded(title), folded(materials))
    best = sorted(((-score, pk) for pk, score in scores.items() if score >= LEAST_SCORE))[: max(limit, 0)]
    rows = ListRow.objects.in_bulk([pk for _, pk in best])
    return [(rows[pk], round(-score)) for score, pk in best]


def _scores(incident: Incident, title: str, materials: str) -> dict[int, float]:
    """Score by row, of those that share anything at all."""
    unseen = ListRow.objects.filter(incident=incident, state="not_seen").order_by("id")
    cells = list(unseen.values_list("id", KT("cells__title"), KT("cells__materials")))
    titles = _alike(title, {pk: folded(one or "") for pk, one, _ in cells})
    stuffs = _alike(materials, {pk: folded(one or "") for pk, _, one in cells})
    if not materials:
        return titles
    if not title:
        return stuffs
    return {
        pk: TITLE_SHARE * titles.get(pk, 0.0) + (1 - TITLE_SHARE) * stuffs.get(pk, 0.0)
        for pk in titles.keys() | stuffs.keys()
    }


def _alike(text: str, rows: dict[int, str]) -> dict[int, float]:
    """How alike a text and each row's are, 0 to 100: words in common, and the whole.

    Words in common alone would put every row that says 'chest' level with 'sea chest'.
    """
    if not text:
        return {}
    said = {pk: one for pk, one in rows.items() if one}
    words = utils.default_process  # commas tie to no word
    common = process.extract(text, said, scorer=fuzz.token_set_ratio, processor=words, limit=None)
    whole = process.extract(text, said, scorer=fuzz.token_sort_ratio, processor=words, limit=None)
    wholes = {pk: score for _, score, pk in whole}
    return {pk: 0.6 * score + 0.4 * wholes[pk] for _, score, pk in common}
