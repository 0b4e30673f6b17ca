"""Bad inputs, each really given to the program, with the message it prints: docs/bad-input.md."""

from __future__ import annotations

import io
import shlex
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import openpyxl

from docs_md import page, raw, table
from docs_runs import AS_OF, Ran, run

SITE = "incident = { zone = 'Europe/London' }\n"
OVERRIDE = (
    '[[override]]\ntarget = "{}"\nset = {}\nreason = "{}"\nperson = "lead conservator"\nat = "2026-03-15"\n'
)
RULE = (
    '[[verdict]]\nid = "act.rinse.try_out"\naction = "rinse"\nverdict = "no"\nhow = "Not at all."\n'
    'why = "Tried out."\nconfidence = "{}"\nwhen = {}\n{}\n'
)
LONG = "Our tap water is salty this week."


@dataclass(frozen=True)
class Case:
    """One bad input: what it is, the files it needs, the command (LIST is the file ``name``)."""

    what: str
    command: str
    name: str = "list.csv"
    content: str | bytes = "title;materials\nBait pot;earthenware\n"


def care(what: str, content: str | bytes, name: str = "list.csv", more: str = "") -> Case:
    """A list given to ``care``."""
    return Case(what, f"care {name} --as-of {AS_OF}{' ' + more if more else ''}", name, content)


def cell(what: str, header: str, value: str) -> Case:
    """A list of one row with one bad cell."""
    return care(what, f'title;{header}\n"Bell";"{value}"\n')


def argument(what: str, more: str, content: str | bytes = b"", name: str = "none") -> Case:
    """A good list given with a bad argument, or with a bad second file."""
    return Case(what, f"care good.csv {more}", name, content)


def knowledge(what: str, content: str) -> Case:
    """A file given to ``knowledge check``."""
    return Case(what, "knowledge check ours.toml", "ours.toml", content)


def override(what: str, target: str, change: str, reason: str = LONG) -> Case:
    """An overrides file given with a good list."""
    text = OVERRIDE.format(target, change, reason)
    return argument(what, f"--as-of {AS_OF} --overrides ours.toml", text, "ours.toml")


def _archive(member: str) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr(member, "x")
    return held.getvalue()


def _workbook() -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["title", "weight kg"])
    sheet.append(["Bell", "=3*7"])
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def _json(objects: str) -> str:
    return f'{{"schema": "strandline.list/1", "objects": [{objects}]}}'


