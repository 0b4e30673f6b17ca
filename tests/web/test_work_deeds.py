"""Answers for several at once, papers printed, void ones struck out."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from strandline.papers.compile import PaperError
from strandline.papers.registry import PAPERS
from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object, Tray
from strandline.records.models.plans import Override, Paper, PlanSnapshot
from strandline.services.plan import plan
from strandline.services.print_paper import print_paper
from strandline.web import work, work_print
from tests.papers import looking
from tests.records.cast import NOW, incident
from tests.services.doing import by
from tests.web.cast import form, signed_in
from tests.web.work_cast import address, done_with, planned, salty_pot, stopped, the_plan

pytestmark = pytest.mark.django_db

REASON = "soaked out under my eyes"
YES: dict[str, Any] = {
    "group": "1", "action": "rinse", "verdict": "careful", "how": "in still water, one at a time",
    "reason": REASON,
}  # fmt: skip


def answered(client: Client, *tags: str, **more: Any) -> Any:
    """The form of one group, sent."""
    return client.post(address("referrals/"), form("answer", **{**YES, "tag": tags, **more}))


def test_alike_things_stand_together_and_ten_are_answered_with_one_form(client: Client) -> None:
    """Each gets its overrides and its next plan; none waits any more."""
    tags = [salty_pot(f"{n + 1:04d}").tag for n in range(10)]
    stopped()
    signed_in(client, "lead")
    groups = client.get(address("referrals/")).context["look"]["groups"]
    assert [(one["action"], [thing["tag"] for thing in one["things"]]) for one in groups] == [("rinse", tags)]
    assert groups[0]["called"].startswith("Rinse · 10 of")
    assert groups[0]["why"]
    answer = answered(client, *tags)
    assert answer.status_code == 302
    assert set(Override.objects.values_list("object__tag", flat=True)) == set(tags)
    for tag in tags:
        found = the_plan(Object.objects.get(tag=tag))
        assert (found.number, found.result["actions"]["rinse"]["verdict"]) == (2, "careful")
    page = client.get(answer.headers["Location"])
    assert [one["tag"] for one in page.context["look"]["just"]["answered"]] == tags
    assert page.context["look"]["groups"] == []
    assert "10 answered." in page.content.decode()


def test_an_answer_sent_twice_is_given_once(client: Client) -> None:
    """The same form again: no second override, no third plan, and the page tells the same."""
    salty_pot("0001")
    signed_in(client, "lead")
    sent = form("answer", **{**YES, "tag": ["0001"]})
    first, again = (client.post(address("referrals/"), sent) for _ in range(2))
    assert (first.status_code, again.status_code) == (302, 302)
    assert first.headers["Location"] == again.headers["Location"]
    assert PlanSnapshot.objects.count() == 2
    assert Act.objects.filter(kind="answer").count() == 1


def test_an_answer_that_broke_off_is_given_when_it_is_sent_again(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Broken at the second plan: sent again, each has its answer and its next plan, once."""
    tags = [salty_pot(f"{n + 1:04d}").tag for n in range(3)]
    signed_in(client, "lead")
    calls: list[int] = []

    def broken(*args: Any) -> PlanSnapshot:
        calls.append(1)
        if len(calls) == 2:
            raise RuntimeError("cut")
        return plan(*args)

    monkeypatch.setattr(work, "plan", broken)
    sent = form("answer", **{**YES, "tag": tags})
    with pytest.raises(RuntimeError, match="cut"):
        client.post(address("referrals/"), sent)
    for _ in range(2):
        assert client.post(address("referrals/"), sent).status_code == 302
    for tag in tags:
        found = the_plan(Object.objects.get(tag=tag))
        assert (found.number, found.result["actions"]["rinse"]["verdict"]) == (2, "careful")
    assert Act.objects.filter(kind="answer").count() == 3


