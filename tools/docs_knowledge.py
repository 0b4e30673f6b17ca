"""Pages made from the knowledge: every entry that ships, with its reason, sources and confidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from docs_md import SURE, Raw, cell, page, raw, table, words
from strandline.knowledge import models as m
from strandline.knowledge.base import KINDS, REVIEW_SENTENCE, Knowledge

ORDER = {action: place for place, action in enumerate(m.ACTIONS)}
KEY_NOTE = (
    "*read* a source was read, *memory* from memory of it, *practice* common practice without a "
    "published source. "
    "Numbers such as S12 are [sources](sources.md)."
)
OTHER = ("limits", "clocks", "factors", "duties", "covers", "holds", "steps")
CONDITIONS = {
    "materials": "material",
    "families": "family",
    "features": "seen",
    "all_features": "all seen",
    "joins": "joined",
    "waters": "water",
    "wet_states": "state",
    "done": "done before",
    "with_families": "beside",
    "with_materials": "beside",
    "surface_unseen": "surface not seen, a",
}


def pages(knowledge: Knowledge) -> dict[str, str]:
    """Every page by its path under docs/."""
    made = {
        "knowledge.md": _index(knowledge),
        "knowledge/features.md": _features(knowledge),
        "knowledge/rules.md": _rules(knowledge),
        "knowledge/hazards.md": _hazards(knowledge),
        "knowledge/conflicts.md": _conflicts(knowledge),
        "knowledge/lookalikes.md": _lookalikes(knowledge),
        "knowledge/supplies.md": _supplies(knowledge),
        "knowledge/sources.md": _sources(knowledge),
    }
    for family in knowledge.families.values():
        made[f"knowledge/{family.key}.md"] = _family(knowledge, family)
    return made


def whence(entry: Any, confidence: str = "") -> Raw:
    """How sure, and the sources with their place, as links."""
    sure = SURE[confidence or entry.confidence]
    keys = "; ".join(
        f"[{cite.key}](sources.md#{cite.key.lower()}) {cell(cite.at)}"
        for cite in getattr(entry, "source", ())
    )
    return raw(f"{sure}{': ' + keys if keys else ''}")


def condition(when: m.When | m.Side, without: Sequence[str] = ()) -> str:
    """A condition in words; ``without`` leaves out what the place of printing says already."""
    said = []
    for field in type(when).model_fields:
        value = getattr(when, field, None)
        if field in without or value in (None, ()):
            continue
        if field == "always":
            said.append("always")
        elif field == "organic":
            said.append("organic" if value else "not organic")
        elif field == "mass_unknown":
            said.append("weight not known")
        elif isinstance(value, tuple):
            join = " and " if field == "all_features" else " or "
            said.append(f"{CONDITIONS[field]} {join.join(words(one) for one in value)}")
        else:
            said.append(f"{words(field)} {value:g}")
    return "; ".join(said)


def _index(knowledge: Knowledge) -> str:
    counts = [(kind, len(getattr(knowledge, attribute))) for kind, attribute in KINDS.items()]
    families = [
        (
            raw(f"[{cell(one.say)}](knowledge/{one.key}.md)"),
            len(_members(knowledge, one.key)),
            one.ask,
            "yes" if one.in_scope else "no: a holding instruction only",
        )
        for one in knowledge.families.values()
    ]
    rest = (
        ("features", "what can be seen on a thing, and every rule that a feature wakes"),
        (
            "rules",
            "the other rules: for all things, by water, by state; limits, clocks, duties, holding, steps",
        ),
        ("hazards", "stops, guards and notes, and the cautions for people on site"),
        ("conflicts", "what happens when two parts want different things, and where sources differ"),
        ("lookalikes", "things taken for one another, and the look that tells them apart"),
        ("supplies", "what the bench needs"),
        ("sources", "the sources, and how much of each was read"),
    )
    return page(
        "All of the knowledge",
        f"**{REVIEW_SENTENCE}** Everything the program knows stands on these pages, made from the "
        "files it reads. "
        f"Knowledge {knowledge.version}, sha256 `{knowledge.sha256[:16]}`.",
        "Confidence: " + KEY_NOTE.replace("sources.md", "knowledge/sources.md"),
        "Verdicts from mild to strict: **yes**, **careful**, **refer** (only a conservator, case by "
        "case), **no**. "
        "A thing of several parts gets the strictest verdict of its parts; an action nobody speaks "
        "of means refer.",
        "## Materials\n\n"
        + table(("family", "materials", "asked when it is not named", "in scope"), families),
        "## The rest\n\n"
        + table(("page", "what is there"), ((raw(f"[{key}](knowledge/{key}.md)"), say) for key, say in rest)),
        "## Counts\n\n" + table(("kind", "entries"), counts),
    )


def _members(knowledge: Knowledge, family: str) -> list[m.Material]:
    return [one for one in knowledge.materials.values() if one.family == family]


def _family(knowledge: Knowledge, family: m.Family) -> str:
    members = _members(knowledge, family.key)
    also = ", ".join(f"`{key}`" for key in family.also_possible)
    whole = [
        rule for rule in knowledge.verdicts if family.key in rule.when.families and not rule.when.materials
    ]
    intro = f"{REVIEW_SENTENCE} {KEY_NOTE}\n\nAsked when only the family is known: {family.ask}"
    if also:
        intro += f"\n\nAlso thought of when only the family is known: {also}."
    if not family.in_scope:
        intro += "\n\nOut of scope: such a thing gets a holding instruction and goes to a conservator."
    contents = "\n".join(f"* [{one.say}](#{one.key})" for one in members)
    held = _others(knowledge, "families", family.key)
    return page(
        f"Knowledge: {family.say}",
        intro,
        contents,
        "## For the whole family\n\n" + (_verdicts(whole, ("families",)) + "\n" + held)
        if whole or held
        else "",
        *(_material(knowledge, one) for one in members),
    )


def _material(knowledge: Knowledge, one: m.Material) -> str:
    rules = [rule for rule in knowledge.verdicts if one.key in rule.when.materials]
    looks = [look for look in knowledge.lookalikes if one.key in look.could_be]
    told = "\n".join(f"* {line}" for line in _facts(one))
    alike = ", ".join(f"[{words(look.key)}](lookalikes.md#{look.key})" for look in looks)
    blocks = [
        f'<a id="{one.key}"></a>',
        f"## {one.say} (`{one.key}`)",
        f"{one.why} ({whence(one)})",
        told,
        f"Taken for, or for it: {alike}." if alike else "",
        _verdicts(rules, ("materials",), one.key),
        _others(knowledge, "materials", one.key),
    ]
    return "\n\n".join(block.strip("\n") for block in blocks if block.strip())


def _facts(one: m.Material) -> list[str]:
    found = []
    if one.rh_percent:
        found.append(
            f"kept at {one.rh_percent[0]:g} to {one.rh_percent[1]:g} % relative humidity "
            f"({SURE[one.rh_confidence]})"
        )
    if one.air_c:
        found.append(f"air {one.air_c[0]:g} to {one.air_c[1]:g} °C ({SURE[one.air_confidence]})")
    if one.rh_step_percent_per_day is not None:
        found.append(f"at most {one.rh_step_percent_per_day:g} % relative humidity a day")
    if one.start_by_h is not None:
        aim = f", better {one.aim_h:g} h" if one.aim_h is not None else ""
        lost = f" {one.lost_after}" if one.lost_after else ""
        shape = {"step": "at once", "rate": "little by little", "has_happened": "has happened by then"}[
            one.clock_shape
        ]
        found.append(
            f"clock {words(one.clock or '')}: {one.start_by_h:g} h after it was {one.origin}{aim}, "
            f"{shape} ({SURE[one.hours_confidence]}).{lost}"
        )
    if one.duty != "none":
        found.append(f"duty: {words(one.duty)} ({SURE[one.duty_confidence]})")
    if one.cover != "none":
        found.append(f"cover: {words(one.cover)}")
    found.append("organic: mould can live on it" if one.organic else "not organic")
    if one.may_be_painted:
        found.append("may be painted")
    if one.surface_unknown != "none":
        found.append(
            f"surface not told: {'no water before a look' if one.surface_unknown == 'no' else 'look first'}"
        )
    if one.must_be_named:
        cites = "; ".join(f"{cite.key} {cite.at}" for cite in one.must_be_named_source)
        found.append(
            f"only thought of when named: {one.must_be_named_because}{f' ({cites})' if cites else ''}"
        )
    return found


def _verdicts(rules: Iterable[m.VerdictRule], without: Sequence[str], material: str = "") -> str:
    rows = []
    for rule in sorted(rules, key=lambda one: (ORDER[one.action], m.VERDICT_RANK[one.verdict], one.id)):
        more = condition(rule.when, without)
        only = f" if {cell(more)}" if more else ""
        verdict = f"**{rule.verdict}**{' (turns it on)' if rule.turns_on else ''}{only}"
        how = rule.how or ""
        if rule.ask:
            how += f" Ask: {rule.ask} If {rule.answer}: it opens."
        sure = rule.cells.get(material, rule.confidence)
        rows.append(
            (words(rule.action), raw(verdict), how, rule.why, whence(rule, sure), raw(f"`{rule.id}`"))
        )
    return table(("action", "verdict", "how", "why", "sure, source", "rule"), rows)


def _others(knowledge: Knowledge, field: str, key: str) -> str:
    """Rules of the other kinds that name a material, family or feature, as links."""
    lines = []
    for attribute in (*OTHER, "hazards"):
        where = "hazards" if attribute == "hazards" else "rules"
        links = [
            f"[{rule.id}]({where}.md#{rule.id})"
            for rule in getattr(knowledge, attribute)
            if key in getattr(rule.when, field)
        ]
        if links:
            lines.append(f"* {attribute}: {', '.join(links)}")
    found = [
        f"[{one.id}](conflicts.md#{one.id})"
        for one in knowledge.conflicts
        if key in getattr(one.a, field) or key in getattr(one.b, field)
    ]
    if found:
        lines.append(f"* conflicts: {', '.join(found)}")
    views = [
        f"[{one.id}](conflicts.md#{one.id})"
        for one in knowledge.disagreements
        if key in getattr(one.when, field)
    ]
    if views:
        lines.append(f"* sources differ: {', '.join(views)}")
    return "\n".join(lines)


def _features(knowledge: Knowledge) -> str:
    blocks = [f"{REVIEW_SENTENCE} {KEY_NOTE} *Surface* features answer the question what the surface is."]
    for one in knowledge.features.values():
        adds = "; ".join(
            f"{words(family)}: "
            f"{', '.join(f'[{key}]({knowledge.materials[key].family}.md#{key})' for key in keys)}"
            for family, keys in one.adds.items()
        )
        rules = [
            rule
            for rule in knowledge.verdicts
            if one.key in (*rule.when.features, *rule.when.all_features) and not rule.when.materials
        ]
        where = "a part" if one.scope == "part" else "the whole object"
        kind = f"{'surface, ' if one.surface else ''}on {where}"
        parts = [
            f'<a id="{one.key}"></a>',
            f"## {one.say} (`{one.key}`)",
            f"{one.why} ({whence(one)}) {kind.capitalize()}."
            + (f" Asked: {one.assumed_ask}" if one.assumed_ask else ""),
            f"The part takes on the care of: {adds}." if adds else "",
            _verdicts(rules, ()),
            _others(knowledge, "features", one.key),
        ]
        blocks.append("\n\n".join(part.strip("\n") for part in parts if part.strip()))
    return page("Knowledge: features", *blocks)


def _rules(knowledge: Knowledge) -> str:
    general = [
        rule
        for rule in knowledge.verdicts
        if not (rule.when.materials or rule.when.features or rule.when.all_features)
        and not (rule.when.families and not rule.when.with_families)
    ]
    blocks = [
        f"{REVIEW_SENTENCE} {KEY_NOTE}",
        "## Verdicts for all kinds of things\n\n" + _verdicts(general, ()),
    ]
    heads = {
        "limits": ("limit", "from", "to"),
        "clocks": ("clock", "hours", "shape"),
        "factors": ("clocks", "times", ""),
        "duties": ("duty", "", ""),
        "covers": ("cover", "", ""),
        "holds": ("slot", "rank", "do"),
        "steps": ("step", "order, who", "text"),
    }
    for attribute, (first, second, third) in heads.items():
        rows = [
            (
                raw(f'<a id="{one.id}"></a>`{one.id}`'),
                condition(one.when),
                *_what(attribute, one),
                one.why,
                whence(one),
            )
            for one in getattr(knowledge, attribute)
        ]
        blocks.append(
            f"## {attribute.capitalize()}\n\n"
            + table(("rule", "when", first, second or "-", third or "-", "why", "sure, source"), rows)
        )
    return page("Knowledge: other rules", *blocks)


def _what(attribute: str, one: Any) -> tuple[str, str, str]:
    if attribute == "limits":
        return words(one.limit), f"{one.interval[0]:g}", f"{one.interval[1]:g}"
    if attribute == "clocks":
        aim = f" (better {one.aim_h:g})" if one.aim_h is not None else ""
        return (
            words(one.clock),
            f"{one.at_h:g} h after {one.origin}{aim}",
            f"{words(one.shape)} {one.lost_after}",
        )
    if attribute == "factors":
        return ", ".join(words(key) for key in one.clocks), f"{one.factor:g}", ""
    if attribute == "holds":
        return one.slot, str(one.rank), one.do
    if attribute == "steps":
        needs = f"; verdict {' or '.join(one.needs_verdict)}" if one.needs_verdict else ""
        stop = "; also under a stop" if one.even_under_stop else ""
        action = f"; needs {words(one.action)}" if one.action else ""
        hands = f"{one.order}: {one.role}, {one.people} × {one.minutes:g} min at {words(one.station)}"
        return f"{words(one.step)} ({words(one.kind)})", hands + action + needs + stop, one.text
    return words(getattr(one, "duty", "") or one.cover), "", ""


def _hazards(knowledge: Knowledge) -> str:
    blocks = [
        f"{REVIEW_SENTENCE} {KEY_NOTE}",
        "A **stop** holds the object: nobody touches or moves it until somebody competent has "
        "released it and that is "
        "written down. A stop cannot be overruled in the program. A **guard** means: work on, "
        "protected. The cautions "
        "are the usual ones; local rules and licensed people go before them.",
    ]
    for grade in ("stop", "guard", "note"):
        rows = [
            (
                raw(f'<a id="{one.id}"></a>{words(one.hazard)}<br>`{one.id}`'),
                condition(one.when),
                one.say,
                f"{one.keep_m:g} m; {one.call}" if one.keep_m else "",
                one.licensed_only,
                f"{one.why}{' (said for the whole site)' if one.scope == 'site' else ''}",
                whence(one),
            )
            for one in knowledge.hazards
            if one.grade == grade
        ]
        head = ("hazard", "when", "say", "keep away; call", "licensed only", "why", "sure, source")
        blocks.append(f"## {grade.capitalize()}\n\n" + table(head, rows))
    cautions = [
        (raw(f"`{one.key}`"), words(one.about), one.say, one.defer_to, whence(one))
        for one in knowledge.cautions
    ]
    blocks.append(
        "## Cautions for the site\n\n" + table(("key", "about", "say", "defer to", "sure, source"), cautions)
    )
    return page("Knowledge: hazards and cautions", *blocks)


def _conflicts(knowledge: Knowledge) -> str:
    conflicts = [
        (
            raw(f'<a id="{one.id}"></a>{cell(one.say)}<br>`{one.id}`'),
            raw(f"a: {cell(condition(one.a))}<br>b: {cell(condition(one.b))}"),
            ", ".join(words(key) for key in one.about),
            {"a": "a", "b": "b", "neither": "neither: the conservator decides"}[one.winner],
            one.how + (f" (cool air on {one.local_air_on} alone)" if one.local_air_on else ""),
            one.why,
            whence(one),
        )
        for one in knowledge.conflicts
    ]
    advice = [
        (raw(f'<a id="{one.id}"></a>`{one.id}`'), one.say, one.how, one.why, whence(one))
        for one in knowledge.advice
    ]
    blocks = [
        f"{REVIEW_SENTENCE} {KEY_NOTE}",
        "## Two parts, two wants\n\n"
        + table(
            ("conflict", "sides", "about", "goes before", "how it is done", "why", "sure, source"), conflicts
        ),
        "## Advice for the lead\n\n" + table(("id", "about", "how", "why", "sure, source"), advice),
        "## Where sources differ",
    ]
    for one in knowledge.disagreements:
        views = table(("view", "sure, source"), ((view.say, whence(view)) for view in one.views))
        blocks.append(
            f'<a id="{one.id}"></a>\n\n### {words(one.about).capitalize()} (`{one.id}`)\n\n'
            f"When: {condition(one.when)}.\n\n{views}\nTaken: {one.taken}. {one.why} {one.then}"
        )
    return page("Knowledge: conflicts and disagreements", *blocks)


def _lookalikes(knowledge: Knowledge) -> str:
    rows = [
        (
            raw(f'<a id="{one.key}"></a>`{one.key}`'),
            ", ".join(one.words),
            ", ".join(words(key) for key in one.could_be),
            one.observe,
            "; ".join(
                f"{answer}: {', '.join(words(key) for key in keys)}" for answer, keys in one.answers.items()
            ),
            one.why,
            whence(one),
        )
        for one in knowledge.lookalikes
    ]
    head = ("key", "words that may be wrong", "could be", "look", "answers", "why", "sure, source")
    intro = (
        f"{REVIEW_SENTENCE} {KEY_NOTE} Until the look has been taken, the plan is the strictest over all "
        "it could be."
    )
    return page("Knowledge: look-alikes", intro, table(head, rows))


def _supplies(knowledge: Knowledge) -> str:
    rows = [
        (
            one.say,
            one.use,
            f"{one.per_ten:g} {one.unit}" if one.per_ten is not None else "",
            ", ".join(words(key) for key in one.actions),
            whence(one),
            raw(f"`{one.key}`"),
        )
        for one in knowledge.supplies
    ]
    head = ("what", "for", "for ten medium things", "actions", "sure, source", "key")
    return page("Knowledge: supplies", f"{REVIEW_SENTENCE} {KEY_NOTE}", table(head, rows))


def _sources(knowledge: Knowledge) -> str:
    cited: dict[str, int] = {}
    for _, entry in knowledge.entries():
        for cite in getattr(entry, "source", ()) or ():
            cited[cite.key] = cited.get(cite.key, 0) + 1
        for view in getattr(entry, "views", ()):
            for cite in view.source:
                cited[cite.key] = cited.get(cite.key, 0) + 1
    rows = [
        (
            raw(f'<a id="{one.key.lower()}"></a>{one.key}'),
            one.title,
            one.publisher,
            one.year,
            {"extract": "an extract", "opening": "its opening", "memory": "not read, from memory"}[one.read],
            cited.get(one.key, 0),
            one.note,
        )
        for one in knowledge.sources.values()
    ]
    head = ("key", "title", "publisher", "year", "what was read", "cited", "note")
    intro = (
        "How much of each was read for this project stands beside it. Nothing is quoted; a rule says "
        "in our own words "
        "what its source holds, and where in it."
    )
    return page("Knowledge: sources", intro, table(head, rows))
