"""Decides which cautions speak beside the strength of one nail."""

from service.domain.cautions.caution import Caution, Triggers
from service.domain.strength.adjusted import Strength
from service.domain.strength.reference import PANEL
from service.said import say_length
from service.ticks import PER_IN

on_strength: Triggers[[Strength]] = Triggers()


def strength_cautions(strength: Strength) -> list[Caution]:
    """Return the cautions of one strength, standing notes left out."""
    stop = [Caution(*strength.stop)] if strength.stop else []
    return stop + on_strength.speak(strength)


@on_strength("end_grain_withdrawal")
def _end_grain(s: Strength) -> str | None:
    return "method is end_nail" if s.joint.method == "end_nail" else None


@on_strength("penetration_reduced")
def _reduced(s: Strength) -> str | None:
    if s.lateral is None or s.lateral.short_method is None:
        return None
    return f"penetration {say_length(round(s.penetration_in * PER_IN), form='3')} is {s.penetration_diameters:.3g} diameters; lateral value by {s.lateral.short_method}"


@on_strength("wet_lumber")
def _wet(s: Strength) -> str | None:
    return f"moisture is {s.service.moisture}" if s.service.moisture != "dry" else None


@on_strength("head_unknown")
def _head(s: Strength) -> str | None:
    missing = s.joint.side_kind == PANEL and s.nail.head_diameter is None
    return f"no head diameter for {s.nail.nail_id}" if missing else None


@on_strength("clipped_head")
def _clipped(s: Strength) -> str | None:
    return "head is clipped in a panel" if s.joint.side_kind == PANEL and s.nail.head == "clipped" else None


@on_strength("ring_not_rsrs")
def _ring(s: Strength) -> str | None:
    return f"{s.nail.nail_id} is a ring nail without the RSRS mark" if s.nail.shank == "ring" and not s.nail.kind else None
