"""``backup``, ``restore``, ``export``: what they do, and one sentence for each thing that can be wrong.

Each command runs in a Python of its own, as one program keeps one record.
"""

import gzip
import hashlib
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from strandline.records.holding import held
from tests.records.programs import (
    empty_database,
    filled,
    practice_on,
    program,
    strandline,
    went_well,
    with_hash,
)


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A practice on SQLite with twelve objects, a backup and an export of it; nobody changes them."""
    folder = filled(tmp_path_factory.mktemp("original") / "practice")
    went_well(strandline("backup", "--practice", folder, "--to", folder.parent / "kept"))
    went_well(strandline("export", "--practice", folder, "--to", folder.parent / "kept" / "record.jsonl.gz"))
    return folder


@pytest.fixture
def kept(original: Path, tmp_path: Path) -> Path:
    """A copy of that backup."""
    (made,) = (original.parent / "kept").glob("*.sqlite3")
    file = tmp_path / made.name
    file.write_bytes(made.read_bytes())
    return with_hash(file)


@pytest.fixture
def lines(original: Path, tmp_path: Path) -> Path:
    """A copy of that export."""
    file = tmp_path / "record.jsonl.gz"
    file.write_bytes((original.parent / "kept" / file.name).read_bytes())
    return with_hash(file)


def exported(folder: Path) -> bytes:
    """The record of a practice as lines."""
    return went_well(strandline("export", "--practice", folder))


def objects(file: Path) -> int:
    """How many objects a database holds."""
    with closing(sqlite3.connect(file)) as record:
        return int(record.execute("SELECT count(*) FROM records_object").fetchone()[0])


def test_a_backup_lies_in_the_practice_unless_told_otherwise(original: Path, tmp_path: Path) -> None:
    """What is printed is where, how large, and its hash; only its owner may read it."""
    told = went_well(strandline("backup", STRANDLINE_PRACTICE=str(original))).decode()
    (made,) = (original / "backups").glob("*.sqlite3")
    assert told.startswith(f"{made}  {made.stat().st_size} bytes, looked through\n")
    assert hashlib.sha256(made.read_bytes()).hexdigest() in told
    assert made.stat().st_mode & 0o777 == 0o600
    assert objects(made) == 12
    went_well(strandline("backup", "--practice", original, "--to", tmp_path / "a" / "b"))
    assert len(list((tmp_path / "a" / "b").iterdir())) == 2


def test_there_and_back(original: Path, kept: Path, tmp_path: Path) -> None:
    """A practice made by restore exports the same bytes; with --yes what was there is moved aside."""
    folder = tmp_path / "new"
    told = went_well(strandline("restore", kept, "--practice", folder)).decode()
    assert told == f"{kept.name} is restored into {folder}.\n"
    assert exported(folder) == exported(original)
    again = went_well(strandline("restore", kept, "--practice", folder, "--yes")).decode()
    (aside,) = folder.glob("strandline-before-*.sqlite3")
    assert f"The record that was there is now {aside.name}." in again
    assert objects(aside) == 12


def test_an_export_becomes_a_record(original: Path, lines: Path, tmp_path: Path) -> None:
    """Packed or plain, it is the same; the log-in's password still holds."""
    plain = tmp_path / "plain.jsonl"
    went_well(strandline("export", "--practice", original, "--to", plain))
    assert plain.read_bytes() == gzip.decompress(lines.read_bytes()) == exported(original)
    assert plain.stat().st_mode & 0o777 == 0o600
    folder = tmp_path / "new"
    for file in (plain, lines):
        went_well(strandline("restore", file, "--practice", folder, "--yes"))
        assert exported(folder) == plain.read_bytes()
    assert not (folder / "strandline.sqlite3.part").exists()
    known = (
        "import sys; from pathlib import Path; from strandline.records.practice import begin\n"
        "begin(Path(sys.argv[1]))\n"
        "from django.contrib.auth import authenticate\n"
        "print(*(authenticate(username='lead', password=word) for word in ('tide table', 'x')))"
    )
    assert went_well(program(known, folder)) == b"lead None\n"


@pytest.mark.on_postgres
def test_from_a_file_to_a_server_and_back(original: Path, lines: Path, tmp_path: Path) -> None:
    """The same bytes on both; a backup of the server is the export; the server takes no second record."""
    with empty_database() as address:
        folder = practice_on(tmp_path / "server", "")
        went_well(strandline("restore", lines, "--practice", folder, "--database", address))
        assert not (folder / "strandline.sqlite3").exists()
        practice_on(folder, address)
        assert exported(folder) == exported(original)
        went_well(strandline("backup", "--practice", folder))
        (made,) = (folder / "backups").glob("*.jsonl.gz")
        assert made.read_bytes() == lines.read_bytes()
        again = strandline("restore", made, "--practice", folder, "--yes")
        assert (again.returncode, b"holds a record already" in again.stderr) == (2, True)
        pages = strandline("restore", copy_of(original, tmp_path), "--practice", folder)
        assert (pages.returncode, b"is a copy of an SQLite file" in pages.stderr) == (2, True)
        assert exported(folder) == exported(original)
        went_well(strandline("restore", made, "--practice", tmp_path / "file"))
        assert exported(tmp_path / "file") == exported(original)


def copy_of(original: Path, folder: Path) -> Path:
    """Its backup of pages, elsewhere."""
    (made,) = (original.parent / "kept").glob("*.sqlite3")
    file = folder / made.name
    file.write_bytes(made.read_bytes())
    return with_hash(file)


Case = Callable[[Path, Path, Path, Path], list[object]]


