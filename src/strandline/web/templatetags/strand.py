"""Filters and small pieces for templates: times as people read them, and marks that are words first."""

from __future__ import annotations

import uuid
from typing import Any

from django import template
from django.middleware.csrf import get_token
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from strandline.papers import pictures, when
from strandline.services.looks import things_words

register = template.Library()


@register.filter
def to_minute(text: object, zone: str = "UTC") -> str:
    """An ISO moment as Sun 15 March, 15:40 in a zone; '' for none."""
    at = when.read(text)
    return when.hour(at, zone) if at else ""


@register.filter
def to_half_day(text: object, zone: str = "UTC") -> str:
    """An ISO moment as Sun 15 March, morning; '' for none."""
    at = when.read(text)
    return when.half_day(at, zone) if at else ""


@register.filter
def hours_left(hours: object) -> str:
    """Hours left as the lead reads them."""
    if not isinstance(hours, int | float):
        return _("hours not known")
    if hours <= 0:
        return _("may have happened")
    return (
        _("%(h)d h left") % {"h": int(hours)} if hours >= 1 else _("%(m)d min left") % {"m": int(hours * 60)}
    )


VERDICTS = ("yes", "careful", "refer", "no")


@register.filter
def verdict_word(verdict: str) -> str:
    """What a verdict says."""
    words = {"yes": _("yes"), "careful": _("carefully"), "refer": _("ask first"), "no": _("no")}
    return words.get(verdict, verdict)


@register.filter
def spaced(key: object) -> str:
    """A key as words."""
    return str(key).replace("_", " ")


@register.filter
def step_word(key: object) -> str:
    """A step in two or three words."""
    return things_words.step(str(key))


@register.simple_tag
def picture(key: str) -> SafeString:
    """One of our drawn pictures, for the eye only; the words stand beside it."""
    drawn = pictures.DRAWN[key].replace("#000", "currentColor")
    return SafeString(
        '<svg class="drawn" aria-hidden="true" viewBox="0 0 48 48"><g fill="none" stroke="currentColor" '
        f'stroke-width="2.5" stroke-linejoin="round" stroke-linecap="round">{drawn}</g></svg>'
    )


@register.simple_tag(takes_context=True)
def again(context: dict[str, Any], name: str, usual: object = "") -> object:
    """What was typed into a field, when a form comes back; otherwise ``usual``."""
    typed = context.get("typed")
    return typed.get(name, usual) if typed else usual


@register.simple_tag(takes_context=True)
def wrong(context: dict[str, Any], name: str) -> str:
    """Why a field could not be used, as a paragraph to be named by aria-describedby; '' when nothing is."""
    why = (context.get("errors") or {}).get(name)
    return format_html('<p class="wrong" id="wrong-{}">{}</p>', name, why) if why else ""


@register.simple_tag(takes_context=True)
def act_fields(context: dict[str, Any], do: str) -> SafeString:
    """Hidden fields every form of a deed has: which deed, and the key that makes it happen once."""
    return format_html(
        '<input type="hidden" name="csrfmiddlewaretoken" value="{}">'
        '<input type="hidden" name="do" value="{}"><input type="hidden" name="key" value="{}">',
        get_token(context["request"]), do, uuid.uuid4(),
    )  # fmt: skip


@register.simple_tag(takes_context=True)
def again_row(context: dict[str, Any], name: str, row: object) -> object:
    """What was typed into a field of one row."""
    return again(context, f"{name}-{row}")


@register.simple_tag(takes_context=True)
def again_is(context: dict[str, Any], row: object, value: str) -> SafeString:
    """Marks the choice that was made in one row."""
    return SafeString(" selected" if again(context, f"who-{row}") == value else "")


@register.simple_tag(takes_context=True)
def wrong_row(context: dict[str, Any], name: str, row: object) -> str:
    """Why a field of one row could not be used."""
    return wrong(context, f"{name}-{row}")
