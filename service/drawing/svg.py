"""Writes a scene as SVG 1.1: presentation attributes alone, so that no policy of a page blocks it; no script, nothing from outside."""

from html import escape

from service.drawing.lettering import clean
from service.drawing.scene import LOOKS, Box, Line, Look, Marks, Point, Scene, Shape, Words

FONT = "Arial, Helvetica, sans-serif"
TURN = ' transform="rotate(-90 {x} {y})"'


def write_svg(scene: Scene) -> bytes:
    """Return a scene as SVG; the same scene gives the same bytes."""
    width, height = _n(scene.width), _n(scene.height)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
            f'aria-labelledby="title desc" font-family="{FONT}">',
            f'<title id="title">{_said(scene.title)}</title>',
            f'<desc id="desc">{_said(scene.about)}</desc>',
            *(_written(shape, scene.unit) for shape in scene.shapes),
            "</svg>\n",
        ]
    ).encode()


def _written(shape: Shape, unit: float) -> str:
    look = LOOKS[shape.role]
    match shape:
        case Box(role, x, y, width, height):
            at = f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
            return f'<rect class="{role}" {at} {_paint(look, unit)}/>'
        case Line(role, points):
            return f'<path class="{role}" d="{_path(points, False)}" {_paint(look, unit)}/>'
        case Marks(role, about, outlines):
            paths = "".join(_path(o, look.closed) for o in outlines)
            return f'<g class="{role}"><title>{_said(about)}</title><path d="{paths}" {_paint(look, unit)}/></g>'
        case Words():
            return _words(shape, look)


def _words(words: Words, look: Look) -> str:
    x, y = _n(words.x), _n(words.y)
    turn = TURN.format(x=x, y=y) if words.turned else ""
    anchor = "" if words.anchor == "start" else f' text-anchor="{words.anchor}"'
    bold = ' font-weight="bold"' if look.bold else ""
    at = f'x="{x}" y="{y}" font-size="{_n(words.size)}" fill="{_shade(look.fill)}"'
    return f'<text class="{words.role}" {at}{anchor}{bold}{turn}>{_said(words.text)}</text>'


def _paint(look: Look, unit: float) -> str:
    if look.line is None:
        return f'fill="{_shade(look.fill)}"'
    dashes = f' stroke-dasharray="{" ".join(_n(d * unit) for d in look.dashes)}"' if look.dashes else ""
    return f'fill="{_shade(look.fill)}" stroke="{_shade(look.line)}" stroke-width="{_n(look.weight * unit)}"{dashes}'


def _shade(shade: int | None) -> str:
    return "none" if shade is None else f"#{shade:02x}{shade:02x}{shade:02x}"


def _path(points: tuple[Point, ...], closed: bool) -> str:
    (x, y), *more = points
    return f"M{_n(x)} {_n(y)}L{' '.join(f'{_n(a)} {_n(b)}' for a, b in more)}{'Z' if closed else ''}"


def _n(value: float) -> str:
    """Write a number to a hundredth of an inch, without dust."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def _said(text: str) -> str:
    return escape(clean(text))
