"""A day's work at the tables, on phones over plain http, as the people of the demo do it."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pypdf
import pytest
from playwright.sync_api import Page, expect

from all_pages import INCIDENT
from intake_walk import MOST_KEYSTROKES, MOST_TOUCHES, THINGS, Hand, Thing, fill, photograph_of, take_in
from tests.browser.conftest import Pages
from walks import COUNTS, page_with

AT = f"/{INCIDENT}"
REASON = "Seen on the bench by daylight: it holds together and has no finish to lose."


def json_of(page: Page, path: str) -> dict[str, Any]:
    """The JSON of a page."""
    answer = page.request.get(path)
    assert answer.ok
    return dict(answer.json())


def open_details(page: Page, words: str) -> None:
    """Open what is folded away."""
    page.locator("summary", has_text=words).first.tap()


def test_five_ordinary_things(pages: Pages, writing: str, tmp_path: Path) -> None:
    """Each is in with its photograph, plan and tag; none asks more of a wet glove than is allowed."""
    page = pages.open(writing, "helper1", fresh=True)
    page.get_by_role("link", name=re.compile(INCIDENT)).last.tap()
    counted = [take_in(page, thing, photograph_of(thing, tmp_path)) for thing in THINGS]
    assert max(one.touches for one in counted) <= MOST_TOUCHES
    assert max(one.keystrokes for one in counted) <= MOST_KEYSTROKES
    assert page_with(counted) == COUNTS.read_text(encoding="utf-8"), "run python tools/walks.py"
    assert len({one.tag for one in counted}) == len(THINGS)
    for one in counted:
        page.goto(f"{AT}/things/{one.tag}/")
        expect(page.locator("h2.thing-do")).to_contain_text(re.compile("Now|Next"))
        expect(page.locator(".pictures img")).to_have_count(1)
    assert json_of(page, f"{AT}/things/{counted[-1].tag}/taken.json")["claimed"]


def test_two_helpers_at_one_time(pages: Pages, writing: str, tmp_path: Path) -> None:
    """Both were shown the same free tag; the later one is told, keeps what was typed, gets the next one."""
    both = pages.open(writing, "helper2", fresh=True), pages.open(writing, "helper3", fresh=True)
    thing = Thing("Deadeye", typed="elm")
    photograph = photograph_of(thing, tmp_path)
    for page in both:
        page.goto(f"{AT}/take-in/")
    shown = [page.locator("#f-tag").input_value() for page in both]
    assert shown[0] == shown[1]
    for page in both:
        fill(Hand(page), thing, photograph)
    for page in both:
        page.get_by_role("button", name="Take it in").tap(no_wait_after=True)
    for page in both:
        expect(page.locator("h1.tag-huge, #wrong-tag")).to_be_visible()
    late = [page for page in both if page.locator("#wrong-tag").count()]
    assert len(late) == 1
    pages.expect(late[0], 422, f"{AT}/take-in/")
    _sent_once_more(late[0], thing)


def _sent_once_more(page: Page, thing: Thing) -> None:
    """The form that came back holds all but the tag, and a free one stands in its field."""
    expect(page.get_by_text("The photograph is kept")).to_be_visible()
    expect(page.locator("#f-materials")).to_have_value(thing.typed)
    offered = page.locator("#f-tag").input_value()
    page.get_by_role("button", name="Take it in").tap()
    page.wait_for_url(f"**/things/{offered}/taken/")
    expect(page.get_by_text("1 photograph is kept.")).to_be_visible()


def test_looking_over_changes_the_plan(pages: Pages, writing: str) -> None:
    """A helper answers the question that matters most; the page says what changed."""
    page = pages.open(writing, "helper1")
    page.goto(f"{AT}/things/0096/")
    page.get_by_role("link", name="Look it over").tap()
    asked = page.locator("section.first h2").inner_text()
    page.locator("section.first").get_by_role("button", name="Bare", exact=True).tap()
    changed = page.locator("#changed")
    expect(changed.locator("h2")).to_have_text(re.compile(r"What changed from plan 1 to plan 2"))
    assert changed.locator("li").count() > 0
    assert asked not in page.locator("h2.thing-do, summary").all_inner_texts()
    assert json_of(page, f"{AT}/things/0096.json")["plan_no"] == 2


def test_one_rule_is_overruled_with_a_reason(pages: Pages, writing: str) -> None:
    """The lead overrules what the plan says of blotting one thing; too short a reason is not taken."""
    page = pages.open(writing, "lead")
    at = f"{AT}/things/0020/overrule/"
    row = next(
        one for one in json_of(page, f"{at[:-1]}.json")["rows"] if one["verdict"] in ("careful", "refer")
    )
    page.goto(at)
    page.locator("a.slab", has=page.locator(f"b:text-is('{row['word'].capitalize()}')")).first.tap()
    page.wait_for_url("**?about=*")
    form = page.locator("form", has=page.locator("#reason"))
    for rule in form.locator("input[name=target]").all():
        rule.check()
    form.get_by_label("yes", exact=True).tap()
    form.locator("#reason").fill(REASON)
    form.get_by_role("button", name="Overrule and make the plan anew").tap()
    expect(page.locator("main > .told")).to_have_text("Overruled, and a new plan was made.")
    expect(page.locator("#changed")).to_contain_text("Overruled:")
    page.goto(f"{AT}/overrides/")
    expect(page.locator(".slab", has_text=REASON).first).to_contain_text("In force.")


def test_a_stop_is_not_overruled(pages: Pages, writing: str) -> None:
    """The page offers none; a form that names one all the same is refused in a sentence; the stop stands."""
    page = pages.open(writing, "lead")
    at = f"{AT}/things/0003/overrule/"
    page.goto(f"{at}?about=rinse")
    expect(page.locator("#release")).to_contain_text("A stop is not overruled.")
    targets = page.locator("form input[name=target]")
    assert targets.count() > 0
    assert not any(one.input_value().startswith("hz.") for one in targets.all())
    targets.first.evaluate("box => { box.value = 'hz.mercury_inside'; }")
    targets.first.check()
    form = page.locator("form", has=page.locator("#reason"))
    form.get_by_label("yes", exact=True).tap()
    form.locator("#reason").fill(REASON)
    pages.expect(page, 409, at)
    form.get_by_role("button", name="Overrule and make the plan anew").tap()
    refusal = page.get_by_role("alert")
    expect(refusal).to_contain_text("Not done.")
    expect(refusal).to_contain_text("a hazard, stop or caution cannot be overridden")
    expect(page.locator("#reason")).to_have_value(REASON)
    page.goto(f"{AT}/things/0003/")
    expect(page.get_by_role("heading", name=re.compile("STOP: "))).to_be_visible()


def test_a_helper_cannot_overrule(pages: Pages, writing: str) -> None:
    """Nor sees a way to it."""
    page = pages.open(writing, "helper1")
    page.goto(f"{AT}/things/0020/")
    expect(page.get_by_role("link", name="Overrule")).to_have_count(0)
    pages.expect(page, 403, f"{AT}/things/0020/overrule/")
    page.goto(f"{AT}/things/0020/overrule/")
    expect(page.locator("main")).to_contain_text("A helper does not see this page.")


def _largest(page: Page) -> dict[str, Any]:
    groups: list[dict[str, Any]] = json_of(page, f"{AT}/referrals.json")["groups"]
    return max(groups, key=lambda one: len(one["things"]))


def _one_more(page: Page, tmp_path: Path) -> None:
    """Take in an oak thing and note how long it is: nobody is to lift it alone then."""
    page.goto(f"{AT}/")
    thing = Thing("Spar", typed="oak")
    taken = take_in(page, thing, photograph_of(thing, tmp_path))
    page.goto(f"{AT}/things/{taken.tag}/look/")
    open_details(page, "The whole thing")
    page.locator("#size-length_mm").fill("2400")
    page.get_by_role("button", name="I saw this", exact=True).tap()
    expect(page.locator("#changed h2")).to_contain_text("from plan 1 to plan 2")


def test_ten_referrals_are_answered_at_once(pages: Pages, writing: str, tmp_path: Path) -> None:
    """One answer of the lead for ten things; each has it in its own record, none of them waits any more."""
    helper, lead = pages.open(writing, "helper1"), pages.open(writing, "lead")
    for _try in range(12):
        if len(_largest(lead)["things"]) >= 10:
            break
        _one_more(helper, tmp_path)
    group = _largest(lead)
    tags = [one["tag"] for one in group["things"]]
    assert len(tags) >= 10
    lead.goto(f"{AT}/referrals/")
    section = lead.locator("section.ask", has=lead.locator(f"input[name=group][value='{group['n']}']"))
    section.locator("summary").tap()
    for tag in tags[10:]:
        section.locator(f"input[name=tag][value='{tag}']").uncheck()
    section.get_by_label("carefully", exact=True).tap()
    section.get_by_label("How, or what is done instead").fill("Two people and a board under it.")
    section.get_by_label("Reason, ten characters").fill(REASON)
    section.get_by_role("button", name="Answer for all that are ticked").tap()
    expect(lead.locator("main .told")).to_contain_text("10 answered.")
    waiting = {
        one["tag"]
        for one_group in json_of(lead, f"{AT}/referrals.json")["groups"]
        if one_group["action"] == group["action"]
        for one in one_group["things"]
    }
    assert not waiting & set(tags[:10])
    helper.goto(f"{AT}/things/{tags[0]}/history/")
    expect(helper.locator(".thing-acts")).to_contain_text(REASON)


def test_two_tags_become_one_thing(pages: Pages, writing: str) -> None:
    """The assistant joins them; the old tag leads to the thing that stays."""
    page = pages.open(writing, "assistant")
    page.goto(f"{AT}/tags/")
    page.get_by_label("Tag that stays").fill("0126")
    page.get_by_label("Tag that leads to it").fill("0127")
    page.get_by_label("Why they are one thing").fill("The weights hang on this scale's own hooks.")
    page.get_by_role("button", name="Join them").tap()
    expect(page.locator("main > .told")).to_be_visible()
    page.goto(f"{AT}/things/0127/")
    expect(page.locator("main")).to_contain_text("0127 was merged into 0126. This is 0126.")
    page.goto(f"{AT}/find/?q=0127")
    expect(page.locator("#found")).to_contain_text("once 0127")


def test_a_tray_card_is_printed(pages: Pages, writing: str, tmp_path: Path) -> None:
    """From the tray's page in three touches: a PDF comes, it tells of every thing on the tray."""
    page = pages.open(writing, "helper4")
    trays: list[dict[str, str]] = json_of(page, f"{AT}/trays.json")["trays"]
    page.goto(f"{AT}/trays/{trays[0]['uid']}/")
    tags = [one["tag"] for one in json_of(page, f"{AT}/trays/{trays[0]['uid']}.json")["things"]]
    assert len(tags) > 1
    page.get_by_role("link", name="Print its card").tap()
    page.wait_for_url("**/papers/**")
    expect(page.get_by_label("Tray cards")).to_be_checked()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Print", exact=True).tap()
    file = tmp_path / "card.pdf"
    waiting.value.save_as(file)
    assert re.fullmatch(rf"{INCIDENT}-tray-card-\d{{8}}-\d{{4}}\.pdf", waiting.value.suggested_filename)
    data = file.read_bytes()
    assert data.startswith(b"%PDF-")
    text = "".join(side.extract_text() for side in pypdf.PdfReader(io.BytesIO(data)).pages)
    assert [tag for tag in tags if tag not in text] == []


def test_a_wrong_password_is_told_in_a_sentence(pages: Pages, writing: str) -> None:
    """And the name stays in its field."""
    page = pages.open(writing)
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("helper5")
    page.get_by_label("Password").fill("not this one")
    pages.expect(page, 403, "/sign-in/")
    page.get_by_role("button", name="Sign in").tap()
    expect(page.get_by_role("alert")).to_be_visible()
    expect(page.get_by_label("Name")).to_have_value("helper5")


@pytest.mark.parametrize("path", ["/", f"{AT}/", f"{AT}/things/0042/"])
def test_nobody_is_let_in_without_a_log_in(pages: Pages, writing: str, path: str) -> None:
    """Every page leads to the sign-in."""
    page = pages.open(writing)
    page.goto(path)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
