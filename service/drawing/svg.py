"""Writes a scene as SVG 1.1: presentation attributes alone, so that no policy of a page blocks it; no script, nothing from outside."""

from collections.abc import Callable
from html import escape
from math import log10

from service.drawing.lettering import clean
from service.drawing.scene import LOOKS, Box, Inset, Line, Look, Marks, Point, Scene, Shape, Words

Numbers = Callable[[float], str]
FONT = "Arial, Helvetica, sans-serif"
TURN = ' transform="rotate(-90 {x} {y})"'


def write_svg(scene: Scene) -> bytes:
    """Return a scene as SVG; the same scene gives the same bytes."""
    n = _numbers(scene.unit)
    width, height = n(scene.width), n(scene.height)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
            f'aria-labelledby="title desc" font-family="{FONT}">',
            f'<title id="title">{_said(scene.title)}</title>',
            f'<desc id="desc">{_said(scene.about)}</desc>',
            *(_written(shape, scene.unit, n) for shape in scene.shapes),
            "</svg>\n",
        ]
    ).encode()


def _written(shape: Shape, unit: float, n: Numbers) -> str:
    if isinstance(shape, Inset):
        inner = "".join(_written(s, shape.scene.unit, n) for s in shape.scene.shapes)
        return f'<g transform="translate({n(shape.x)} {n(shape.y)}) scale({shape.scale:.6g})">{inner}</g>'
    look = LOOKS[shape.role]
    match shape:
        case Box(role, x, y, width, height):
            at = f'x="{n(x)}" y="{n(y)}" width="{n(width)}" height="{n(height)}"'
            return f'<rect class="{role}" {at} {_paint(look, unit, n)}/>'
        case Line(role, points):
            return f'<path class="{role}" d="{_path(points, False, n)}" {_paint(look, unit, n)}/>'
        case Marks(role, about, outlines):
            paths = "".join(_path(o, look.closed, n) for o in outlines)
            return f'<g class="{role}"><title>{_said(about)}</title><path d="{paths}" {_paint(look, unit, n)}/></g>'
        case Words():
            return _words(shape, look, n)


def _words(words: Words, look: Look, n: Numbers) -> str:
    x, y = n(words.x), n(words.y)
    turn = TURN.format(x=x, y=y) if words.turned else ""
    anchor = "" if words.anchor == "start" else f' text-anchor="{words.anchor}"'
    bold = ' font-weight="bold"' if look.bold else ""
    at = f'x="{x}" y="{y}" font-size="{n(words.size)}" fill="{_shade(look.fill)}"'
    return f'<text class="{words.role}" {at}{anchor}{bold}{turn}>{_said(words.text)}</text>'


def _paint(look: Look, unit: float, n: Numbers) -> str:
    if look.line is None:
        return f'fill="{_shade(look.fill)}"'
    dashes = f' stroke-dasharray="{" ".join(n(d * unit) for d in look.dashes)}"' if look.dashes else ""
    return f'fill="{_shade(look.fill)}" stroke="{_shade(look.line)}" stroke-width="{n(look.weight * unit)}"{dashes}'


def _shade(shade: int | None) -> str:
    return "none" if shade is None else f"#{shade:02x}{shade:02x}{shade:02x}"


def _path(points: tuple[Point, ...], closed: bool, n: Numbers) -> str:
    (x, y), *more = points
    return f"M{n(x)} {n(y)}L{' '.join(f'{n(a)} {n(b)}' for a, b in more)}{'Z' if closed else ''}"


def _numbers(unit: float) -> Numbers:
    """Return how numbers are written: to a hundredth of an inch, or of a unit where that is finer; without dust."""
    places = max(2, round(2 - log10(unit)))

    def write(value: float) -> str:
        return f"{round(value, places) + 0.0:.{places}f}".rstrip("0").rstrip(".")

    return write


def _said(text: str) -> str:
    return escape(clean(text))
