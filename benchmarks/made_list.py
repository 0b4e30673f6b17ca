"""A list of any length out of the words of the demo list, the same for the same seed."""

from __future__ import annotations

import csv
from pathlib import Path
from random import Random

from machine import ROOT

DEMO = ROOT / "src" / "strandline" / "demo_data" / "list.csv"
OWN = ("Tag", "Museum no")
"""Columns whose values name one object; a made row leaves them blank."""

TOGETHER = 0.5
"""Share of the rows that keep title, class, materials and remarks of one demo row; in the others each
comes from a row of its own, so that there are kinds the demo does not have."""


def make_list(path: Path, rows: int, seed: int) -> None:
    """Write a list of ``rows`` rows as a CSV of the demo's columns."""
    with DEMO.open(encoding="cp1252", newline="") as file:
        demo = list(csv.DictReader(file, delimiter=";"))
    rng = Random(seed)
    names = list(demo[0])
    described = names[names.index("What is it") : names.index("Cond.")]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, names, delimiter=";")
        writer.writeheader()
        for _ in range(rows):
            writer.writerow(_row(demo, names, described, rng))


def _row(demo: list[dict[str, str]], names: list[str], described: list[str], rng: Random) -> dict[str, str]:
    one, together = rng.choice(demo), rng.random() < TOGETHER
    row = {}
    for name in names:
        if name in OWN:
            row[name] = ""
        else:
            row[name] = (one if together and name in described else rng.choice(demo))[name]
    return row
