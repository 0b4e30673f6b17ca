"""Bad files, rows and arguments: one clear sentence, the right exit code, nothing lost, no traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.run import AS_OF, care_json, run

GOOD = "tag,title,materials\n0001,Axe head,iron\n"


def the_list(folder: Path, text: str = GOOD, name: str = "list.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


UNUSABLE = [
    ("a list that is not there", lambda d: ["care", d / "none.csv"], "none.csv"),
    ("a folder", lambda d: ["care", d], "folder"),
    ("an empty file", lambda d: ["care", the_list(d, "")], "empty"),
    ("no header known", lambda d: ["care", the_list(d, "a,b\n1,2\n")], "column"),
    ("a picture", lambda d: ["care", _bytes(d, b"\x89PNG\r\n\x1a\n" + bytes(200))], "list"),
    ("broken JSON", lambda d: ["care", the_list(d, '{"schema": ', "list.json")], "JSON"),
    (
        "JSON of another kind",
        lambda d: ["care", the_list(d, '{"schema": "other/1"}', "list.json")],
        "strandline.list/1",
    ),
    ("a bad moment", lambda d: ["care", the_list(d), "--as-of", "yesterday"], "yesterday"),
    ("a bad column map", lambda d: ["care", the_list(d), "--columns", "nonsense"], "HEADER=COLUMN"),
    ("a map to no column", lambda d: ["care", the_list(d), "--columns", "title=colour"], "colour"),
    ("a map from no header", lambda d: ["care", the_list(d), "--columns", "Nowhere=title"], "Nowhere"),
    (
        "a site file that is not there",
        lambda d: ["care", the_list(d), "--site", d / "site.toml"],
        "site.toml",
    ),
    (
        "a site file that is no TOML",
        lambda d: ["care", the_list(d), "--site", the_list(d, "x =", "s.toml")],
        "TOML",
    ),
    (
        "a zone nobody knows",
        lambda d: ["care", the_list(d), "--site", the_list(d, 'zone = "Atlantis"', "s.toml")],
        "Atlantis",
    ),
    (
        "air that is no temperature",
        lambda d: ["care", the_list(d), "--site", the_list(d, "air_c = 400", "s.toml")],
        "air_c",
    ),
    (
        "water nobody knows",
        lambda d: ["care", the_list(d), "--site", the_list(d, 'water = "soup"', "s.toml")],
        "soup",
    ),
    (
        "overrides that are no TOML",
        lambda d: ["care", the_list(d), "--overrides", the_list(d, "[[", "o.toml")],
        "TOML",
    ),
    (
        "an override of nothing",
        lambda d: ["care", the_list(d), "--overrides", _override(d, "act.no.rule")],
        "act.no.rule",
    ),
    ("a tag that is not there", lambda d: ["care", the_list(d), "--show", "4711"], "4711"),
    (
        "a paper nobody makes",
        lambda d: ["papers", the_list(d), "--to", d / "out", "--only", "poster"],
        "poster",
    ),
    (
        "a folder that is a file",
        lambda d: ["papers", the_list(d), "--to", the_list(d, "x", "f"), "--only", "sign_in"],
        "written",
    ),
    ("a crew of minus one", lambda d: ["order", the_list(d), "--helpers", "-1"], "helpers"),
    ("a shift that is no number", lambda d: ["order", the_list(d), "--hours", "nan"], "hours"),
    (
        "nobody at work",
        lambda d: ["order", the_list(d), "--conservators", "0", "--helpers", "0"],
        "nobody is at work",
    ),
    (
        "papers with nobody at work",
        lambda d: ["papers", the_list(d), "--to", d / "out", "--site", _crew(d, "0")],
        "nobody is at work",
    ),
    (
        "a crew that is no number",
        lambda d: ["papers", the_list(d), "--to", d / "out", "--site", _crew(d, '"many"')],
        "whole number",
    ),
    ("papers below a device", lambda d: ["papers", the_list(d), "--to", "/dev/null/x"], "written"),
    ("a demo below a device", lambda d: ["demo", "--to", "/dev/null/x"], "written"),
    ("a demo into a file", lambda d: ["demo", "--to", the_list(d)], "name another folder"),
    (
        "hazards of the site that are no tables",
        lambda d: [
            *("papers", the_list(d), "--to", d / "out", "--only", "site_briefing"),
            *("--site", the_list(d, 'hazards = "x"', "s.toml")),
        ],
        "[[hazards]]",
    ),
    (
        "a release without what",
        lambda d: [
            *("papers", the_list(d), "--to", d / "out", "--only", "site_briefing"),
            *("--site", the_list(d, '[[releases]]\nneeds = "somebody"', "s.toml")),
        ],
        "'what'",
    ),
    ("a shift of no hours", lambda d: ["order", the_list(d), "--hours", "0"], "hours"),
    ("a demo into a full folder", lambda d: ["demo", "--to", the_list(d).parent], "not empty"),
    ("a kind of knowledge nobody has", lambda d: ["knowledge", "list", "spells"], "spells"),
    ("an entry nobody wrote", lambda d: ["knowledge", "show", "act.fly.iron"], "act.fly.iron"),
    ("a knowledge file that is not there", lambda d: ["knowledge", "check", d / "k.toml"], "k.toml"),
    ("a command nobody has", lambda d: ["conserve", the_list(d)], "conserve"),
]


def _bytes(folder: Path, data: bytes) -> Path:
    path = folder / "list.csv"
    path.write_bytes(data)
    return path


def _crew(folder: Path, number: str) -> Path:
    roles = ("lead_conservator", "assistant_conservator", "helpers")
    return the_list(folder, "[[crew]]\n" + "".join(f"{role} = {number}\n" for role in roles), "s.toml")


def _override(folder: Path, target: str) -> Path:
    text = (
        f'[[override]]\ntarget = "{target}"\nset = {{ verdict = "yes" }}\n'
        'reason = "tried it on site"\nperson = "lead conservator"\nat = "2026-03-15"\n'
    )
    return the_list(folder, text, "o.toml")


@pytest.mark.parametrize(("what", "make", "names"), UNUSABLE, ids=[row[0] for row in UNUSABLE])
def test_what_cannot_be_used_is_refused_in_a_sentence(
    what: str, make: object, names: str, tmp_path: Path
) -> None:
    assert callable(make)
    result = run(*make(tmp_path))
    assert result.exit_code == 2, what
    assert names in result.stderr
    assert "Traceback" not in result.output
    assert result.stdout == ""


BAD_ROWS = [
    ("hours_wet", "soon", "number or a date"),
    ("height_mm", "tall", "length"),
    ("mass_g", "heavy", "mass"),
    ("significance", "9", "1 to 5"),
    ("wet_since", "the night before", "date"),
    ("water", "soup", "one or more of"),
    ("wet_state", "sad", "one of"),
    ("done_already", "blessed", "one or more of"),
    ("pieces", "some of them", "whole number"),
    ("length_mm", "2-3", "range"),
]


@pytest.mark.parametrize(("column", "value", "reason"), BAD_ROWS)
def test_a_bad_cell_is_named_and_kept_and_the_rest_goes_on(
    column: str, value: str, reason: str, tmp_path: Path
) -> None:
    text = f"tag,title,materials,{column}\n0001,Axe head,iron,{value}\n0002,Jar,stoneware,\n"
    document = care_json(the_list(tmp_path, text), "--as-of", AS_OF)
    assert [one["tag"] for one in document["objects"]] == ["0001", "0002"]
    (problem,) = [one for one in document["problems"] if not one.get("note")]
    assert (problem["row"], problem["column"], problem["value"]) == (2, column, value)
    assert reason in problem["reason"]
    assert document["objects"][0]["kept"][column] == value


def test_a_row_that_names_nothing_is_rejected_and_named(tmp_path: Path) -> None:
    text = "tag,title,materials,place\n0001,Axe head,iron,quay\n,,,quay\n0003,Jar,stoneware,quay\n"
    document = care_json(the_list(tmp_path, text), "--as-of", AS_OF)
    assert len(document["objects"]) == 2
    assert [one["row"] for one in document["rejected"]] == [3]


def test_a_list_with_nothing_amiss_exits_with_0(tmp_path: Path) -> None:
    result = run("care", the_list(tmp_path, "tag,title,materials\n0001,Jar,glass\n"), "--as-of", AS_OF)
    assert result.exit_code == 0, result.output


def test_a_stop_exits_with_1_and_is_named(tmp_path: Path) -> None:
    result = run("care", the_list(tmp_path, "tag,title\n0001,Signal pistol\n"), "--as-of", AS_OF)
    assert result.exit_code == 1
    assert "0001" in result.stderr


def _verdict(action: str = "rinse", when: str = "{ always = true }", **fields: str) -> str:
    """A verdict entry, whole but for what a test breaks."""
    held = {"verdict": '"yes"', "why": '"because"', "confidence": '"c"', **fields}
    lines = "".join(f"{key} = {value}\n" for key, value in held.items())
    return f'[[verdict]]\nid = "act.{action}.x"\naction = "{action}"\nwhen = {when}\n{lines}'


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("[[material]]\n", "Field required"),
        ('[[spell]]\nkey = "x"\n', "'spell' is not known"),
        ("[[material]\n", "not valid TOML"),
        ("", "holds no entries"),
        (_verdict("fly"), "fly"),
        (_verdict(verdict='"no"'), "needs how"),
        (_verdict(confidence='"v"'), "without a source"),
        (_verdict(when='{ materials = ["moonrock"] }'), "moonrock"),
        (_verdict(when="{ }"), "always = true"),
        (_verdict("wipe", turns_on="true"), "turns_on"),
        (_verdict(colour='"red"'), "colour"),
    ],
)
def test_a_bad_knowledge_file_is_named_entry_by_entry(text: str, reason: str, tmp_path: Path) -> None:
    result = run("knowledge", "check", the_list(tmp_path, text, "more.toml"))
    assert result.exit_code == 1
    assert reason in result.stderr
