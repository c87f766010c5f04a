"""Decides which cautions speak beside a take-off."""

from service.domain.cautions.caution import Caution, Triggers
from service.domain.takeoff.purchase import TakeOff

on_takeoff: Triggers[[TakeOff]] = Triggers()


def cautions_of(found: TakeOff) -> list[Caution]:
    """Return what a take-off has to say beside its walls and joints."""
    return on_takeoff.speak(found)


@on_takeoff("package_count_approximate")
def _approximate(found: TakeOff) -> str | None:
    """Speak for boxes of the trade, and for those that are sold by weight."""
    generic = [line.nail.label for line in found.nails if any(p.generic for p, _ in line.packed.packages)]
    weighed = [line.nail.label for line in found.nails if any(p.approximate and not p.generic for p, _ in line.packed.packages)]
    said = [f"no package was sent for {', '.join(generic)}"] if generic else []
    return "; ".join([*said, *([f"packages by weight of {', '.join(weighed)}"] if weighed else [])]) or None
