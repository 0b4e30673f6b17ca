"""What a plan refers is answered by the lead, for one object or for several alike at once."""

import time
import uuid
from typing import Any

import pytest

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.objects import Object
from strandline.records.models.plans import Override, PlanSnapshot
from strandline.services import engines
from strandline.services.acting import KeyTaken, NotAllowed, Refused
from strandline.services.answer import answer, answer_many
from strandline.services.fold import differences
from strandline.services.observe import observe
from strandline.services.override import override
from strandline.services.plan import plan
from strandline.services.referrals import referrals
from strandline.services.release_hazard import release_hazard
from strandline.things.facts import Part
from tests.records.cast import lead, person
from tests.services.doing import barometer, by, received

pytestmark = pytest.mark.django_db
WHY = "seen at the bench with a lens: the body is sound"
HOW = "One jar at a time, tap water, a minute."
JAR = (Part("p1", "jar", "ceramic_salty", "ceramic", surface="stated"),)
CORD = (Part("p1", "line", "cord", "plant", surface="stated"),)


def jar(tag: str = "0101") -> Object:
    """A jar with salts in it: whether it is rinsed is for the lead to say."""
    return received(tag, title="Jar", materials="earthenware", parts=JAR, joins=())


def planned(thing: Object) -> PlanSnapshot:
    """The next plan of an object, made by a helper."""
    return plan(by(), thing)


def says(found: PlanSnapshot, action: str) -> tuple[str, str | None]:
    """Verdict and how."""
    one = found.result["actions"][action]
    return one["verdict"], one["how"]


@pytest.mark.parametrize(
    ("verdict", "how", "told"),
    [("yes", "", ("yes", None)), ("yes", HOW, ("yes", HOW)), ("careful", HOW, ("careful", HOW)),
     ("no", "Leave the mud on.", ("no", "Leave the mud on."))],
)  # fmt: skip
def test_the_next_plan_gives_the_answer(verdict: str, how: str, told: tuple[str, str | None]) -> None:
    """With the answer's own words, its mark beside the rule, and nothing left to ask of it."""
    thing = jar()
    before = planned(thing)
    assert says(before, "rinse")[0] == "refer"
    assert "rinse" in referrals(before.result)
    rows = answer(by(lead()), thing, "rinse", verdict, how, WHY)
    assert [(row.level, row.target, row.object) for row in rows] == [
        ("object", "act.rinse.ceramic_salts", thing)
    ]
    after = planned(thing)
    assert says(after, "rinse") == told
    assert "rinse" not in referrals(after.result)
    assert any(WHY in mark for mark in after.result["overrides"])
    assert Act.objects.filter(kind="answer").count() == 1
    assert differences() == []


def test_every_rule_that_refers_is_answered() -> None:
    """Two reasons to wait, one answer: both are overruled, for this object alone."""
    thing = received("0101", parts=(*JAR, Part("p2", "foot", "timber_waterlogged", "wood")), joins=())
    other = jar("0102")
    targets = {
        one["rule"]
        for one in planned(thing).result["actions"]["rinse"]["because"]
        if one["verdict"] == "refer"
    }
    assert len(targets) > 1
    assert {row.target for row in answer(by(lead()), thing, "rinse", "careful", HOW, WHY)} == targets
    assert says(planned(thing), "rinse")[0] == "careful"
    assert says(planned(other), "rinse")[0] == "refer"


def test_an_action_no_rule_speaks_of_is_answered_too() -> None:
    """It is not in the plan, which means referred; the answer puts it there, marked as nobody's rule."""
    thing = received("0101", title="Line", materials="hemp", parts=CORD, joins=())
    assert "rinse" not in planned(thing).result["actions"]
    rows = answer(by(lead()), thing, "rinse", "careful", HOW, WHY)
    assert [row.target for row in rows] == ["absent.rinse"]
    after = planned(thing)
    assert says(after, "rinse") == ("careful", HOW)
    because = after.result["actions"]["rinse"]["because"]
    assert [(one["rule"], one["confidence"], one["source"]) for one in because] == [("absent.rinse", "c", [])]
    with pytest.raises(Refused, match="for one object only"):
        override(by(lead()), "absent.rinse", {"verdict": "yes", "how": ""}, WHY)


@pytest.mark.parametrize(
    ("action", "verdict", "how", "reason", "why"),
    [
        ("fly", "yes", "", WHY, "no action"),
        ("rinse", "refer", HOW, WHY, "an answer is yes, careful, no; not 'refer'"),
        ("rinse", "careful", " ", WHY, "say how"),
        ("rinse", "no", "", WHY, "say how"),
        ("rinse", "yes", "", "because", "10 characters"),
        ("sun", "yes", "", WHY, "not referred; plan 1 says no"),
    ],
)
def test_an_answer_that_is_none_is_refused(
    action: str, verdict: str, how: str, reason: str, why: str
) -> None:
    """Each with its sentence, kept; nothing is overruled."""
    thing = jar()
    planned(thing)
    with pytest.raises(Refused, match=why):
        answer(by(lead()), thing, action, verdict, how, reason)
    assert not Override.objects.exists()
    assert why in Refusal.objects.get().reason


def test_nothing_is_answered_without_a_plan() -> None:
    """There is no question yet."""
    with pytest.raises(Refused, match="has no plan yet"):
        answer(by(lead()), jar(), "rinse", "yes", "", WHY)


