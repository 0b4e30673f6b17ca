"""Lists that are odd but usable: tags that are no numbers, totals, the same number twice, words unread."""

from __future__ import annotations

from pathlib import Path

import pytest

from strandline.knowledge.base import shipped
from strandline.papers.registry import PAPERS
from strandline.pipeline.ordering import STATIONS
from strandline.services.given import STATION_ORDER
from tests.cli.run import AS_OF, care_json, demo_file, run
from tests.papers import looking


def the_list(folder: Path, text: str) -> Path:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return path


ODD_TAGS = ["A12", "TOTAL", "12345678901", "999999999", "\u0663\u0664"]


@pytest.mark.parametrize("tag", ODD_TAGS)
def test_a_tag_that_is_no_number_of_ours_breaks_no_paper(tag: str, tmp_path: Path) -> None:
    listed = the_list(tmp_path, f"tag,title,materials\n{tag},Axe head,iron\n0002,Jar,stoneware\n")
    result = run("papers", listed, "--as-of", AS_OF, "--to", tmp_path / "out")
    assert result.exit_code in {0, 1}, result.output
    assert len(list((tmp_path / "out").glob("*.pdf"))) == len(PAPERS)


@pytest.mark.parametrize("tag", ["../../x", "..", "a:b", "<b>", "seventeen letters", "-"])
def test_what_cannot_be_a_tag_is_kept_and_a_new_one_allotted(tag: str, tmp_path: Path) -> None:
    listed = the_list(tmp_path, f"tag,title,materials\n0007,Jar,stoneware\n{tag},Axe head,iron\n")
    document = care_json(listed, "--as-of", AS_OF)
    assert [one["tag"] for one in document["objects"]] == ["0007", "0008"]
    assert document["objects"][1]["kept"]["tag"] == tag
    (note,) = document["problems"]
    assert (note["row"], note["value"]) == (3, tag)
    assert "0008 was allotted" in note["reason"]
    assert "note: row 3, tag: " in run("care", listed, "--as-of", AS_OF).stderr


def test_whatever_a_paper_stumbles_over_is_one_sentence_with_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumbles(*_: object) -> None:
        raise ValueError("an hour nobody knows")

    monkeypatch.setitem(PAPERS, "sign_in", ("a paper", stumbles))
    listed = the_list(tmp_path, "tag,title\n0001,Jar\n")
    result = run("papers", listed, "--to", tmp_path / "out", "--only", "sign_in")
    assert result.exit_code == 2
    assert "sign_in cannot be made: an hour nobody knows" in result.stderr


def test_show_finds_a_tag_without_its_noughts(tmp_path: Path) -> None:
    listed = the_list(tmp_path, "tag,title,materials\n0001,Axe head,iron\n0011,Jar,stoneware\n")
    shown = run("care", listed, "--as-of", AS_OF, "--show", "1").stdout
    assert shown.startswith("0001  Axe head")
    assert "0011" not in shown


@pytest.mark.parametrize(
    ("title", "materials", "looks"),
    [
        ("TOTAL", "", True),
        ("", "Summe:", True),
        ("Gesamt", "gesamt", True),
        ("Total", "oak", False),
        ("Sumac box", "oak", False),
    ],
)
def test_a_total_is_kept_and_told(title: str, materials: str, looks: bool, tmp_path: Path) -> None:
    listed = the_list(tmp_path, f"tag,title,materials\n0001,Axe head,iron\n0002,{title},{materials}\n")
    document = care_json(listed, "--as-of", AS_OF)
    assert len(document["objects"]) == 2
    told = [one["row"] for one in document["problems"] if "looks like a total" in one["reason"]]
    assert told == ([3] if looks else [])
    said = run("care", listed, "--as-of", AS_OF).stderr
    assert ("looks like a total, not an object" in said) == looks
    assert "problem: row" not in said