def test_what_is_not_answered_keeps_no_other_back(client: Client) -> None:
    """The page says for which it is not, and why."""
    salty_pot("0001")
    planned("0002")
    signed_in(client, "lead")
    answer = answered(client, "0001", "0002")
    just = client.get(answer.headers["Location"]).context["look"]["just"]
    assert [one["tag"] for one in just["answered"]] == ["0001"]
    assert [one["tag"] for one in just["refused"]] == ["0002"]
    assert "not referred" in just["refused"][0]["why"]
    assert answered(client, "0002").status_code == 409


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"reason": "short"}, "reason"),
        ({"how": ""}, "how"),
        ({"verdict": "refer"}, "verdict"),
        ({"tag": []}, "tag"),
    ],
)
def test_an_answer_that_lacks_something_comes_back_as_it_was(
    client: Client, more: dict[str, Any], field: str
) -> None:
    """With its sentence; what was typed and ticked stays."""
    for n in range(3):
        salty_pot(f"{n + 1:04d}")
    signed_in(client, "lead")
    answer = answered(client, **{"tag": ["0001", "0003"], **more})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert field in answer.context["errors"]
    assert f'id="wrong-{field}"' in page
    assert more.get("reason", REASON) in page
    if field != "tag":
        assert page.count('name="tag" value="0001" checked') == 1
        assert page.count('name="tag" value="0002" checked') == 0
    assert not Override.objects.exists()


@pytest.mark.parametrize("role", ["conservator", "helper", "viewer"])
def test_only_the_lead_answers(client: Client, role: str) -> None:
    """A conservator reads what waits and finds no form."""
    salty_pot("0001")
    signed_in(client, role)
    assert answered(client, "0001").status_code == 403
    assert not Override.objects.exists()
    if role == "conservator":
        assert 'value="answer"' not in client.get(address("referrals/")).content.decode()


def test_an_answer_for_a_tag_nobody_has_finds_nothing(client: Client) -> None:
    """It is not given for the others either."""
    salty_pot("0001")
    signed_in(client, "lead")
    assert answered(client, "0001", "0099").status_code == 404
    assert not Override.objects.exists()


def printed(client: Client, paper: str, **more: Any) -> Any:
    """A print asked for."""
    return client.post(address("papers/"), form("print", paper=paper, **{"for": "all", **more}))


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_paper_is_made_from_the_record(client: Client, paper: str) -> None:
    """And recorded for the objects it tells of, if it tells of any."""
    tray = Tray.objects.create(incident=incident(), name="A1")
    one = planned("0001", "iron", "metal", wet_since=NOW, out_since=NOW)
    Object.objects.filter(pk=one.pk).update(tray=tray)
    stopped()
    signed_in(client, "helper")
    answer = printed(client, paper)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/pdf"
    assert f"ORNL1-{paper.replace('_', '-')}-" in answer.headers["Content-Disposition"]
    assert looking.pages(answer.content)
    wanted = {
        "care_card": {"0001", "0013"},
        "tray_card": {"0001"},
        "day_sheet": {"0001"},
        "order_sheet": {"0001", "0013"},
    }
    recorded = Paper.objects.filter(kind=paper).values_list("plan__object__tag", flat=True)
    assert sorted(recorded) == sorted(wanted.get(paper, set()))


def test_a_care_card_says_what_the_screen_says(client: Client) -> None:
    """Plan number and short id, and the next step not yet done."""
    one = planned("0042", "iron", "metal", wet_since=NOW, out_since=NOW)
    found = the_plan(one)
    signed_in(client, "lead")
    text = looking.text(printed(client, "care_card", **{"for": "tags", "tags": "0042"}).content)
    assert f"{found.number} · {found.short_id}" in text
    assert found.result["steps"][0]["text"][:40] in text
    done_with(one)
    text = looking.text(printed(client, "care_card").content)
    assert "No step left in this plan" in text


def test_who_answered_stands_on_the_card(client: Client) -> None:
    """By name and role, with the reason."""
    salty_pot("0001")
    signed_in(client, "lead")
    answered(client, "0001")
    text = looking.text(printed(client, "care_card").content)
    assert "lead number 3 of the loft" in text
    assert REASON in text


def test_the_same_print_sent_twice_is_recorded_once(client: Client) -> None:
    """And another paper from the same page is another print."""
    planned("0001")
    signed_in(client, "helper")
    sent = form("print", paper="care_card", **{"for": "all"})
    assert [client.post(address("papers/"), sent).status_code for _ in range(2)] == [200, 200]
    assert Paper.objects.count() == 1
    assert client.post(address("papers/"), {**sent, "paper": "order_sheet"}).status_code == 200
    assert Paper.objects.count() == 2


