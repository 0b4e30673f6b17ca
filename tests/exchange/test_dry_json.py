"""``strandline.dry/1``: what leaves follows its schema, keeps every field, and holds no NaN."""

from __future__ import annotations

import io
import json
import math
import typing
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from strandline.exchange.dry_json import (
    STANDING,
    DryDocument,
    NotFinite,
    dry_made_by,
    dry_schema,
    forecast_dict,
    numbers_sha256,
    question_dict,
)
from strandline.knowledge.base import shipped
from strandline.knowledge.covers import covers
from strandline.knowledge.wetting import wetting
from strandline.physics.mould import SOON_MOULDY
from strandline.things import drying
from strandline.things.listing import ListHead, Problem
from tests.exchange.drying_making import BODY, QUESTION, bands, forecast_of, without_mould_and_strain

AS_OF = datetime(2026, 3, 15, 15, 40, tzinfo=UTC)
HEAD = ListHead("list.csv", "0" * 64, {"Title": "title"}, ("shelf",))


@dataclass(frozen=True)
class Left:
    """Something that is not forecast."""

    tag: str = "0003"
    title: str = "Barometer"
    part: str = ""
    why: str = "stop"
    say: str = "Stop, mercury."


def written(
    *forecasts: drying.DryingForecast, head: ListHead | None = None, left: tuple[Left, ...] = ()
) -> Any:
    """A document read again."""
    out = io.StringIO()
    document = DryDocument(out, dry_made_by(shipped(), "0.0.0"), AS_OF, QUESTION)
    for one in forecasts:
        document.add(one)
    problem = Problem(4, "dry_mass_g", "9", "dry_mass_g is more than mass_g")
    document.close(head, 3, left, [problem] if head else (), [Problem(2, "", "", "no title")] if head else ())
    return json.loads(out.getvalue(), parse_constant=lambda name: pytest.fail(f"{name} left"))


def faults(document: Any) -> list[str]:
    found = Draft202012Validator(dry_schema()).iter_errors(document)
    return [f"{list(error.path)[:6]}: {error.message[:160]}" for error in found]


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(dry_schema())


def test_one_body_follows_the_schema() -> None:
    document = written(forecast_of())
    assert faults(document) == []
    assert (document["list"], document["says"]) == (None, [STANDING])
    assert document["as_of"] == "2026-03-15T15:40:00+00:00"


def test_a_list_follows_the_schema() -> None:
    bare = replace(forecast_of(), body=replace(BODY, cover=None, thickness_mm=None, under_water_h=None))
    none = replace(
        bare, model="none", series=None, target=None, strain=(), mould=None, start_moisture=None, numbers={}
    )
    document = written(forecast_of(), without_mould_and_strain(bare), none, head=HEAD, left=(Left(),))
    assert faults(document) == []
    assert document["list"] == {
        "name": "list.csv", "sha256": "0" * 64, "rows": 3, "objects": 2, "rejected": 1,
        "columns": {"Title": "title"}, "kept_columns": ["shelf"],
    }  # fmt: skip


def test_nothing_at_all_follows_the_schema() -> None:
    assert faults(written(head=HEAD)) == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("bodies", 0, "model"), "guess"),
        (("bodies", 0, "body", "known_by"), "heard"),
        (("bodies", 0, "assumed", 0, "confidence"), "sure"),
        (("bodies", 0, "body", "surfaces"), ["dusty"]),
        (("bodies", 0, "target", "moisture"), [0.1, 0.2]),
        (("bodies", 0, "strain", 0, "share_over"), 1.2),
        (("left_out", 0, "why"), "because"),
        (("question", "room"), []),
        (("bodies", 0, "colour"), "red"),
        (("bodies", 0, "body", "cover", "gaps", 0, "place"), "corner"),
    ],
)
def test_the_schema_refuses(path: tuple[Any, ...], value: object) -> None:
    """Words outside an enum, half bands, shares above 1 and keys nobody wrote down are found."""
    document = written(forecast_of(), left=(Left(),))
    at = document
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    assert faults(document)


CAME_LATER = {"cover": {"later"}, "body": {"thickness_band_mm"}}
"""Keys that were added within version 1."""


@pytest.mark.parametrize(
    ("part", "thing"),
    [
        ("body", drying.WetBody), ("question", drying.DryingQuestion), ("stretch", drying.Stretch),
        ("gap", drying.Gap), ("cover", drying.CoverState), ("assumption", drying.Assumption),
        ("flag", drying.Flag), ("strain", drying.StrainAgainst), ("mould", drying.MouldForecast),
        ("series", drying.Series), ("target", drying.Reached), ("forecast", drying.DryingForecast),
    ],
)  # fmt: skip
def test_keys_are_the_fields(part: str, thing: Any) -> None:
    """The contract names every field of every dataclass, and no other; those that came later are optional."""
    written_down = dry_schema()["$defs"][part]
    assert set(written_down["properties"]) == {field.name for field in fields(thing)}
    assert set(written_down["required"]) == set(written_down["properties"]) - CAME_LATER.get(part, set())
    assert typing.get_type_hints(thing)


def test_words_are_those_of_the_knowledge() -> None:
    """Surfaces and coatings of the contract are the ones there are; covers are keys."""
    body = dry_schema()["$defs"]["body"]["properties"]
    assert set(body["surfaces"]["items"]["enum"]) == set(SOON_MOULDY)
    assert set(body["coating"]["enum"]) == set(wetting()["coating"])
    assert all(key.replace("_", "").isalnum() for key in covers())


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
def test_no_nan_leaves(wrong: float) -> None:
    """It is refused before a byte of the body is written, and says where it stood."""
    series = forecast_of().series
    assert series is not None
    broken = replace(forecast_of(), series=replace(series, strain=((0.0, wrong, 1.0),)))
    with pytest.raises(NotFinite, match=r"series\.strain came out as"):
        forecast_dict(broken)
    out = io.StringIO()
    document = DryDocument(out, {}, AS_OF, QUESTION)
    before = out.getvalue()
    with pytest.raises(NotFinite):
        document.add(broken)
    assert out.getvalue() == before


def test_numbers_have_six_digits_and_whole_ones_are_integers() -> None:
    found = forecast_dict(replace(forecast_of(), start_moisture=(0.123456789, 1.0, 1234567.8)))
    assert found["start_moisture"] == [0.123457, 1, 1234570]
    assert question_dict(QUESTION)["days"] == 30
    assert isinstance(question_dict(QUESTION)["days"], int)


def test_bands_keep_their_places() -> None:
    found = forecast_dict(forecast_of())
    assert found["series"]["mean"][0] == [0.54, 0.6, 0.66]
    assert len(found["series"]["mean"]) == len(found["series"]["hours"]) == len(bands(1, 2, 3, 4))


def test_the_hash_of_the_numbers_is_one() -> None:
    assert len(numbers_sha256()) == 64
    assert numbers_sha256() == numbers_sha256()
