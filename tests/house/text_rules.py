"""Rules on what may stand in any text file: no registry hosts, no paths of one machine, no working papers."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tests.house.tree import SourceFile

# Put together here, so that this file does not hold what it looks for.
HOSTS = (
    "py" + "pi.org",
    "python" + "hosted.org",
    "deb." + "debian.org",
    "security." + "debian.org",
    "snapshot." + "debian.org",
    "ftp." + "debian.org",
    "registry." + "npmjs",
    "npm" + "js.com",
    "npm" + "js.org",
    "registry." + "yarnpkg",
    "proxy." + "golang.org",
    "crates" + ".io",
)
MACHINE_PATHS = (
    "/wo" + "rk/",
    "/tmp/" + "bash_jobs",
    "/ro" + "ot/",
    "/opt/" + "py" + "pi",
    "../" + "shared",
)
PAPERS = ("CARE", "PRACTICE", "DESIGN", "DECISIONS", "SCIENCE", "NUMERICS", "SCENARIO", "STYLE")
WORKING_PAPERS = (*(paper + "." + "md" for paper in PAPERS), "care-example" + ".json")

# A path or a paper counts where it begins, not as the tail of a longer one; a host counts anywhere.
BEGINS = r"(?<![\w.~*)}$-])"
FORBIDDEN = re.compile(
    "|".join(
        [*map(re.escape, HOSTS), *(BEGINS + re.escape(word) for word in (*MACHINE_PATHS, *WORKING_PAPERS))]
    )
)


def forbidden_findings(tree: Sequence[SourceFile]) -> list[str]:
    """No file, and no file's name, holds a forbidden word."""
    findings = []
    for file in tree:
        if found := FORBIDDEN.search(file.path):
            findings.append(file.at(0, f"the name holds {found[0]!r}"))
        for number, line in enumerate(file.lines, start=1):
            if found := FORBIDDEN.search(line):
                findings.append(file.at(number, f"holds {found[0]!r}"))
    return findings


def lock_findings(tree: Sequence[SourceFile]) -> list[str]:
    """A lock pins every package, with hashes, and says nothing of where to get it."""
    findings = []
    for file in tree:
        if not file.path.endswith(".lock"):
            continue
        for number, line in enumerate(file.lines, start=1):
            if line.startswith("--") or "://" in line or " @ " in line:
                findings.append(file.at(number, "says where to get a package"))
            elif line[:1].isalnum():
                following = file.lines[number] if number < len(file.lines) else ""
                if "==" not in line or not following.strip().startswith("--hash=sha256:"):
                    findings.append(file.at(number, "is not pinned with a hash"))
    return findings


def pins(lock_text: str) -> dict[str, str]:
    """Version of each package in a lock."""
    return dict(re.findall(r"^([a-z0-9][a-z0-9.-]*)==(\S+)", lock_text, flags=re.MULTILINE))


def wanted(in_text: str) -> set[str]:
    """Names that an .in file asks for itself."""
    return set(re.findall(r"^([a-z0-9][a-z0-9.-]*)", in_text, flags=re.MULTILINE))