def test_a_paper_that_cannot_be_made_is_not_recorded(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page says why."""

    def broken(*_given: Any) -> Any:
        raise PaperError("the template is gone")

    monkeypatch.setitem(PAPERS, "care_card", ("a card", broken))
    planned("0001")
    signed_in(client, "helper")
    answer = printed(client, "care_card")
    assert answer.status_code == 409
    assert "Care cards cannot be made: the template is gone" in answer.content.decode()
    assert not Paper.objects.exists()


def test_a_plan_made_while_the_paper_was_made_keeps_it_back(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """For all things on it: nothing of it is recorded but the refusal."""
    planned("0001")
    late = planned("0002")
    what, maker = PAPERS["care_card"]

    def slow(*given: Any) -> Any:
        plan(by(), late)
        return maker(*given)

    monkeypatch.setitem(PAPERS, "care_card", (what, slow))
    signed_in(client, "helper")
    answer = printed(client, "care_card")
    assert answer.status_code == 409
    assert "not the newest" in answer.content.decode()
    assert not Paper.objects.exists()
    assert Refusal.objects.get().object == late


@pytest.mark.parametrize(
    ("paper", "more", "field"),
    [
        ("fairy_tale", {}, "paper"),
        ("care_card", {"for": "some"}, "for"),
        ("care_card", {"for": "tags", "tags": " "}, "tags"),
        ("care_card", {"for": "tags", "tags": "0001, 0099"}, "tags"),
        ("care_card", {"for": "tray", "tray": "no uid"}, "tray"),
    ],
)
def test_a_print_that_lacks_something_comes_back(
    client: Client, paper: str, more: dict[str, Any], field: str
) -> None:
    """With its sentence and what was typed."""
    planned("0001")
    Object.objects.update(tray=Tray.objects.create(incident=incident(), name="A1"))
    signed_in(client, "helper")
    answer = printed(client, paper, **more)
    assert answer.status_code == 422
    assert field in answer.context["errors"]
    assert str(more.get("tags", "")) in answer.content.decode()


def test_too_many_at_once_are_refused(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the number that goes."""
    monkeypatch.setattr(work_print, "MOST_THINGS", 1)
    planned("0001")
    planned("0002")
    signed_in(client, "helper")
    answer = printed(client, "care_card")
    assert (answer.status_code, answer.context["errors"]["for"]) == (
        422, "1 things at most on one print; choose a tray, or tags",
    )  # fmt: skip


def test_a_viewer_prints_nothing(client: Client) -> None:
    """Nor strikes anything out."""
    planned("0001")
    signed_in(client, "viewer")
    assert printed(client, "care_card").status_code == 403
    assert client.post(address("papers/"), form("strike_out", paper="x")).status_code == 403
    assert not Paper.objects.exists()


def test_void_papers_are_listed_until_they_are_struck_out(client: Client) -> None:
    """Once; a second time is refused, and so is one that holds."""
    one = planned("0001")
    paper = print_paper(by(), the_plan(one), "care_card")
    signed_in(client, "helper")
    assert client.get(address("papers/")).context["look"]["void"] == []
    assert client.post(address("papers/"), form("strike_out", paper=paper.uid)).status_code == 409
    Paper.objects.filter(pk=paper.pk).update(void_at=NOW)
    assert [row["tag"] for row in client.get(address("papers/")).context["look"]["void"]] == ["0001"]
    sent = form("strike_out", paper=paper.uid)
    assert [client.post(address("papers/"), sent).status_code for _ in range(2)] == [302, 302]
    assert client.get(address("papers/")).context["look"]["void"] == []
    assert client.post(address("papers/"), form("strike_out", paper=paper.uid)).status_code == 409
    for wrong, status in (("nothing", 422), ("00000000-0000-0000-0000-000000000000", 404)):
        assert client.post(address("papers/"), form("strike_out", paper=wrong)).status_code == status