def without_hash(file: Path) -> Path:
    """A backup whose hash got lost."""
    file.with_name(file.name + ".sha256").unlink()
    return file


def changed(file: Path) -> Path:
    """A backup with a byte changed."""
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(data)
    return file


def cut(file: Path) -> Path:
    """An export that was cut and given a new hash."""
    text = gzip.decompress(file.read_bytes())
    file.write_bytes(gzip.compress(text[: len(text) // 2]))
    return with_hash(file)


def cut_packed(file: Path) -> Path:
    """A packed file that ends too early, with a new hash."""
    file.write_bytes(file.read_bytes()[:-200])
    return with_hash(file)


def a_file(folder: Path, name: str, text: str) -> Path:
    """A small file."""
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def settings(folder: Path, text: str) -> Path:
    """A practice with no record and these settings."""
    a_file(folder, "p/secret_key", "k" * 60)
    return a_file(folder, "p/settings.toml", text).parent


def newer(folder: Path, kept: Path) -> Path:
    """A backup of a newer program."""
    file = folder / "strandline-20310101T000000Z.sqlite3"
    file.write_bytes(kept.read_bytes())
    with closing(sqlite3.connect(file)) as record, record:
        record.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('records', '9999_x', '')")
    return with_hash(file)


BAD: dict[str, tuple[Case, str]] = {
    "no practice": (lambda d, o, k, x: ["backup", "--practice", d / "none"], "there is no practice in"),
    "no practice to export": (lambda d, o, k, x: ["export", "--practice", d], "there is no practice in"),
    "a practice without a record": (
        lambda d, o, k, x: ["export", "--practice", settings(d, "")], "no record yet"
    ),
    "settings that are no TOML": (
        lambda d, o, k, x: ["backup", "--practice", settings(d, "database =")], "cannot be read"
    ),
    "an address of another kind": (
        lambda d, o, k, x: ["backup", "--practice", settings(d, 'database = "mysql://h/x"')],
        "begins with postgresql://",
    ),
    "a server that is not there": (
        lambda d, o, k, x: ["export", "--practice", settings(d, 'database = "postgresql:///x?host=/nowhere"')],
        "the database cannot be used",
    ),
    "a backup into a file": (
        lambda d, o, k, x: ["backup", "--practice", o, "--to", a_file(d, "f", "")], "name a folder"
    ),
    "a backup below a device": (
        lambda d, o, k, x: ["backup", "--practice", o, "--to", "/dev/null/x"], "cannot be written"
    ),
    "an export of another name": (
        lambda d, o, k, x: ["export", "--practice", o, "--to", d / "record.txt"], "something.jsonl"
    ),
    "an export that is there": (
        lambda d, o, k, x: ["export", "--practice", o, "--to", x], "is there already"
    ),
    "a backup that is not there": (lambda d, o, k, x: ["restore", d / "no.sqlite3"], "no finished backup"),
    "a backup without its hash": (lambda d, o, k, x: ["restore", without_hash(k)], "no finished backup"),
    "a backup that changed": (lambda d, o, k, x: ["restore", changed(k)], "its hash is another"),
    "an export that changed": (lambda d, o, k, x: ["restore", changed(x)], "its hash is another"),
    "an export that was cut": (lambda d, o, k, x: ["restore", cut(x)], "cut short here"),
    "an export packed by half": (lambda d, o, k, x: ["restore", cut_packed(x)], "cannot be unpacked"),
    "something else": (
        lambda d, o, k, x: ["restore", with_hash(a_file(d, "x.sqlite3", "x" * 999))], "damaged"
    ),
    "a list": (
        lambda d, o, k, x: ["restore", with_hash(a_file(d, "x.jsonl", '{"schema": 1}\n'))],
        "line 1: this is no export of a record",
    ),
    "a newer program's": (lambda d, o, k, x: ["restore", newer(d, k)], "newer Strandline"),
    "a folder that is a file": (
        lambda d, o, k, x: ["restore", k, "--practice", a_file(d, "f", "")], "name a folder"
    ),
    "pages into a server": (
        lambda d, o, k, x: ["restore", k, "--database", "postgresql:///x?host=/nowhere"],
        "copy of an SQLite file",
    ),
    "lines into a server that is not there": (
        lambda d, o, k, x: ["restore", x, "--database", "postgresql:///x?host=/nowhere"],
        "the database cannot be used",
    ),
    "a record there and nobody to ask": (
        lambda d, o, k, x: ["restore", k, "--practice", o], "nobody answered, so nothing was changed"
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_what_cannot_be_done_is_one_sentence(
    what: str, original: Path, kept: Path, lines: Path, tmp_path: Path
) -> None:
    """On stderr, with exit code 2; no record is made or changed."""
    case, why = BAD[what]
    before = (original / "strandline.sqlite3").read_bytes()
    answer = strandline(*case(tmp_path, original, kept, lines), STRANDLINE_PRACTICE=str(tmp_path / "usual"))
    said = answer.stderr.decode()
    assert answer.returncode == 2
    assert why in said
    assert said.rstrip().count("\n") == (1 if "Move it aside" in said else 0)
    assert "Traceback" not in said
    assert (original / "strandline.sqlite3").read_bytes() == before
    assert list(tmp_path.rglob("strandline.sqlite3*")) == []


def test_a_record_that_is_being_served_is_left_alone(original: Path, kept: Path) -> None:
    """Backup and export go on; restore does not."""
    before = exported(original)
    with held(original):
        assert exported(original) == before
        answer = strandline("restore", kept, "--practice", original, "--yes")
    assert answer.returncode == 2
    assert b"stop that one first" in answer.stderr
    assert exported(original) == before
