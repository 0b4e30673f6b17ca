"""Free text in, parts, joins and features out.  See :func:`read_texts`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from strandline.knowledge.reading.lexicon import lexicon
from strandline.knowledge.reading.result import COLUMNS, TextReading
from strandline.knowledge.reading.settle import reading, settle
from strandline.knowledge.reading.walker import read_column


def read_texts(texts: Mapping[str, str]) -> TextReading:
    """Read an object's text columns.

    ``texts`` holds cells by column name (:data:`COLUMNS`); columns may be missing.  The same cells always
    give the same reading, whatever order they come in.  Raises ValueError for any
    other column.
    """
    stray = set(texts) - set(COLUMNS)
    if stray:
        raise ValueError(f"not text columns: {', '.join(sorted(stray))}")
    return _read(tuple((name, texts[name]) for name in COLUMNS if texts.get(name, "").strip()))


@lru_cache(maxsize=1024)
def _read(cells: tuple[tuple[str, str], ...]) -> TextReading:
    words = lexicon()
    columns = [read_column(text, name, words) for name, text in cells]
    return reading(settle(columns, words), columns, words)
