"""Which verdict rules speak for a part, as a set of rules, and the strictest verdict of such a set.

These are the decisions of :mod:`strandline.care.parts` without the reasons: a default gives way to
what is said of the body itself, and a need sets aside the harm of the very layers it speaks of.
"""

from __future__ import annotations

from strandline.care.index import MATERIALS, Filed, RuleIndex
from strandline.knowledge import models as m


class Speaking:
    """The verdict rules of an index by action, rank and place in the order of speaking."""

    def __init__(self, index: RuleIndex) -> None:
        self.index = index
        self.pending = index.mask(lambda filed: _is_verdict(filed) and filed.asks_others)
        self.verdicts = index.mask(lambda filed: _is_verdict(filed) and not filed.asks_others)
        self.needs = self.verdicts & index.mask(_turns_on)
        self.by_action = {action: self._about(action) for action in m.ACTIONS}
        self.by_rank = tuple((action, self._strictest_first(action)) for action in m.ACTIONS)
        self.gives_way = self._gives_way()

    def _about(self, action: str, verdict: str | None = None) -> int:
        """The verdict rules about an action, or only those with one verdict."""
        return self.index.mask(
            lambda filed: (
                isinstance(filed.rule, m.VerdictRule)
                and filed.rule.action == action
                and verdict in (None, filed.rule.verdict)
            )
        )

    def _strictest_first(self, action: str) -> tuple[tuple[int, int], ...]:
        ranked = sorted(
            ((rank, self._about(action, key)) for key, rank in m.VERDICT_RANK.items()), reverse=True
        )
        return tuple((rank, mask) for rank, mask in ranked if mask)

    def _gives_way(self) -> dict[str, tuple[tuple[int, int], ...]]:
        """Per body material and action: the rules that name the body, and the defaults they silence."""
        defaults = self.verdicts & self.index.mask(lambda filed: filed.is_default)
        found = {}
        for material, named in self.index.slots[MATERIALS][1].items():
            pairs = ((named & self.verdicts & mask, defaults & mask) for mask in self.by_action.values())
            found[material] = tuple(pair for pair in pairs if all(pair))
        return found

    def of_member(self, held: int, layers: tuple[str, ...]) -> int:
        """The verdict rules that speak among those that hold for a part taken as one material."""
        said = held & self.verdicts
        for named, defaults in self.gives_way.get(layers[0], ()):
            if said & named:
                said &= ~defaults
        if said & self.needs:
            said = self._set_aside(said, frozenset(layers))
        return said

    def _set_aside(self, said: int, layers: frozenset[str]) -> int:
        """The set without the harms that a need speaks of."""
        for mask in self.by_action.values():
            needs = said & self.needs & mask
            if not needs:
                continue
            met = {key for filed in self.index.each(needs) for key in filed.rule.when.materials} & layers
            for filed in self.index.each(said & mask & ~self.needs):
                about = layers.intersection(filed.rule.when.materials) if filed.priority == 1 else None
                if about and about <= met:
                    said &= ~self.index.bit[filed.rule.id]
        return said

    def ranks(self, said: int) -> dict[str, int]:
        """The strictest rank per action of the rules that speak for a part, or for a whole object."""
        found = {}
        for action, ranked in self.by_rank:
            for rank, mask in ranked:
                if said & mask:
                    found[action] = rank
                    break
        return found


def _is_verdict(filed: Filed) -> bool:
    return isinstance(filed.rule, m.VerdictRule)


def _turns_on(filed: Filed) -> bool:
    return isinstance(filed.rule, m.VerdictRule) and filed.rule.turns_on
