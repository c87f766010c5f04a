"""The signs of a drawing and what they mean; those of nails are outlines in one stroke."""

from service.drawing.scene import Point

KEY = {
    "full_stud": "stud",
    "king_stud": "king stud",
    "jack_stud": "jack stud",
    "cripple": "cripple",
    "plate": "plate, sill",
    "header": "header",
    "block": "block",
    "opening": "rough opening, by number",
    "plate_joint": "joint of a plate",
    "panel_edge": "edge of a panel",
    "driven_nail": "framing nail in its length, head at the bar",
    "cut_nail": "nail in its length",
    "outside_nail": "framing nail from the outside",
    "inside_nail": "framing nail from the inside",
    "panel_nail": "panel nail",
}
"""What the signs mean, in the order of the legend."""
NAILS = {"driven_nail": 0.32, "outside_nail": 0.75, "inside_nail": 0.85, "panel_nail": 0.9}
"""Half the size of a nail's head, in units; never more than `MOST_SIGN` inches."""
MOST_SIGN = 1.2


def bar(head: Point, tip: Point, half: float) -> tuple[Point, ...]:
    """Return a nail in its length: a bar for the head, a line to the point, in one stroke."""
    (x, y), (a, b) = head, tip
    long = max(((a - x) ** 2 + (b - y) ** 2) ** 0.5, 0.01)
    dx, dy = -(b - y) / long * half, (a - x) / long * half
    return (x + dx, y + dy), (x - dx, y - dy), (x, y), (a, b)


def diamond(at: Point, half: float) -> tuple[Point, ...]:
    """Return the sign of a panel nail."""
    x, y = at
    return (x - half, y), (x, y - half), (x + half, y), (x, y + half)


def disc(at: Point, half: float) -> tuple[Point, ...]:
    """Return a head seen from above: eight corners, round enough at this size, and the same outline in every form."""
    (x, y), b = at, half * 0.41
    return (
        (x - half, y - b),
        (x - b, y - half),
        (x + b, y - half),
        (x + half, y - b),
        (x + half, y + b),
        (x + b, y + half),
        (x - b, y + half),
        (x - half, y + b),
    )