FILES = (
    Case("a file that is not there", "care missing.csv", "none", b""),
    Case("a folder", "care .", "none", b""),
    care("an empty file", b""),
    care("a PDF", b"%PDF-1.7\n", "list.pdf"),
    care("a picture", b"\x89PNG\r\n\x1a\n", "list.png"),
    care("a word processor's document", _archive("word/document.xml"), "list.docx"),
    care("an OpenDocument sheet", _archive("content.xml"), "list.ods"),
    care("a ZIP archive", _archive("list.csv"), "list.zip"),
    care("an old XLS workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(64), "list.xls"),
    care(
        "a workbook with a password",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"),
        "list.xlsx",
    ),
    care("half a workbook", _archive("xl/workbook.xml")[:40], "list.xlsx"),
    care("a saved web page", "<!doctype html><table></table>", "list.csv"),
    care("a text with a zero byte", b"title;materials\nBe\x00ll;bronze\n"),
    care("no header row", "0001;Bell;bronze\n0002;Anchor;iron\n"),
    care("no header that is known", "alpha;beta\nBell;bronze\n"),
    care("a header and nothing below it", "title;materials\n"),
    care("JSON with a slip", '{"schema": "strandline.list/1"\n "objects": []}', "list.json"),
    care("JSON of another kind", '{"objects": []}', "list.json"),
    care("JSON without objects", '{"schema": "strandline.list/1"}', "list.json"),
    care("JSON that is an array", "[1, 2]", "list.json"),
)

ROWS = (
    care("a row that names nothing", "title;weight kg\n;3\nBell;21\n"),
    care("a row without a tag", "tag;title\n0001;Bell\n;Anchor\n"),
    care("a tag twice", "tag;title\n0001;Bell\n0001;Anchor\n"),
    care("a row with too many cells", "title;materials\nBell;bronze;again;more\n"),
    care("a row with too few cells", "title;materials;owner\nBell;bronze\n"),
    care("a quotation mark that is not closed", 'title;materials\nBell;"bronze\nAnchor;iron\n'),
    care("the header once more below", "title;materials\nBell;bronze\ntitle;materials\nAnchor;iron\n"),
    care("a header twice", "title;owner;owner\nBell;museum;lender A\n"),
    care("two headers for one column", "title;weight;mass\nBell;21000;21\n"),
    care("a column without a header", "title;;materials\nBell;shelf 3;bronze\n"),
)

CELLS = (
    cell("a range for a count", "pcs", "2-3"),
    cell("a size in words", "L", "a foot or so"),
    cell("several sizes in one cell", "L", "30 x 20 cm"),
    cell("a size in kilograms", "L", "3 kg"),
    cell("a comma that may mean two things", "mass (g)", "1,500"),
    cell("a bound", "weight kg", "over 30"),
    cell("less than nothing", "H", "-4"),
    cell("too much", "L", "300 m"),
    cell("a rank out of range", "value 1-5", "7"),
    cell("a word for an hour", "Wet since", "soon"),
    cell("a date without its year", "Wet since", "15/3 02:40"),
    cell("a day that does not fit its date", "Wet since", "Monday 15 March 2026 02:40"),
    cell("a day there is not", "Wet since", "30/02/2026 02:40"),
    cell("an hour still to come", "Wet since", "2026-03-16 02:40"),
    care("out before it was wet", "title;wet since;out since\nBell;2026-03-15 09:40;2026-03-15 02:40\n"),
    care(
        "an hour the clocks skip",
        "title;wet since\nBell;2026-03-29 01:30\n",
        more="--site site.toml",
    ),
    cell("a water nobody defined", "water", "the brown sort, and diesel"),
    cell("a state that says too little", "state on arrival", "dry"),
    cell("something done that is not understood", "already done", "a visit by the neighbour"),
    care(
        "a byte that is no letter",
        "title;owner\nBoîte à thé;musée\nMusée:".encode() + b" cl\xe9;mus\xc3\xa9e\n",
    ),
    care("a formula without its result", _workbook(), "list.xlsx"),
    care(
        "JSON: a material there is none of",
        _json('{"title": "Bell", "parts": [{"material": "belltin"}]}'),
        "list.json",
    ),
    care(
        "JSON: a join to one part",
        _json(
            '{"title": "Bell", "parts": [{"id": "p1", "material": "iron"}], '
            '"joins": [{"parts": ["p1", "p9"]}]}'
        ),
        "list.json",
    ),
)

ARGUMENTS = (
    argument("a moment that is none", "--as-of yesterday"),
    argument("a mapping without a column", "--columns Thing"),
    argument("a mapping to no column", '--columns "title=colour"'),
    argument("a mapping of a header that is not there", '--columns "Thing=title"'),
    argument("a tag nobody has", f"--as-of {AS_OF} --show 9999"),
    argument("a site file that is not there", "--site nowhere.toml"),
    argument("a site file with a slip", "--site site2.toml", "zone = \n", "site2.toml"),
    argument("a zone there is none of", "--site site2.toml", 'zone = "Ostrey"\n', "site2.toml"),
    argument("air that cannot be", "--site site2.toml", "air_c = 300\n", "site2.toml"),
    Case("no list", "care", "none", b""),
    Case("a command there is none of", "plan good.csv", "none", b""),
    Case("an option there is none of", "care good.csv --fast", "none", b""),
    Case("more helpers than can be", "order good.csv --helpers 900", "none", b""),
    Case("a paper there is none of", "papers good.csv --to papers --only poster", "none", b""),
    Case("papers without a folder", "papers good.csv", "none", b""),
    Case("papers into a file", f"papers good.csv --as-of {AS_OF} --only tags --to good.csv", "none", b""),
    Case("the demo into a folder in use", "demo --to .", "none", b""),
    Case("a kind of knowledge there is none of", "knowledge list wisdom", "none", b""),
    Case("an entry there is none of", "knowledge show belltin", "none", b""),
)

ROOM = "--room-c 12 --room-rh 60"
OAK = f"--kind oak --thickness-mm 25 {ROOM}"
SHARED = "--shared-room-m3 180 --air-changes 0.3 --outside 11,92%"


def dry(what: str, more: str) -> Case:
    """A question to ``dry``, without a list."""
    return Case(what, f"dry {more}".strip(), "none", b"")


DRYING = (
    dry("neither a list nor a kind", ""),
    dry("no room", "--kind oak --thickness-mm 25"),
    dry("no thickness", f"--kind oak {ROOM}"),
    dry("a thickness of 0", f"--kind oak --thickness-mm 0 {ROOM}"),
    dry("a thickness that is no number", f"--kind oak --thickness-mm nan {ROOM}"),
    dry("a kind with a slip", f"--kind mahogeny --thickness-mm 25 {ROOM}"),
    dry("a kind that takes up no water", f"--kind iron --thickness-mm 25 {ROOM}"),
    dry("waterlogged wood", f'--kind "waterlogged oak" --thickness-mm 25 {ROOM}'),
    dry("two materials", f'--kind "bronze and iron" --thickness-mm 25 {ROOM}'),
    dry("thickness and diameter", f"{OAK} --diameter-mm 20"),
    dry("a width less than the thickness", f"{OAK} --width-mm 20"),
    dry("lighter wet than dry", f"{OAK} --wet-mass-g 5 --dry-mass-g 9"),
    dry("weight and moisture", f"{OAK} --wet-mass-g 5 --moisture-percent 9"),
    dry("a humidity there is none of", "--kind oak --thickness-mm 25 --room-c 12 --room-rh 120"),
    dry("a thickness with its unit", f"--kind oak --thickness-mm 25mm {ROOM}"),
    dry("a room with frost", "--kind oak --thickness-mm 25 --room-c -1 --room-rh 60"),
    dry("a room too warm", "--kind oak --thickness-mm 25 --room-c 45 --room-rh 60"),
    dry("a room said twice", f"{OAK} --room 72,9,70%"),
    dry("half a stretch of a room", "--kind oak --thickness-mm 25 --room 72,9"),
    dry("stretches back to front", "--kind oak --thickness-mm 25 --room 72,9,70% --room 24,9,70%"),
    dry("no days", f"{OAK} --days 0"),
    dry("too many days", f"{OAK} --days 10000"),
    dry("one member", f"{OAK} --members 1"),
    dry("a cover there is none of", f"{OAK} --cover blanket"),
    dry("a gap without a cover", f"{OAK} --gap hole,6,side,4"),
    dry("a gap without its count", f"{OAK} --cover pe_50 --gap hole,6,side"),
    dry("a change of a cover at no hour", f"{OAK} --cover pe_50 --then soon,off"),
    dry("changes of a cover out of order", f"{OAK} --cover pe_50 --then 72,shut --then 24,off"),
    dry("a cover changed after it is off", f"{OAK} --cover pe_50 --then 24,off --then 72,shut"),
    dry("gaps larger than their sheet", f"{OAK} --cover pe_50 --sheet-area-m2 0.1 --gap hole,400,top,1"),
    dry("a chart that is no SVG", f"{OAK} --chart oak.png"),
    Case("a thickness beside a list", f"dry good.csv --thickness-mm 25 {ROOM}", "none", b""),
    dry("only the measured of no list", f"{OAK} --measured-only"),
    dry("air changes of no room", f"{OAK} --air-changes 0.3"),
    dry("a shared room without its air changes", f"{OAK} --shared-room-m3 180 --outside 11,92%"),
    dry("a shared room without the air outside", f"{OAK} --shared-room-m3 180 --air-changes 0.3"),
    dry("half of the air outside", f"{OAK} --shared-room-m3 180 --air-changes 0.3 --outside 11"),
    dry(
        "outside air back to front",
        f"{OAK} --shared-room-m3 180 --air-changes 0.3 --outside 72,11,92% --outside 24,4,70%",
    ),
    dry("outside air beyond all weather", f"{OAK} --shared-room-m3 180 --air-changes 0.3 --outside 60,20%"),
    dry(
        "a shared room that changes by itself",
        f"--kind oak --thickness-mm 25 --room 72,9,70% {SHARED}",
    ),
    dry("a shared room of no size", f"{OAK} --shared-room-m3 0 --air-changes 0.3 --outside 11,92%"),
    dry("a humidistat without its machine", f"{OAK} {SHARED} --humidistat-rh 55"),
    dry(
        "a machine rated in frost",
        f"{OAK} {SHARED} --dehumidifier-l-per-day 20 --dehumidifier-rated-at -5,80%",
    ),
    dry(
        "a machine in a room that all but freezes",
        f"--kind oak --thickness-mm 25 --room-c 0.5 --room-rh 80 {SHARED} --dehumidifier-l-per-day 20",
    ),
    Case("a tag nobody has", f"dry good.csv --as-of {AS_OF} --show 9999 {ROOM}", "none", b""),
    Case(
        "a list with a dry weight above the wet one",
        f"dry list.csv --as-of {AS_OF} {ROOM}",
        content="title;materials;weight;dry weight\nFluke;iron;700;900\n",
    ),
)

OVERRIDES = (
    argument("not TOML", f"--as-of {AS_OF} --overrides ours.toml", "rinse = yes\n", "ours.toml"),
    argument("another table", f"--as-of {AS_OF} --overrides ours.toml", "[[rule]]\nid = 'x'\n", "ours.toml"),
    override("a rule there is none of", "act.rinse.belltin", '{ verdict = "no" }'),
    override("a stop", "hz.mercury", '{ say = "Carry on." }'),
    override("a field that makes the rule what it is", "material.iron", '{ family = "wood" }'),
    override("a field there is none of", "material.iron", '{ colour = "red" }'),
    override("a value that does not fit", "material.iron", '{ start_by_h = "soon" }'),
    override("a reason of one word", "material.iron", "{ aim_h = 1.0 }", "because"),
)

KNOWLEDGE = (
    knowledge("nothing in it", "# to be written\n"),
    knowledge("a table there is none of", "[[recipe]]\nkey = 'soap'\n"),
    knowledge("read, but no source", RULE.format("v", '{ materials = ["iron"] }', "")),
    knowledge(
        "a source that is not in the list",
        RULE.format("m", '{ materials = ["iron"] }', '[[verdict.source]]\nkey = "S999"\nat = "somewhere"'),
    ),
    knowledge("a material there is none of", RULE.format("c", '{ materials = ["belltin"] }', "")),
    knowledge("a condition that says nothing", RULE.format("c", "{}", "")),
    knowledge(
        "a stop without anybody to call",
        '[[hazard]]\nid = "hz.try_out"\nhazard = "try_out"\ngrade = "stop"\nsay = "Stay back."\n'
        'why = "Tried out."\nconfidence = "c"\nwhen = { materials = ["iron"] }\n',
    ),
)

GROUPS: tuple[tuple[str, str, tuple[Case, ...]], ...] = (
    ("Files", "Nothing is read; exit code 2, or 1 where there is a list but no row.", FILES),
    ("Rows", "Everything else in the list is read. What cannot be used is kept as it was typed.", ROWS),
    ("Cells", "The cell is taken as unknown, or as far as it was understood; the row goes on.", CELLS),
    ("Arguments and the site file", "Nothing is done.", ARGUMENTS),
    ("Drying forecasts", "Nothing is reckoned, but for a list, whose other cells count.", DRYING),
    ("Overrides", "Nothing is done: an override that cannot be used is never left out silently.", OVERRIDES),
    ("Knowledge files, given to `knowledge check`", "Every fault of the file is named.", KNOWLEDGE),
)


def said(ran: Ran) -> str:
    """What a run said about the input: its faults alone, without the table and the counts."""
    lines = [line.strip() for line in ran.err.splitlines() if line.strip()]
    notes = [line for line in lines if line.startswith("note:")]
    faults = [line for line in lines if line.startswith("problem:")] or notes
    usual = ("Usage:", "Try ")
    return "\n".join(faults or [line for line in lines if not line.startswith(usual)])


def given(case: Case, folder: Path) -> Ran:
    """Give a case to the program in a folder of its own."""
    (folder / "good.csv").write_text("title;materials\nBait pot;earthenware\n", encoding="utf-8")
    (folder / "site.toml").write_text(SITE, encoding="utf-8")
    if case.name != "none":
        content = case.content.encode() if isinstance(case.content, str) else case.content
        (folder / case.name).write_bytes(content)
    return run(shlex.split(case.command), folder)


def results(tell: Callable[[str], None] = lambda _: None) -> list[tuple[str, str, list[tuple[Case, Ran]]]]:
    """Every case run; raises ValueError for one that says nothing, is taken as good, or is not caught."""
    found = []
    for title, intro, cases in GROUPS:
        rows = []
        for case in cases:
            tell(case.what)
            with tempfile.TemporaryDirectory() as name:
                ran = given(case, Path(name).resolve())
            if ran.trouble or not said(ran) or (ran.code == 0 and "note:" not in ran.err):
                raise ValueError(
                    f"bad input '{case.what}': exit {ran.code}, said '{said(ran)}' {ran.trouble}"
                )
            rows.append((case, ran))
        found.append((title, intro, rows))
    return found


def bad_input_page() -> str:
    """docs/bad-input.md."""
    held = results()
    count = sum(len(rows) for _, _, rows in held)
    blocks = [
        f"{count} bad inputs, each given to the program when this page was made, with the message it "
        "printed and its "
        "exit code. A *note* tells what was done and is no fault. [Lists](lists.md) says what a good "
        "list looks like."
    ]
    for title, intro, rows in held:
        made = ((case.what, raw(_message(said(ran))), ran.code) for case, ran in rows)
        blocks.append(f"## {title}\n\n{intro}\n\n" + table(("given", "the message", "exit"), made))
    return page("Bad input, and what is said about it", *blocks)


def _message(text: str) -> str:
    return "<br>".join(line.replace("<", "&lt;") for line in text.splitlines())
