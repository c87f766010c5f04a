"""How well a value is known; the words are explained in DEVELOPERS.md."""

WEAKEST_FIRST = ("memory", "common_practice", "derived", "single_source", "verified")
SERVICE_RULE = "service_rule"
"""Of texts and limits that this service sets itself: nothing in print is claimed."""


def weakest(*confidences: str) -> str:
    """Return the weakest of some confidences: an answer is known as well as its weakest part."""
    return min(confidences, key=WEAKEST_FIRST.index)
