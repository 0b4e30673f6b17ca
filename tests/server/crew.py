"""Somebody with a browser at a server that is killed now and then: acts go out one after another, each again
until it is acknowledged."""

from __future__ import annotations

import hashlib
import http.client
import io
import json
import random
import re
import threading
import urllib.error
import urllib.request
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from typing import Any

from PIL import Image

PASSWORD = "wet gloves and string"
TAGS: Mapping[str, tuple[str, ...]] = {
    "lead": ("0101", "0102", "0103", "0104"),
    "helper": ("0201", "0202", "0203", "0204"),
}
"""Whose chests are whose: nobody waits for another one's step."""
GONE = (OSError, http.client.HTTPException)
"""What a browser meets when the server is killed: before, in the middle of, or after its answer."""


class Refused(Exception):
    """The server answered, and not that it was done."""


@dataclass(slots=True)
class Answer:
    """What came back."""

    status: int
    location: str
    body: bytes


class Stay(urllib.request.HTTPRedirectHandler):
    """Goes nowhere by itself: a redirect is the acknowledgement."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        """None: the redirect itself is the answer."""
        return


class Browser:
    """Cookies, forms with a token, files."""

    def __init__(self, port: int) -> None:
        self.at = f"http://127.0.0.1:{port}"
        self.cookies = CookieJar()
        self._open = urllib.request.build_opener(Stay, urllib.request.HTTPCookieProcessor(self.cookies)).open

    def get(self, path: str) -> Answer:
        """A page."""
        return self._ask(urllib.request.Request(self.at + path))

    def post(self, path: str, fields: Mapping[str, object], photo: bytes = b"") -> Answer:
        """A form, with the token its page was given."""
        token = next(one.value for one in self.cookies if one.name == "strandline_csrf") or ""
        body, kind = multipart({**fields, "csrfmiddlewaretoken": token}, photo)
        request = urllib.request.Request(self.at + path, body, {"Content-Type": kind})
        return self._ask(request)

    def _ask(self, request: urllib.request.Request) -> Answer:
        try:
            with self._open(request, timeout=60) as answer:
                return Answer(answer.status, "", answer.read())
        except urllib.error.HTTPError as error:
            with error:
                return Answer(error.code, error.headers.get("Location", ""), error.read())

    def sign_in(self, name: str) -> None:
        """As a person does: the page, then the form on it."""
        page = self.get("/sign-in/").body.decode()
        assert re.search('name="csrfmiddlewaretoken"', page)
        answer = self.post("/sign-in/", {"username": name, "password": PASSWORD, "next": "/"})
        assert (answer.status, answer.location) == (302, "/"), answer.body.decode()


def multipart(fields: Mapping[str, object], photo: bytes) -> tuple[bytes, str]:
    """A form as a browser packs it, and the type to send it under."""
    edge = uuid.uuid4().hex
    out = io.BytesIO()
    for name, value in fields.items():
        out.write(f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode())
    if photo:
        head = 'Content-Disposition: form-data; name="photo"; filename="p.jpg"\r\nContent-Type: image/jpeg'
        out.write(f"--{edge}\r\n{head}\r\n\r\n".encode() + photo + b"\r\n")
    out.write(f"--{edge}--\r\n".encode())
    return out.getvalue(), f"multipart/form-data; boundary={edge}"


@dataclass(frozen=True, slots=True)
class Wanted:
    """A form to be sent until it is acknowledged.

    ``more`` names the further acts of the same form; ``rows`` what it makes, each once: kind and name.
    """

    path: str
    fields: Mapping[str, object]
    key: uuid.UUID
    rows: tuple[tuple[str, str], ...]
    more: tuple[str, ...] = ()
    photo: bytes = b""

    @property
    def keys(self) -> list[str]:
        """Keys of all acts of the form."""
        return [str(self.key), *(str(uuid.uuid5(self.key, one)) for one in self.more)]


@dataclass(slots=True)
class Writer:
    """One person at work: each act with a key made here; what is not acknowledged goes out again."""

    name: str
    browser: Browser
    draws: random.Random
    up: threading.Event = field(default_factory=threading.Event)
    acknowledged: list[Wanted] = field(default_factory=list)
    pending: Wanted | None = None
    resent: int = 0
    beaten: int = 0
    lost: list[str] = field(default_factory=list)
    over: bool = False
    _made: int = 0

    def work(self) -> None:
        """Until it is over and nothing is left unacknowledged, while the server is up."""
        while not (self.over and self.pending is None):
            if not self.up.wait(0.1):
                continue
            try:
                self.step()
            except GONE:
                self.resent += self.pending is not None
                self.up.clear()
            except Exception as error:  # told to the test, which fails by it
                self.lost.append(f"{type(error).__name__}: {error}")
                return

    def step(self) -> None:
        """Send what is to be sent; note it once the server has said that it is done."""
        if self.pending is None:
            self.pending = self.next_form()
        wanted = self.pending
        answer = self.browser.post(wanted.path, wanted.fields, wanted.photo)
        if answer.status != 302 or answer.location.startswith("/sign-in"):
            why = re.findall(r'class="(?:wrong|refusal)[^>]*>(.*?)</', answer.body.decode(), re.DOTALL)
            if wanted.fields.get("tag") == "" and any("is already tied to an object" in one for one in why):
                self.beaten += 1  # the other one got the next free tag: the form came back and is sent again
                return
            raise Refused(f"{wanted.fields['do']}: {answer.status} {answer.location} {why}")
        self.acknowledged.append(wanted)
        self.pending = None

    def next_form(self) -> Wanted:
        """Another act, each kind in turn."""
        self._made += 1
        kinds: tuple[Callable[[str], Wanted], ...] = (
            self.end_step, self.take_in, self.move, self.photograph, self.make_tray, self.came_off,
        )  # fmt: skip
        return kinds[self._made % len(kinds)](f"{self.name} {self._made}")

    def _form(
        self, path: str, do: str, rows: tuple[tuple[str, str], ...], more: tuple[str, ...] = (),
        photo: bytes = b"", **fields: object,
    ) -> Wanted:  # fmt: skip
        key = uuid.UUID(int=self.draws.getrandbits(128), version=4)
        return Wanted(f"/ORNL1/{path}", {"do": do, "key": key, **fields}, key, rows, more, photo)

    def take_in(self, mark: str) -> Wanted:
        """Five acts of one form: object, photograph, plan, and that the photograph is taken."""
        # Tags that are typed go down from there, so that those the server allots, upwards, are never met.
        typed = {"lead": 900, "helper": 700}[self.name] - self._made
        tag = "" if self._made % 12 == 1 else f"{typed:04d}"
        photo = picture(mark)
        rows = (("thing", mark), ("photo", hashlib.sha256(photo).hexdigest()))
        more = ("photograph", "plan", "photographed")
        return self._form(
            "take-in/", "take_in", rows, more, photo, none="1", tag=tag, title=mark, material="wood", state=""
        )

    def make_tray(self, mark: str) -> Wanted:
        """A tray."""
        return self._form("trays/", "make_tray", (("tray", mark),), name=mark)

    def came_off(self, mark: str) -> Wanted:
        """A fragment of one of the chests."""
        return self._form("fragments/", "came_off", (("fragment", mark),), title=mark, tag=self._chest())

    def photograph(self, mark: str) -> Wanted:
        """A photograph of one of the chests."""
        photo = picture(mark)
        rows = (("photo", hashlib.sha256(photo).hexdigest()),)
        return self._form(f"things/{self._chest()}/", "photograph", rows, photo=photo)

    def move(self, mark: str) -> Wanted:
        """A chest is put down in the other room."""
        tag = self._chest()
        look = self._look(tag)
        to = look["places"][0]
        return self._form(f"things/{tag}/", "move", (), to=to["uid"])

    def end_step(self, mark: str) -> Wanted:
        """The next step of the first chest that has one for this person."""
        for tag in TAGS[self.name]:
            look = self._look(tag)
            if look["may_do_next"]:
                step = look["next"]["key"]
                rows = (("end", f"{tag} {step}"),)
                return self._form(
                    f"things/{tag}/", "end_step", rows, plan=look["plan"], step=step, end="done"
                )
        return self.make_tray(mark)

    def _chest(self) -> str:
        return self.draws.choice(TAGS[self.name])

    def _look(self, tag: str) -> dict[str, Any]:
        answer = self.browser.get(f"/ORNL1/things/{tag}.json")
        if answer.status != 200:
            raise Refused(f"{tag}.json: {answer.status}")
        found: dict[str, Any] = json.loads(answer.body)
        return found


def picture(mark: str) -> bytes:
    """A small photograph like no other."""
    stream = io.BytesIO()
    shade = hashlib.sha256(mark.encode()).digest()
    Image.new("RGB", (40, 30), (shade[0], shade[1], shade[2])).save(stream, "JPEG", comment=mark.encode())
    return stream.getvalue()
