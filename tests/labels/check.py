"""Check the labels against the sample: every row labelled once, same words, only keys of the lists.

Use: ``python check.py``. Prints counts for each half and the digest of the locked half; exits with status 1
and a list of faults if anything does not fit, the digest written in README.md included.
"""

from __future__ import annotations

import csv
import hashlib
import json
from collections import Counter
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
FAMILIES = frozenset(
    "metal glass ceramic stone wood plant skin bone textile plastic wax paper picture unknown".split()
)
FEATURES = frozenset(
    "painted gilded printed enamelled lacquered glazed inlaid veneered plated repaired upholstered"
    " embroidered stained_dyed varnished engraved".split()
)
JOINS = frozenset("mounted set inlaid veneered sewn framed lidded".split())
KEYS = {"id", "title", "medium", "parts", "features", "joins"}


def row_faults(label: dict[str, Any], row: dict[str, str]) -> list[str]:
    """Return what is wrong with one label, given its row of the sample."""
    faults = []
    if set(label) - {"note"} != KEYS:
        faults.append("keys differ")
    if (label["title"], label["medium"]) != (row["title"], row["medium"]):
        faults.append("title or medium differs from the sample")
    if not label["parts"]:
        faults.append("no part")
    said = f"{row['medium']}\n{row['title']}"
    for part in label["parts"]:
        if set(part) != {"words", "family"} or part["family"] not in FAMILIES:
            faults.append(f"bad part {part}")
        elif part["words"] not in said:
            faults.append(f"words not in the row: {part['words']}")
    for name, allowed in (("features", FEATURES), ("joins", JOINS)):
        if not set(label[name]) <= allowed or len(set(label[name])) != len(label[name]):
            faults.append(f"bad {name} {label[name]}")
    return faults


def check_half(half: str, sample: list[dict[str, str]]) -> list[str]:
    """Check one file of labels and print its counts; return its faults, each with the id."""
    lines = (HERE / f"{half}.jsonl").read_text(encoding="utf-8").splitlines()
    labels = [json.loads(line) for line in lines]
    rows = {row["accession_number"]: row for row in sample if row["half"] == half}
    if Counter(label["id"] for label in labels) != Counter(list(rows)):
        return [f"{half}: ids do not match the sample"]
    for name in ("features", "joins"):
        print(half, name, dict(Counter(key for label in labels for key in label[name]).most_common()))
    families = Counter(part["family"] for label in labels for part in label["parts"])
    print(half, "parts", dict(families.most_common()))
    return [f"{label['id']}: {fault}" for label in labels for fault in row_faults(label, rows[label["id"]])]


def main() -> None:
    """Check both halves and the digest."""
    with (HERE / "sample.csv").open(encoding="utf-8", newline="") as handle:
        sample = list(csv.DictReader(handle))
    faults = check_half("open", sample) + check_half("locked", sample)
    digest = hashlib.sha256((HERE / "locked.jsonl").read_bytes()).hexdigest()
    print("locked.jsonl sha256", digest)
    if digest not in (HERE / "README.md").read_text(encoding="utf-8"):
        faults.append("the digest in README.md is not that of locked.jsonl")
    if faults:
        raise SystemExit("\n".join(faults))
    print(f"{len(sample)} rows, no fault")


if __name__ == "__main__":
    main()
