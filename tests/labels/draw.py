"""Draw the labelled sample: 200 rows of a museum object list, stratified, with a fixed seed.

Use: ``python draw.py OBJECTS.csv [SAMPLE.csv]``. The input needs the columns accession_number, title,
classification and medium. The same input always gives the same sample. Exits with a message (ValueError)
if the list is too short to fill a stratum or if a drawn id is not unique.
"""

from __future__ import annotations

import csv
import random
import sys
from collections import defaultdict
from pathlib import Path

SEED = 20260315
SAMPLE_ROWS = 200
CLASS_MIN_ROWS = 10  # a classification with at least this many rows is a stratum of its own
ROWS_PER_CLASS = 4
COMPLICATED_ROWS = 70  # least number of rows in the sample with a complicated medium
COLUMNS = ("accession_number", "title", "classification", "medium")

Row = dict[str, str]


def is_complicated(medium: str) -> bool:
    """Tell whether a medium shows two or more of: comma, ' and ', ' with ', parentheses."""
    text = medium.lower()
    marks = ("," in text, " and " in text, " with " in text, "(" in text or ")" in text)
    return sum(marks) >= 2


def read_rows(path: Path) -> list[Row]:
    """Read the list, keep the four columns, and sort by id so that file order does not matter."""
    with path.open(encoding="utf-8-sig", newline="") as handle:
        rows = [{name: row[name].strip() for name in COLUMNS} for row in csv.DictReader(handle)]
    return sorted(rows, key=lambda row: row["accession_number"])


def take(rng: random.Random, pool: list[Row], count: int, taken: dict[str, Row]) -> None:
    """Move `count` random rows that are not taken yet from `pool` into `taken`."""
    free = [row for row in pool if row["accession_number"] not in taken]
    if len(free) < count:
        raise ValueError(f"only {len(free)} rows are left where {count} are needed")
    for row in rng.sample(free, count):
        taken[row["accession_number"]] = row


def draw(rows: list[Row], rng: random.Random) -> list[Row]:
    """Draw the strata in order: classifications, complicated media, then the rest at random."""
    if len({row["accession_number"] for row in rows}) != len(rows):
        raise ValueError("accession numbers are not unique")
    by_class: defaultdict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_class[row["classification"]].append(row)
    taken: dict[str, Row] = {}
    for name in sorted(by_class):
        if len(by_class[name]) >= CLASS_MIN_ROWS:
            take(rng, by_class[name], ROWS_PER_CLASS, taken)
    complicated = [row for row in rows if is_complicated(row["medium"])]
    have = sum(is_complicated(row["medium"]) for row in taken.values())
    take(rng, complicated, max(0, COMPLICATED_ROWS - have), taken)
    take(rng, rows, SAMPLE_ROWS - len(taken), taken)
    return list(taken.values())


def split(sample: list[Row], rng: random.Random) -> list[Row]:
    """Shuffle the sample and deal it alternately into the open and the locked half."""
    shuffled = sample[:]
    rng.shuffle(shuffled)
    return [{**row, "half": ("open", "locked")[i % 2]} for i, row in enumerate(shuffled)]


def main(args: list[str]) -> None:
    """Draw from the list named first in `args`; write to the second, or to sample.csv beside this file."""
    if not args:
        raise SystemExit("use: draw.py OBJECTS.csv [SAMPLE.csv]")
    rng = random.Random(SEED)
    target = Path(args[1]) if len(args) > 1 else Path(__file__).with_name("sample.csv")
    sample = split(draw(read_rows(Path(args[0])), rng), rng)
    with target.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, [*COLUMNS, "half"], lineterminator="\n")
        writer.writeheader()
        writer.writerows(sample)
    print(f"{len(sample)} rows written, {sum(is_complicated(row['medium']) for row in sample)} complicated")


if __name__ == "__main__":
    main(sys.argv[1:])
