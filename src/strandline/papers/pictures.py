"""Ten simple pictures of what ends a walk-through, drawn by us: black lines on white, 48 by 48 units."""

from __future__ import annotations

from collections.abc import Mapping

from strandline.papers.wording import _

DRAWN: Mapping[str, str] = {
    "dial": (
        '<circle cx="24" cy="24" r="17"/><path d="M24 24V12M24 24l8 6"/>'
        '<path d="M24 7v4M24 37v4M7 24h4M37 24h4"/><path d="M4 4l5 5M44 4l-5 5M4 44l5-5M44 44l-5-5"/>'
    ),
    "wires": (
        '<rect x="4" y="22" width="26" height="18"/><path d="M9 22v-4h4v4M21 22v-4h4v4"/>'
        '<path d="M9 31h6M19 31h6M22 28v6"/>'
        '<path d="M30 27c8 0 4-12 9-12M39 10v10M39 12h5M39 18h5"/>'
    ),
    "gun": (
        '<path d="M4 14h32v8H24l-2 6h-6l-4 12H5l5-18H4z"/><path d="M19 22v4"/>'
        '<path d="M40 44V30c0-4 4-4 4 0v14z"/>'
    ),
    "flare": (
        '<rect x="17" y="20" width="14" height="24"/><path d="M17 27h14M24 20v-5"/>'
        '<path d="M24 13V3M17 13l-7-6M31 13l7-6M14 19l-9-1M34 19l9-1"/>'
    ),
    "cylinder": '<path d="M14 44V20c0-9 20-9 20 0v24z"/><path d="M21 13V8h6v5M17 6h14M14 29h20"/>',
    "unlabelled": (
        '<path d="M18 4h12v8l7 9v23H11V21l7-9z"/><path d="M11 30h26"/>'
        '<path d="M20 34c0-3 8-3 8 0 0 2-4 2-4 4M24 41v.5" stroke-width="2"/>'
    ),
    "silver": (
        '<path d="M17 4h6v24a8 8 0 1 1-6 0z"/><path d="M17 20h6"/>'
        '<circle cx="35" cy="40" r="4" fill="#000"/><circle cx="42" cy="34" r="2" fill="#000"/>'
        '<circle cx="38" cy="29" r="1.5" fill="#000"/>'
    ),
    "fibre": (
        '<path d="M3 14h42M3 32h42"/><path d="M9 14l4 18M17 14l4 18M25 14l4 18M33 14l4 18"/>'
        '<path d="M6 42l3-4M14 44l2-5M24 43l1-5M33 44l-2-5M42 42l-3-4"/>'
    ),
    "fur": (
        '<path d="M12 6l4 6h16l4-6 2 12 7 3-4 7-4-2v8l5 6-6 4-6-6H18l-6 6-6-4 5-6v-8l-4 2-4-7 7-3z"/>'
        '<path d="M20 20l-2 5M28 20l2 5M24 26v5"/>'
    ),
    "swollen": '<path d="M10 12c6-7 22-7 28 0 6 8 6 18 0 26-6 7-22 7-28 0-6-8-6-18 0-26z"/>'
    '<path d="M10 12c6 5 22 5 28 0"/><path d="M2 24h5M46 24h-5M24 1v4M24 47v-4"/>',
}
"""What is drawn, by key; strokes of 2.5 units."""


def svg(key: str) -> str:
    """One picture as SVG."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 48"><g fill="none" stroke="#000" '
        f'stroke-width="2.5" stroke-linejoin="round" stroke-linecap="round">{DRAWN[key]}</g></svg>'
    )


def look_for() -> list[dict[str, str]]:
    """The ten things to look for, with picture and words, in the order they are printed."""
    said = {
        "dial": _("A dial or hands that glow, or may once have glowed"),
        "wires": _("Wires, a plug or a battery"),
        "gun": _("A gun, a cartridge or a shell"),
        "flare": _("A flare or a rocket"),
        "cylinder": _("A gas cylinder or an inflator"),
        "unlabelled": _("Liquid or powder without a label"),
        "silver": _("Silver liquid, or a glass tube of it"),
        "fibre": _("Lagging on pipes, or fibre board"),
        "fur": _("Fur, feather or skin"),
        "swollen": _("A swollen or sealed container"),
    }
    return [{"key": key, "svg": svg(key), "say": say} for key, say in said.items()]
