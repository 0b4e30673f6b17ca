"""Every deed of every page: who may, what is refused, once however often it is sent; none is left out."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.test import Client

import strandline
from strandline.records.models.acts import Act
from strandline.services import fold
from strandline.services.looks.table import LOOKS
from strandline.services.roles import ALL, MAY
from strandline.web.deeds import DEEDS
from tests.web.cast import signed_in
from tests.web.deed_cases import CASES, ROLES, Name, at, new_key, ready, sent

pytestmark = pytest.mark.django_db
BY_NAME = {(deed.page, deed.do): deed for deed in DEEDS}
NAMES = sorted(BY_NAME)
STRICTER: dict[Name, str] = {
    ("list_found", "receive_rest"): "hundreds of things nobody has seen come in at one press",
    ("overrides", "accept"): "as follow",
    ("overrides", "follow"): "plans of all that an override bears on are made at one press, by whom it is of",
}
"""Deeds that fewer people may do than their acts, and why."""
WITHOUT_ACT: dict[Name, frozenset[str]] = {("list_in", "send_list"): MAY["import_list"]}
"""Deeds that write no act, and who may by which other act."""
SECOND_TIME: dict[Name, str] = {
    ("overrides", "follow"): "No plan is older than this.",
    ("overrides", "accept"): "Every plan was made by the rules there are.",
}
"""What is answered, in place of going on, where what was asked for is no longer there to be done."""
WITHOUT_DEED: dict[str, str] = {
    "take_in_hand": "said by a device, not typed into a form; pages show what is in hand",
    "give_back": "as take_in_hand",
    "reserve_tags": "done by printing blank tags: tests/services/test_reserve_tags.py",
    "fill_lot": "no page yet: a lot is made by its count, and things with tags of their own do not join it",
}
"""Kinds of acts that no page asks for, and why."""


@pytest.fixture(autouse=True)
def elsewhere(settings: LazySettings, tmp_path: Path) -> None:
    """Photographs and lists go into a folder of this test."""
    settings.PRACTICE_FOLDER = tmp_path


def one_of(roles: frozenset[str]) -> str:
    """The highest role of some."""
    return next(role for role in ROLES if role in roles)


def sentence(text: str) -> str:
    """What a page says in its main part."""
    inner = re.search(r"<main.*?</main>", text, re.DOTALL)
    return " ".join(re.sub(r"<[^>]*>", " ", inner[0] if inner else text).split())


def test_no_deed_and_no_case_is_left_out() -> None:
    """A deed that nobody listed fails here, as does one listed that is gone or that stands twice."""
    assert set(BY_NAME) == set(CASES)
    assert len(BY_NAME) == len(DEEDS)
    assert {deed.page for deed in DEEDS} <= set(LOOKS)


@pytest.mark.parametrize("name", NAMES, ids="-".join)
def test_who_may_do_a_deed_is_who_may_do_its_acts(name: Name) -> None:
    """No wider, so that nobody is shown what is refused later; no narrower without a reason."""
    deed, kinds = BY_NAME[name], CASES[name].kinds
    may = ALL.intersection(*(MAY[kind] for kind in kinds)) if kinds else WITHOUT_ACT[name]
    if name in STRICTER:
        assert deed.roles < may
    else:
        assert deed.roles == may
    assert deed.roles <= LOOKS[deed.page].roles, "its page is not shown to all who may"


def test_every_kind_of_act_has_a_deed_or_a_reason() -> None:
    """And neither list holds what is not there."""
    reached = {kind for case in CASES.values() for kind in case.kinds}
    assert reached | set(WITHOUT_DEED) == set(MAY)
    assert not reached & set(WITHOUT_DEED)
    assert set(STRICTER) | set(WITHOUT_ACT) <= set(CASES)


def kinds_in_code() -> Iterator[str]:
    """The kinds that services ask for."""
    for file in (Path(strandline.__file__).parent / "services").rglob("*.py"):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        named = {
            node.targets[0].id: node.value
            for node in tree.body
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Wanted":
                kind = named.get(getattr(node.args[0], "id", ""), node.args[0])
                assert isinstance(kind, ast.Constant), f"{file.name}: a kind that is worked out"
                yield str(kind.value)


def test_every_kind_that_a_service_asks_for_has_its_roles() -> None:
    """One that has none nobody could do; one that no service asks for would be a word without a meaning."""
    assert set(kinds_in_code()) == set(MAY)


@pytest.mark.parametrize("name", NAMES, ids="-".join)
def test_whoever_may_not_is_refused_and_nothing_is_written(client: Client, name: Name) -> None:
    """With a form that would otherwise do: 403 and a sentence."""
    case, fields, address = ready(name)
    before = Act.objects.count()
    for role in set(ROLES) - BY_NAME[name].roles:
        signed_in(client, role)
        answer = client.post(address, sent(name[1], case, fields, new_key()))
        assert answer.status_code == 403, role
        assert f"A {role} may not do this." in sentence(answer.content.decode())
    assert Act.objects.count() == before


@pytest.mark.parametrize("name", NAMES, ids="-".join)
def test_what_is_no_proper_form_is_refused_and_nothing_is_written(client: Client, name: Name) -> None:
    """Nobody signed in, no token, no key, a key that is none, another method, an incident there is not."""
    case, fields, address = ready(name)
    before = Act.objects.count()
    good = sent(name[1], case, fields, new_key())
    assert client.post(address, good).headers["Location"].startswith("/sign-in/")
    role = one_of(BY_NAME[name].roles)
    strict = Client(enforce_csrf_checks=True)
    signed_in(strict, role)
    signed_in(client, role)
    answer = strict.post(address, sent(name[1], case, fields, new_key()))
    assert (answer.status_code, "no longer good" in answer.content.decode()) == (403, True)
    for key in ("", "seven"):
        answer = client.post(address, sent(name[1], case, fields, key))
        assert answer.status_code == 422
        assert "the form has no key" in answer.content.decode()
    without = {key: value for key, value in sent(name[1], case, fields, "").items() if key != "key"}
    assert client.post(address, without).status_code == 422
    assert client.put(address).status_code == 405
    assert client.delete(address).status_code == 405
    assert client.post(address, sent("no such deed", case, fields, new_key())).status_code == 400
    if "ORNL1" in address:
        answer = client.post(at(name[0], case, "NONE1"), sent(name[1], case, fields, new_key()))
        assert answer.status_code == 404
        assert sentence(answer.content.decode())
    assert Act.objects.count() == before


@pytest.mark.parametrize("name", NAMES, ids="-".join)
def test_it_is_done_once_however_often_it_is_sent(client: Client, name: Name) -> None:
    """By the highest role that may: its kinds of acts and no other; the second time nothing more."""
    case, fields, address = ready(name)
    signed_in(client, one_of(BY_NAME[name].roles))
    key, before = new_key(), set(Act.objects.values_list("key", flat=True))
    answer = client.post(address, sent(name[1], case, fields, key))
    assert answer.status_code in {200, 302}, sentence(answer.content.decode())[:900]
    acts = Act.objects.exclude(key__in=before)
    assert set(acts.values_list("kind", flat=True)) == set(case.kinds)
    keys = sorted(acts.values_list("key", flat=True))
    again = client.post(address, sent(name[1], case, fields, key))
    if name in SECOND_TIME:
        assert again.status_code == 409
        assert SECOND_TIME[name] in again.content.decode()
    else:
        assert again.status_code in {200, 302}, sentence(again.content.decode())[:900]
    assert sorted(Act.objects.exclude(key__in=before).values_list("key", flat=True)) == keys


def test_the_fold_knows_every_table_that_a_deed_fills() -> None:
    """Each stands once in one of the two lists."""
    tables = [*fold.ONLY_BY_ACTS, *fold.CHANGED_BY_ACTS]
    assert len(set(tables)) == len(tables)
