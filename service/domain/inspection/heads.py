"""Heads driven through the face of a panel: how many are accepted, and how many nails make up for the others."""

from dataclasses import dataclass

from service.domain.inspection.observed import Heads
from service.domain.joint.stop import Provenance
from service.said import say_fraction
from service.tables.rules import Rules
from service.ticks import ceil_div

DRY = "dry"


@dataclass(frozen=True, slots=True)
class HeadsJudged:
    """Heads against the guidance: `added` nails make up for those too deep, `doubt` says why it may not hold here."""

    heads: Heads
    added: int
    because: str
    doubt: str
    provenance: Provenance

    @property
    def share(self) -> float:
        """Overdriven heads over those inspected."""
        return self.heads.over_light / self.heads.inspected


def judge_heads(heads: Heads, moisture: str, rules: Rules) -> HeadsJudged:
    """Return how many nails are added for overdriven heads.

    References
    ----------
    Association guidance on overdriven nails (TT-012, as cited), read once: no nail is added where no head is over 1/8 in
    and at most a fifth of the perimeter nails are over 1/16 in; past either, one for every two overdriven.
    """
    light, deep = say_fraction(rules.overdriven_light), say_fraction(rules.overdriven_deep)
    accepted = not heads.over_deep and heads.over_light <= heads.inspected * rules.overdriven_share + 1e-9
    found = f"{heads.over_light} of {heads.inspected} heads inspected are over {light} deep, {heads.over_deep} of them over {deep}"
    limit = f"up to {rules.overdriven_share:.0%} between the two are accepted"
    wet = "" if accepted and moisture == DRY else f"the guidance takes heads up to {light} deep as sound in dry wood only"
    row = rules.rows["overdriven_share"]
    return HeadsJudged(
        heads,
        0 if accepted else ceil_div(heads.over_light, rules.overdriven_for_one),
        f"{found}; {limit}",
        wet if accepted else "",
        Provenance(
            "TT-012", "", row.source, None, None, "guidance for perimeter nails of shear and bracing panels, no code", row.confidence
        ),
    )
