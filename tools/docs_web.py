"""What is made from the record and its pages: pages.md, and the tables of record.md."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import TYPE_CHECKING, Any

from all_pages import SPOTS
from django_for_types import MEMORY
from docs_env import ROOT
from docs_md import page, raw, table
from strandline.records.settings import base_settings
from strandline.records.setup import start

if TYPE_CHECKING:
    from strandline.services.looks.asked import Look
    from strandline.web.pages import Deed

ROLES: tuple[str, ...] = ("lead", "conservator", "helper", "viewer")
PICTURES = ROOT / "docs" / "images" / "pages"
PARTS: Mapping[str, str] = {
    "now": "First pages",
    "site": "Site and people",
    "taking_in": "Taking in",
    "things": "One object",
    "together": "Several things together",
    "work": "The work",
}
"""Module of looks -> the heading its pages stand under."""

OTHERS: Mapping[str, tuple[str, str]] = {
    "sign_in": ("everybody", "Name and password. After five wrong tries each further wait doubles."),
    "sign_out": ("everybody", "Ends the session; sent as a form."),
    "begin": (
        "whoever has the code",
        "The first lead of a record that nobody is in yet; after that, closed.",
    ),
    "admin": ("lead", "Every table, to be looked at. Only a log-in can be shut or opened here."),
    "photo": ("everybody signed in", "A photograph in one of two widths; the original stays in its folder."),
}
"""Addresses without a look: who may, and what they give."""


@dataclass(frozen=True)
class Web:
    """What the record offers on pages."""

    looks: tuple[Look, ...]
    deeds: tuple[Deed, ...]
    may: Mapping[str, frozenset[str]]
    others: Mapping[str, str] = field(default_factory=dict)


@cache
def web() -> Web:
    """Looks, deeds, roles and other addresses of today's program."""
    start(base_settings(MEMORY, "for docs only", Path("photos-and-papers")))
    # Tables, and whatever names them, can only be imported once Django has been started.
    from strandline.services.looks.table import LOOKS
    from strandline.services.roles import MAY
    from strandline.web.deeds import DEEDS
    from strandline.web.urls import urlpatterns

    others = {"admin": "/admin/"}
    for one in urlpatterns:
        name = getattr(one, "name", None)
        if name and name not in LOOKS:
            others[name] = address(str(getattr(one, "pattern", "")))
    return Web(tuple(LOOKS.values()), DEEDS, MAY, others)


def address(route: str) -> str:
    """A route as people read it: /CODE/things/TAG/."""
    return "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda found: found[1].upper(), route)


def twin(route: str) -> str:
    """The address of the JSON of a route."""
    return address((route.removesuffix("/") or "home") + ".json")


def who(roles: frozenset[str]) -> str:
    """Roles in their order; *everybody* for all of them."""
    found = [role for role in ROLES if role in roles]
    return "everybody" if len(found) == len(ROLES) else ", ".join(found)


def said_of(what: Callable[..., Any]) -> str:
    """The first paragraph that code says of itself, without what it raises."""
    text = " ".join((what.__doc__ or "").strip().split("\n\n")[0].split()).partition(" Raises ")[0]
    if not text:
        raise ValueError(f"{what.__name__} does not say what it is")
    return text.replace("``", "`")


def pages_page() -> str:
    """docs/pages.md: every page with its address, its JSON, who may see it, and what can be done on it."""
    found = web()
    rows = [
        (
            raw(f"[`{one.name}`](#{one.name})"),
            raw(f"`{address(one.route)}`"),
            who(one.roles),
            said_of(one.data),
        )
        for one in found.looks
    ]
    blocks = [
        f"Every page of the record, {len(found.looks)} of them, with the {len(found.deeds)} things that "
        "can be done on them. [The guide](guide.md#working-together-on-pages) says what to use when. "
        "*Everybody* is everybody who is signed in: lead, conservator, helper, viewer. `CODE` is the code of "
        "an incident, `TAG` a tag.",
        "Each page has its data at the same address with `.json` for the last stroke: nothing stands on a "
        "page that is not there, and the same people may read it. JSON is only read; whoever wants to write "
        "sends the form. A form carries `do`, which names the deed, and `key`, which makes it happen once "
        "however often it is sent.",
        "The pictures are of the demo, an invented flood, in light colours; those in dark ones stand beside "
        "them in `images/pages`. No practising conservator has reviewed these pages, and nobody has used "
        "them on a real site.",
        table(("page", "address", "seen by", "what it shows"), rows),
    ]
    for module, heading in _headings(found):
        blocks.append(f"## {heading}")
        blocks += [_one(look, found) for look in found.looks if _part(look) == module]
    blocks += ["## Other addresses", _others(found)]
    return page("Pages", *blocks)


def _part(look: Look) -> str:
    """The area a look belongs to: the module of looks its table names it in."""
    found = look.data.__module__.rpartition(".")[2]
    fits = [part for part in PARTS if found == part or found.startswith(f"{part}_")]
    if not fits:
        raise ValueError(f"the page '{look.name}' belongs to no part; name its part in docs_web.PARTS")
    return max(fits, key=len)