def test_a_rule_that_still_stands_is_named() -> None:
    """Furniture is opened with care at most: a plain yes would not hold, careful does."""
    thing = received(parts=(Part("p1", "chest", "oak", "wood", surface="stated"),), joins=())
    assert says(planned(thing), "open_up")[0] == "refer"
    with pytest.raises(Refused, match=r"would still be careful: act\.open_up\.furniture stands"):
        answer(by(lead()), thing, "open_up", "yes", "", WHY)
    assert not Override.objects.exists()
    answer(by(lead()), thing, "open_up", "careful", "The lid only.", WHY)
    assert says(planned(thing), "open_up")[0] == "careful"


def test_nothing_is_answered_under_a_stop_and_all_after_its_release() -> None:
    """The stop is not the lead's to answer; what is left when it is lifted is."""
    thing = barometer()
    assert says(planned(thing), "operate")[0] == "refer"
    with pytest.raises(Refused, match=r"under a stop \(mercury\)"):
        answer(by(lead()), thing, "operate", "no", "It hangs still.", WHY)
    release_hazard(by(lead()), thing, "mercury", "mercury specialist", "Taken out, packed and carried away.")
    planned(thing)
    answer(by(lead()), thing, "operate", "no", "It hangs still.", WHY)
    assert says(planned(thing), "operate") == ("no", "It hangs still.")


def test_what_became_known_since_the_plan_counts() -> None:
    """The plan refers and a fact seen since bars or stops: no answer to a question that is none any more."""
    thing = jar()
    planned(thing)
    observe(by(), thing, "features", ["luminous"], "seen", None)
    with pytest.raises(Refused, match="would still be refer: the stop of radium stands"):
        answer(by(lead()), thing, "rinse", "yes", "", WHY)
    other = jar("0102")
    planned(other)
    override(by(lead()), "act.rinse.ceramic_salts", {"verdict": "no"}, "no water on site at all", other)
    with pytest.raises(Refused, match="something else became known: rinse is no now"):
        answer(by(lead()), other, "rinse", "yes", "", WHY)


@pytest.mark.parametrize("role", ["conservator", "helper", "viewer"])
def test_only_the_lead_answers(role: str) -> None:
    """For one and for many; the refusal is kept."""
    thing = jar()
    planned(thing)
    with pytest.raises(NotAllowed, match=role):
        answer(by(person(role)), thing, "rinse", "yes", "", WHY)
    with pytest.raises(NotAllowed, match=role):
        answer_many(by(person(role)), [thing], "rinse", "yes", "", WHY)
    assert not Override.objects.exists()
    assert {row.kind for row in Refusal.objects.all()} == {"answer"}


def test_sent_twice_is_answered_once() -> None:
    """Also after the next plan, which refers nothing any more; another answer under the key is an error."""
    thing, caller = jar(), by(lead())
    planned(thing)
    first = answer(caller, thing, "rinse", "careful", HOW, WHY)
    planned(thing)
    assert answer(caller, thing, "rinse", "careful", HOW, WHY) == first
    with pytest.raises(KeyTaken):
        answer(caller, thing, "rinse", "no", HOW, WHY)
    assert Override.objects.count() == 1


def test_one_answer_for_many_is_an_act_of_each() -> None:
    """What cannot be answered keeps no other back; sent again, nothing is done twice."""
    things = [jar(f"01{n:02d}") for n in range(3)]
    for thing in things[:2]:
        planned(thing)
    stopped = barometer()
    planned(stopped)
    caller = by(lead(), uuid.uuid4())
    found = answer_many(caller, [*things, stopped], "rinse", "careful", HOW, WHY)
    assert [(tag, len(rows)) for tag, rows in found.answered] == [("0100", 1), ("0101", 1)]
    assert [tag for tag, _ in found.refused] == ["0102", "0013"]
    assert "has no plan yet" in found.refused[0][1]
    assert Act.objects.filter(kind="answer").count() == 2
    assert answer_many(caller, things[:2], "rinse", "careful", HOW, WHY).answered == found.answered
    assert Act.objects.filter(kind="answer").count() == 2
    assert [says(planned(thing), "rinse")[0] for thing in things] == ["careful", "careful", "refer"]
    assert differences() == []


def test_many_alike_share_one_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fourteen jars: the engine with the answer is made once, before and after."""
    things = [jar(f"01{n:02d}") for n in range(14)]
    for thing in things:
        planned(thing)
    made: list[Any] = []
    right = engines.Engine

    def counted(*given: Any) -> Any:
        made.append(given)
        return right(*given)

    monkeypatch.setattr(engines, "Engine", counted)
    began = time.perf_counter()
    found = answer_many(by(lead()), things, "rinse", "yes", "", f"{WHY} {uuid.uuid4()}")
    taken_s = time.perf_counter() - began
    for thing in things:
        assert says(planned(thing), "rinse")[0] == "yes"
    assert (len(found.answered), len(made)) == (14, 1)
    assert taken_s < 10
    assert len({one.overrides_sha256 for one in engines.engines_for(things, engines_now())}) == 1


def engines_now() -> Any:
    """The moment the last plan was made."""
    return PlanSnapshot.objects.latest("id").made_at


def test_what_waits_for_an_answer() -> None:
    """The water of the route and the steps that are referred; not what nobody wants to do anyhow."""
    result = planned(jar()).result
    assert says(PlanSnapshot.objects.get(), "operate")[0] == "refer"
    waiting = referrals(result)
    assert "rinse" in waiting
    assert not {"operate", "open_up", "take_apart"} & set(waiting)
    assert set(waiting) <= {key for key, one in result["actions"].items() if one["verdict"] == "refer"}