def test_an_owners_number_that_stands_twice_is_told(tmp_path: Path) -> None:
    text = (
        "tag,owner number,title\n0001,1987.14,Jar\n0002,1987.15,Jug\n0003,1987.14,Lid\n0004,,Cup\n0005,,Pot\n"
    )
    document = care_json(the_list(tmp_path, text), "--as-of", AS_OF)
    (note,) = document["problems"]
    assert (note["row"], note["column"], note["value"]) == (4, "owner_number", "1987.14")
    assert "row 2" in note["reason"]


def test_the_table_ends_with_how_much_was_not_read(tmp_path: Path) -> None:
    text = "tag,title,materials\n0001,Zorblat axe,iron\n0002,Jar,stoneware\n0003,Frumious quaxle,oak\n"
    listed = the_list(tmp_path, text)
    document = care_json(listed, "--as-of", AS_OF)
    unread = [len(one["unread"]) for one in document["objects"]]
    words, objects = sum(unread), sum(map(bool, unread))
    assert words >= 3
    assert objects == 2
    shown = run("care", listed, "--as-of", AS_OF).stdout.splitlines()
    assert shown[-2] == f"{words} words unread in {objects} objects; --json lists them"
    bare = the_list(tmp_path, "tag,title,materials\n0002,Jar,stoneware\n")
    assert "unread" not in run("care", bare, "--as-of", AS_OF).stdout


def test_the_order_says_where_a_title_is_wanting(tmp_path: Path) -> None:
    result = run("order", the_list(tmp_path, "tag,materials\n0001,iron\n"), "--as-of", AS_OF)
    assert "(no title)" in result.stdout


def test_the_briefing_holds_all_of_the_site_and_every_caution(tmp_path: Path) -> None:
    """Hazards of the site file, stops first; releases not given; and no caution is cut."""
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    common = (listed, "--site", site, "--as-of", AS_OF)
    run("papers", *common, "--to", tmp_path / "out", "--only", "site_briefing")
    page = looking.text((tmp_path / "out" / "site-briefing.pdf").read_bytes())
    assert page.index("STOP: Boathouse power stays off") < page.index("The drains came up with the tide")
    assert "boathouse Electricity. Not yet released. Needs: an electrician" in page
    assert "boathouse Structure. Not yet released. Needs: the lead conservator" in page
    assert page.count("\u2022") == len(_cautions()) > 30
    for say in _cautions():
        assert say in page


def _cautions() -> list[str]:
    return [" ".join(one.say.split()) for one in shipped().cautions]


def test_day_sheets_lie_in_the_order_a_thing_goes(tmp_path: Path) -> None:
    """Where it stands, bench, rinse, drain, dry, hold, records; every station has its place."""
    assert set(STATION_ORDER) == {station.key for station in STATIONS}
    listed, site = demo_file("list.csv", tmp_path), demo_file("site.toml", tmp_path)
    run("papers", listed, "--site", site, "--as-of", AS_OF, "--to", tmp_path / "out", "--only", "day_sheet")
    pages = looking.pages((tmp_path / "out" / "day-sheet.pdf").read_bytes())
    names = [key.replace("_", " ") for key in STATION_ORDER]
    firsts = [page for page in pages if "first half-shift" in page]
    places = [next(n for n, name in enumerate(names) if page.startswith(name)) for page in firsts]
    assert len(set(places)) > 2
    assert places == sorted(places)


def test_owner_advice_knows_the_water_of_the_site(tmp_path: Path) -> None:
    listed, site = demo_file("first12.csv", tmp_path), tmp_path / "s.toml"
    for water, leads in (("sewage", True), ("river", False)):
        site.write_text(f'water = "{water}"\n', encoding="utf-8")
        run("papers", listed, "--site", site, "--to", tmp_path / "out", "--only", "owner_advice")
        page = looking.text((tmp_path / "out" / "owner-advice.pdf").read_bytes())
        assert (page.index("Stop. Leave it") < page.index("DO NOT")) == leads
