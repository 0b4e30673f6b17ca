"""People and their log-ins, parties, authority, hours, readings."""

import json
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.models import User

from strandline.records.models.acts import Act, Refusal
from strandline.records.models.facts import Reading
from strandline.records.models.objects import Object
from strandline.records.models.people import Authority, Hours, Party, PartyRole, Person
from strandline.services.acting import Caller, KeyTaken, NotAllowed, Refused
from strandline.services.add_party import add_party
from strandline.services.add_person import add_person, first_lead
from strandline.services.add_place import add_place
from strandline.services.change_person import change_person
from strandline.services.clock import now
from strandline.services.fold import differences
from strandline.services.give_authority import give_authority, newest_authority
from strandline.services.note_hours import note_hours
from strandline.services.note_reading import note_reading
from strandline.services.observe import observe
from strandline.services.roles import MAY
from tests.records.cast import NOW, an_object, helper, incident, lead, person
from tests.services.doing import by, received

pytestmark = pytest.mark.django_db
PASSWORD = "three wet ropes"
OTHER = "four dry ropes"


@pytest.fixture(autouse=True)
def _quick_hashes(settings: Any) -> None:
    """Passwords are hashed slowly on purpose; the tests have no time for it."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


class Scene:
    """A chest, a lender, a helper with a log-in."""

    def __init__(self) -> None:
        self.thing: Object = received()
        self.lender: Party = add_party(by(), incident(), "lender B", "lender", "by letter")
        self.helper: Person = add_person(by(lead()), "helper 3", "helper", "", "helper3", PASSWORD)


ACTS: dict[str, Callable[[Caller, Scene], Any]] = {
    "add_person": lambda who, _: add_person(who, "helper 4", "helper", "at noon", "helper4", PASSWORD),
    "change_person": lambda who, scene: change_person(who, scene.helper, role="conservator", password=OTHER),
    "add_party": lambda who, _: add_party(who, incident(), "lender C", "lender", "by letter"),
    "give_authority": lambda who, scene: give_authority(
        who, incident(), scene.lender, "verbal", "plan", "Go on as planned."
    ),
    "note_hours": lambda who, scene: note_hours(who, incident(), helper(), 30, NOW, "rinse", scene.thing),
    "note_reading": lambda who, scene: note_reading(who, "mass_g", 812.5, scene.thing, None, 12, "board on"),
}


@pytest.mark.parametrize("kind", ACTS)
@pytest.mark.parametrize("role", ["lead", "conservator", "helper", "viewer"])
def test_who_may_and_who_may_not(kind: str, role: str) -> None:
    """Allowed: one act, whole, and the log agrees with the tables.  Else a refusal and no act."""
    scene = Scene()
    count, people = Act.objects.count(), User.objects.count()
    if role in MAY[kind]:
        ACTS[kind](by(person(role)), scene)
        assert Act.objects.latest("id").kind == kind
        assert Act.objects.count() == count + 1
    else:
        with pytest.raises(NotAllowed, match=role):
            ACTS[kind](by(person(role)), scene)
        assert (Act.objects.count(), User.objects.count()) == (count, people)
        assert Refusal.objects.latest("id").kind == kind
    assert differences() == []


@pytest.mark.parametrize("kind", ACTS)
def test_sent_twice_is_done_once_and_a_key_is_for_one_act(kind: str) -> None:
    """The first answer again, nothing new; another act under the key is refused."""
    scene, who = Scene(), by(lead())
    first = ACTS[kind](who, scene)
    count = Act.objects.count()
    assert ACTS[kind](who, scene) == first
    with pytest.raises(KeyTaken):
        observe(Caller(lead(), who.key, NOW), scene.thing, "pieces", 3, "seen", None)
    taken = by(lead(), uuid.uuid4())
    observe(taken, scene.thing, "pieces", 3, "seen", None)
    with pytest.raises(KeyTaken):
        ACTS[kind](taken, scene)
    assert Act.objects.count() == count + 1
    assert differences() == []


def test_the_log_names_nobody_and_knows_no_password() -> None:
    """Names, contacts, user names and passwords, before and after a change: in no act and no refusal."""
    first = first_lead("lead conservator of the loft", "theLead", PASSWORD, NOW)
    someone = add_person(by(first), "helper 3", "helper", "ask at the chandlery", "helper3", PASSWORD)
    change_person(by(first), someone, name="helper 3 of day two", password=OTHER)
    add_party(by(first), incident(), "lender B", "lender", "by letter")
    with pytest.raises(Refused):
        add_person(by(first), "helper 5", "helper", "", "helper3", OTHER)
    log = json.dumps([[act.payload, act.before, act.after] for act in Act.objects.all()])
    log += json.dumps(list(Refusal.objects.values_list("reason", flat=True)))
    for secret in ("helper 3", "helper 5", "chandlery", "helper3", "of the loft", "theLead", "lender B",
                   "by letter", PASSWORD, OTHER, "pbkdf2", "md5"):  # fmt: skip
        assert secret not in log
    for user in User.objects.all():
        assert user.password not in log
    assert differences() == []


def test_a_person_signs_in_with_what_was_given() -> None:
    """Staff only as lead, nobody a superuser; without a user name there is no log-in."""
    first = first_lead("lead conservator", "thelead", PASSWORD, NOW)
    someone = add_person(by(first), "helper 3", "helper", "", "helper3", PASSWORD)
    other = add_person(by(first), "second lead", "lead", "", "lead2", PASSWORD)
    signed = authenticate(username="helper3", password=PASSWORD)
    assert isinstance(signed, User)
    assert (signed.person, signed.is_staff, signed.is_superuser) == (someone, False, False)
    for one in (first, other):
        assert one.user is not None
        assert (one.user.is_staff, one.user.is_superuser) == (True, False)
    assert add_person(by(first), "helper 4", "helper").user is None


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("", "helper"), "needs a name"),
        (("helper 4", "harbour master"), "not 'harbour master'"),
        (("helper 4", "helper", "", "helper3", PASSWORD), "in use"),
        (("helper 4", "helper", "", "HELPER3", PASSWORD), "in use"),
        (("helper 4", "helper", "", "two words", PASSWORD), "user name"),
        (("helper 4", "helper", "", "x" * 151, PASSWORD), "user name"),
        (("helper 4", "helper", "", "helper4", ""), "password"),
        (("helper 4", "helper", "", "helper4", "short"), "password"),
        (("helper 4", "helper", "", "helper4", "password"), "password"),
        (("helper 4", "helper", "", "", PASSWORD), "needs a user name"),
    ],
)
def test_a_person_who_cannot_be(arguments: tuple[str, ...], why: str) -> None:
    """Each with its sentence, which never repeats the password; neither person nor log-in is made."""
    scene = Scene()
    before = (Person.objects.count(), User.objects.count())
    with pytest.raises(Refused, match=why) as refused:
        add_person(by(lead()), *arguments)
    assert (Person.objects.count(), User.objects.count()) == before
    assert not any(one and f"'{one}'" in str(refused.value) for one in arguments[4:])
    assert scene.helper.user is not None
    assert differences() == []


def test_the_first_lead_is_made_once() -> None:
    """Only while there is nobody; what is wrong with name or password leaves nothing behind."""
    for arguments in (("", "thelead", PASSWORD), ("lead", "thelead", "short"), ("lead", "", PASSWORD)):
        with pytest.raises(Refused):
            first_lead(*arguments, NOW)
        assert not User.objects.exists()
        assert not Person.objects.exists()
    first = first_lead("lead conservator", "thelead", PASSWORD, NOW)
    act = Act.objects.get()
    assert (act.kind, act.person, act.device_at) == ("first_lead", first, NOW)
    with pytest.raises(Refused, match="people already"):
        first_lead("second lead", "lead2", PASSWORD, NOW)
    assert User.objects.count() == 1
    assert differences() == []


def test_who_leaves_cannot_sign_in_and_may_come_back() -> None:
    """The log-in follows the person: active, role and password."""
    scene = Scene()
    gone = change_person(by(lead()), scene.helper, active=False)
    assert (gone.active, authenticate(username="helper3", password=PASSWORD)) == (False, None)
    back = change_person(by(lead()), scene.helper, active=True, role="lead", password=OTHER, name="lead 2")
    assert authenticate(username="helper3", password=PASSWORD) is None
    user = authenticate(username="helper3", password=OTHER)
    assert isinstance(user, User)
    assert (back.name, user.is_staff, user.is_superuser) == ("lead 2", True, False)
    add_person(by(lead()), "lead 3", "lead", "", "lead3", PASSWORD)
    helped = change_person(by(lead()), back, role="helper")
    assert helped.user is not None
    assert not helped.user.is_staff
    assert differences() == []


def test_the_last_lead_stays() -> None:
    """Neither given another role nor sent away, until somebody else is lead."""
    only = lead()
    changes: tuple[dict[str, Any], ...] = ({"role": "helper"}, {"active": False})
    for change in changes:
        with pytest.raises(Refused, match="last lead"):
            change_person(by(only), only, **change)
    add_person(by(only), "lead by name only", "lead")
    shut = add_person(by(only), "lead shut out", "lead", "", "lead3", PASSWORD)
    User.objects.filter(person=shut).update(is_active=False)
    for change in changes:
        with pytest.raises(Refused, match="last lead"):
            change_person(by(only), only, **change)
    second = add_person(by(only), "second lead", "lead", "", "lead2", PASSWORD)
    assert change_person(by(only), only, role="conservator").role == "conservator"
    with pytest.raises(Refused, match="last lead"):
        change_person(by(second), second, active=False)


def test_a_log_in_that_was_shut_stays_shut() -> None:
    """Another role, name or password opens none; saying that somebody works here again does."""
    scene = Scene()
    User.objects.filter(person=scene.helper).update(is_active=False)
    for change in ({"role": "viewer"}, {"name": "helper 3b"}, {"password": OTHER}):
        change_person(by(lead()), Person.objects.get(pk=scene.helper.pk), **change)
        assert not User.objects.get(person=scene.helper).is_active
    change_person(by(lead()), Person.objects.get(pk=scene.helper.pk), active=True)
    assert authenticate(username="helper3", password=OTHER) is not None


@pytest.mark.parametrize(
    ("change", "why"),
    [({}, "nothing to change"), ({"role": "cook"}, "not 'cook'"), ({"name": " "}, "needs a name"),
     ({"password": "short"}, "password"), ({"password": ""}, "password")],
)  # fmt: skip
def test_a_change_that_cannot_be(change: dict[str, Any], why: str) -> None:
    """The person and the log-in stay as they were."""
    scene = Scene()
    with pytest.raises(Refused, match=why):
        change_person(by(lead()), scene.helper, **change)
    assert authenticate(username="helper3", password=PASSWORD) is not None
    with pytest.raises(Refused, match="no log-in"):
        change_person(by(lead()), helper(), password=OTHER)


def test_a_party_is_one_party_in_several_roles() -> None:
    """The same name in another role is the same party; in the same role it is refused."""
    scene = Scene()
    same = add_party(by(), incident(), " LENDER  B ", "insurer")
    assert same == scene.lender
    assert add_party(by(), incident("ORNL2"), "lender B", "lender") != scene.lender
    roles = PartyRole.objects.filter(party=scene.lender).values_list("role", flat=True)
    assert sorted(roles) == ["insurer", "lender"]
    for name, role, why in (("lender B", "lender", "already"), ("", "owner", "needs a name"),
                            ("lender D", "harbour", "not 'harbour'")):  # fmt: skip
        with pytest.raises(Refused, match=why):
            add_party(by(), incident(), name, role)
    assert differences() == []


def test_it_is_first_aid_only_until_something_is_recorded() -> None:
    """By party the newest record; parties and owners without one are there with first aid only."""
    scene = Scene()
    owner = Party.objects.create(name="museum")
    an_object("0077", owner=owner)
    nothing = newest_authority(incident())
    assert {(one.given, one.scope) for one in nothing.values()} == {("none", "first_aid_only")}
    assert not any(one.pk for one in nothing.values())
    assert nothing.keys() == {scene.lender.pk, owner.pk}
    give_authority(by(lead()), incident(), scene.lender, "verbal", "plan", "Go on as planned.")
    last = give_authority(
        by(lead()), incident(), scene.lender, "written", "named_treatment", "Rinse the bell, no more."
    )
    assert newest_authority(incident())[scene.lender.pk] == last
    assert newest_authority(incident("ORNL2")) == {}


@pytest.mark.parametrize(
    ("given", "scope", "said", "why"),
    [("maybe", "plan", "Go on.", "not 'maybe'"), ("verbal", "everything", "Go on.", "not 'everything'"),
     ("none", "plan", "Go on.", "first aid only"), ("written", "plan", " ", "what was said")],
)  # fmt: skip
def test_authority_that_cannot_be(given: str, scope: str, said: str, why: str) -> None:
    """Known words, and what was said; only of a party of this incident."""
    scene = Scene()
    with pytest.raises(Refused, match=why):
        give_authority(by(lead()), incident(), scene.lender, given, scope, said)
    with pytest.raises(Refused, match="no party"):
        give_authority(by(lead()), incident("ORNL2"), scene.lender, "verbal", "plan", "Go on.")
    assert not Authority.objects.exists()


def test_hours_of_one_noted_by_another() -> None:
    """For the incident or for a thing."""
    scene = Scene()
    whole = note_hours(by(), incident(), scene.helper, 90.5, NOW)
    of_thing = note_hours(by(lead()), incident(), helper(), 15, NOW, "rinse", scene.thing)
    assert (whole.object, whole.person, whole.minutes) == (None, scene.helper, 90.5)
    assert (of_thing.object, of_thing.step) == (scene.thing, "rinse")
    assert differences() == []


@pytest.mark.parametrize(
    ("minutes", "start", "why"),
    [(0, NOW, "more than 0"), (-5, NOW, "more than 0"), (1441, NOW, "1440 at most"),
     (float("nan"), NOW, "more than 0"), (30, NOW.replace(tzinfo=None), "offset"),
     (30, NOW + timedelta(days=99 * 365), "still to come")],
)  # fmt: skip
def test_hours_that_cannot_be(minutes: float, start: datetime, why: str) -> None:
    """Some minutes, begun already, on a thing of the incident."""
    with pytest.raises(Refused, match=why):
        note_hours(by(), incident(), helper(), minutes, start)
    with pytest.raises(Refused, match="another incident"):
        note_hours(by(), incident("ORNL2"), helper(), 30, NOW, "", received())
    assert not Hours.objects.exists()


def test_readings_of_things_and_places() -> None:
    """A mass with its tare, air of a room, a look without a number."""
    scene = Scene()
    room = add_place(by(), incident(), "room", "warm room")
    mass = note_reading(by(), "mass_g", 900, scene.thing, None, 900, "with its board")
    air = note_reading(by(lead()), "rh", 1, place=room)
    look = note_reading(by(), "look", None, scene.thing, room, says="no condensation, no growth")
    assert (mass.value, mass.tare_g, mass.object, mass.by) == (900.0, 900.0, scene.thing, helper())
    assert (air.value, air.place, air.object) == (1.0, room, None)
    assert (look.value, look.says) == (None, "no condensation, no growth")
    assert mass.at <= now()
    assert differences() == []


@pytest.mark.parametrize(
    ("kind", "value", "tare_g", "says", "why"),
    [
        ("mass_g", float("nan"), None, "", "no number"),
        ("mass_g", float("inf"), None, "", "no number"),
        ("mass_g", -1, None, "", "between 0"),
        ("mass_g", None, None, "", "needs its number"),
        ("mass_g", 100, 101, "", "not above the mass"),
        ("mass_g", 100, -1, "", "nought or more"),
        ("mass_g", 100, float("nan"), "", "nought or more"),
        ("rh", 92, None, "", "between 0 and 1"),
        ("rh", -0.1, None, "", "between 0 and 1"),
        ("rh", 0.5, 3, "", "only a mass has a tare"),
        ("air_c", 300, None, "", "between -40 and 60"),
        ("moisture", -0.1, None, "", "between 0"),
        ("look", 3, None, "as it was", "no number"),
        ("look", None, None, " ", "say what was seen"),
        ("colour", 3, None, "", "not 'colour'"),
    ],
)
def test_a_reading_that_cannot_be(kind: str, value: Any, tare_g: Any, says: str, why: str) -> None:
    """Each with its sentence; nothing is kept."""
    with pytest.raises(Refused, match=why):
        note_reading(by(), kind, value, received(), None, tare_g, says)
    assert not Reading.objects.exists()
    assert why in Refusal.objects.get().reason


def test_a_reading_is_of_something_of_one_incident() -> None:
    """Of nothing, or of a thing in a place of another incident, it is refused."""
    room = add_place(by(), incident("ORNL2"), "room", "long room")
    with pytest.raises(Refused, match="of a thing or of a place"):
        note_reading(by(), "rh", 0.5)
    with pytest.raises(Refused, match="another incident"):
        note_reading(by(), "rh", 0.5, received(), room)
    who = by()
    note_reading(who, "rh", 0.5, received("0002"))
    with pytest.raises(KeyTaken):
        note_reading(who, "rh", float("nan"), received("0003"))