def _headings(found: Web) -> Iterator[tuple[str, str]]:
    there = {_part(look) for look in found.looks}
    yield from ((part, heading) for part, heading in PARTS.items() if part in there)


def _one(look: Look, found: Web) -> str:
    deeds = [deed for deed in found.deeds if deed.page == look.name]
    rows = [(raw(f"`{deed.do}`"), said_of(deed.handler), who(deed.roles)) for deed in deeds]
    done = table(("`do`", "what it does", "who may"), rows) if rows else "It is only read.\n"
    shown = " ".join(f"![{alt}](images/pages/{name})" for name, alt in pictures_of(look.name))
    return (
        f"### {look.name}\n\n{said_of(look.data)} At `{address(look.route)}`, its JSON at "
        f"`{twin(look.route)}`; seen by {who(look.roles)}.\n\n{done}\n{shown}".rstrip()
    )


def pictures_of(name: str) -> list[tuple[str, str]]:
    """File names under docs/images/pages of the pictures of a page, each with what it shows.

    In light colours, on a phone in each state and on a laptop in the first.
    """
    spots = {spot.name: spot.look for spot in SPOTS}
    found: list[tuple[str, str]] = []
    for file in sorted(PICTURES.glob("*-light.png"), key=lambda one: (len(_state(one.stem)), one.stem)):
        state = _state(file.stem)
        fits = [spot for spot in spots if state == spot or state.startswith(f"{spot}-")]
        if not fits or spots[max(fits, key=len)] != name:
            continue
        on = "a phone" if "-phone-" in file.stem else "a laptop"
        if on == "a phone" or not any("laptop" in other for other, _ in found):
            found.append((file.name, f"The page {state.replace('-', ' ')} on {on}"))
    return found


def _state(stem: str) -> str:
    """The state a picture shows, out of its name without ending."""
    return re.sub(r"-(?:phone|laptop)-(?:light|dark)$", "", stem)


def _others(found: Web) -> str:
    if strange := sorted(found.others.keys() ^ OTHERS.keys()):
        raise ValueError(
            f"the address '{strange[0]}' is not in docs_web.OTHERS, or no longer among the addresses"
        )
    rows = [(raw(f"`{found.others[name]}`"), *OTHERS[name]) for name in OTHERS]
    return table(("address", "for", "what it gives"), rows)


def acts() -> str:
    """A table of every kind of act, what it is, and the roles that may."""
    found = web()
    rows = []
    for kind, roles in found.may.items():
        marks = ["yes" if role in roles else "no" for role in ROLES]
        rows.append((raw(f"`{kind}`"), said_of(_service(kind)), *marks))
    return table(("kind", "what it is", *ROLES), rows)


@cache
def _services() -> dict[str, Callable[..., Any]]:
    """Functions of the services by name; of two of one name, that of the module called so."""
    services = import_module("strandline.services")
    held: dict[str, Callable[..., Any]] = {}
    for module in iter_modules(services.__path__):
        if not module.ispkg:
            whole = import_module(f"strandline.services.{module.name}")
            for name, what in vars(whole).items():
                own = getattr(what, "__module__", "") == whole.__name__
                if own and callable(what) and (name not in held or name == module.name):
                    held[name] = what
    return held


def _service(kind: str) -> Callable[..., Any]:
    found = _services().get(ONE_BY_ONE.get(kind, kind))
    if found is None:
        raise ValueError(f"no service is called '{kind}' as its act is; say which in docs_web.ONE_BY_ONE")
    return found


ONE_BY_ONE: Mapping[str, str] = {}
"""Kind of act -> its function, where the two are called otherwise."""


def page_times() -> str:
    """How long pages took when they were last measured (benchmarks/pages.py)."""
    path = ROOT / "docs" / "evidence" / "pages.json"
    if not path.is_file():
        return "Not measured yet.\n"
    kept = json.loads(path.read_text(encoding="utf-8"))
    rows = [
        (
            name,
            *(
                f"{kept[how][name][key]:.0f}"
                for how in ("alone", "eight_beside")
                for key in ("p50_ms", "p95_ms")
            ),
        )
        for name in kept["alone"]
    ]
    machine = kept["machine"]
    told = (
        f"Measured {kept['date']} on {kept['objects']:,} objects: {machine['processor']}, {machine['cores']} "
        f"cores, {machine['system']}, Python {machine['python']}; code {kept['code_sha256'][:12]}. "
        "Milliseconds for one reader, alone, and with eight others and a writer beside: half of the answers, "
        "and 95 of 100, came within this time.\n"
    )
    return told + "\n" + table(("page", "half, alone", "95 %, alone", "half, beside", "95 %, beside"), rows)


def tables() -> str:
    """The tables of the record by module, each with what a row of it is."""
    web()  # starts Django
    apps = import_module("django.apps").apps
    models = apps.get_app_config("records").get_models()
    rows = [(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", model.__name__).lower(), said_of(model)) for model in models]
    return table(("table", "a row of it"), rows)
