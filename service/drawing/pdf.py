"""Writes scenes as the pages of a PDF, in the built-in fonts that every reader has; the same scenes give the same bytes."""

from collections.abc import Sequence
from io import BytesIO

import pydyf

from service.drawing.lettering import clean
from service.drawing.scene import LOOKS, PAPER, Box, Inset, Line, Marks, Point, Scene, Shape, Words

PER_INCH = 72
ENCODING = "cp1252"
"""What the built-in fonts can show; other characters stand as a question mark."""
WIDTHS = dict(
    zip(
        map(chr, range(32, 127)),
        map(
            int,
            "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 584 584 584 556 "
            "1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 "
            "333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 500 500 500 334 260 334 584".split(),
        ),
        strict=True,
    )
)
"""Widths of the plain built-in font in thousandths of its size (its published metrics), to set words by their middle or end."""


def write_pdf(pages: Sequence[Scene]) -> bytes:
    """Return scenes as a PDF, one page each."""
    pdf = pydyf.PDF()
    fonts = {}
    for name, base in (("F", "Helvetica"), ("B", "Helvetica-Bold")):
        font = pydyf.Dictionary({"Type": "/Font", "Subtype": "/Type1", "BaseFont": f"/{base}", "Encoding": "/WinAnsiEncoding"})
        pdf.add_object(font)
        fonts[name] = font.reference
    for scene in pages:
        content = pydyf.Stream(compress=True)
        content.set_matrix(PER_INCH, 0, 0, -PER_INCH, 0, scene.height * PER_INCH)
        _draw(content, scene)
        pdf.add_object(content)
        page = {
            "Type": "/Page",
            "Parent": pdf.pages.reference,
            "MediaBox": pydyf.Array([0, 0, round(scene.width * PER_INCH, 2), round(scene.height * PER_INCH, 2)]),
            "Contents": content.reference,
            "Resources": pydyf.Dictionary({"Font": pydyf.Dictionary(fonts)}),
        }
        pdf.add_page(pydyf.Dictionary(page))
    pdf.info["Title"] = pydyf.String(clean(pages[0].title))
    out = BytesIO()
    pdf.write(out)
    return out.getvalue()


def _draw(content: pydyf.Stream, scene: Scene) -> None:
    for shape in scene.shapes:
        _shape(content, shape, scene.unit)


def _shape(content: pydyf.Stream, shape: Shape, unit: float) -> None:
    if isinstance(shape, Inset):
        content.push_state()
        content.set_matrix(shape.scale, 0, 0, shape.scale, shape.x, shape.y)
        _draw(content, shape.scene)
        content.pop_state()
        return
    look = LOOKS[shape.role]
    if isinstance(shape, Words):
        _words(content, shape)
        return
    content.set_color_rgb(*[(look.fill if look.fill is not None else PAPER) / 255] * 3)
    content.set_color_rgb(*[(look.line or 0) / 255] * 3, stroke=True)
    content.set_line_width(look.weight * unit)
    content.set_dash([d * unit for d in look.dashes], 0)
    match shape:
        case Box(_, x, y, width, height):
            content.rectangle(x, y, width, height)
        case Line(_, points):
            _path(content, points)
        case Marks(_, _, outlines):
            for outline in outlines:
                _path(content, outline)
                if look.closed:
                    content.close()
    if look.fill is None:
        content.stroke()
    elif look.line is None:
        content.fill()
    else:
        content.fill_and_stroke()


def _path(content: pydyf.Stream, points: tuple[Point, ...]) -> None:
    content.move_to(*points[0])
    for point in points[1:]:
        content.line_to(*point)


def _words(content: pydyf.Stream, words: Words) -> None:
    """Write a text upright: the page is turned over, so that its y runs down."""
    look = LOOKS[words.role]
    raw = clean(words.text).encode(ENCODING, "replace")
    shift = (
        {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * words.size * sum(WIDTHS.get(c, 556) for c in raw.decode(ENCODING)) / 1000
    )
    content.begin_text()
    content.set_font_size("B" if look.bold else "F", words.size)
    content.set_color_rgb(*[(look.fill or 0) / 255] * 3)
    if words.turned:
        content.set_text_matrix(0, -1, -1, 0, words.x, words.y + shift)
    else:
        content.set_text_matrix(1, 0, 0, -1, words.x - shift, words.y)
    escaped = raw.replace(b"\\", rb"\\").replace(b"(", rb"\(").replace(b")", rb"\)")
    content.stream.append(b"(" + escaped + b") Tj")
    content.end_text()
