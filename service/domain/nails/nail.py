"""A nail as a thing of steel: size, shank, head, coating; and how it is named."""

import re
from dataclasses import dataclass

from service.errors import FasteningError, Fault
from service.said import say_length
from service.tables.book import Book
from service.tables.nails import NailRow
from service.tables.schedule import OptionRow
from service.ticks import PER_MM, inches, label, ticks

TOLERANCE = ticks("0.001")
CARBON_STEEL = ("bright", "hot_dip_galvanized", "electro_galvanized")
_SIZE_ID = re.compile(r"^(smooth|ring|screw)-([0-9]{1,2}(?:\.[0-9]{1,4})?)x(0\.[0-9]{2,4})\Z")
LENGTH_RANGE = (ticks("0.5"), ticks("8"))
DIAMETER_RANGE = (ticks("0.05"), ticks("0.4"))


@dataclass(frozen=True, slots=True)
class Nail:
    """One nail; lengths in ticks. `kind` is rsrs, post_frame or empty; `unit` is the one its size was sent in, in or mm."""

    nail_id: str
    type: str
    pennyweight: str
    length: int
    diameter: int
    shank: str
    kind: str = ""
    head_diameter: int | None = None
    head: str = "full_round"
    coating: str = "bright"
    confidence: str | None = None
    root_diameter: int | None = None
    ring_length: int | None = None
    hardened: bool = False
    head_confidence: str | None = None
    unit: str = "in"

    @property
    def carbon_steel(self) -> bool:
        """Whether the nail is known to be carbon steel, galvanized or not."""
        return self.coating in CARBON_STEEL

    @property
    def head_known(self) -> bool:
        """Whether the head is full and round and its diameter known: what pull-through asks for."""
        return self.head_diameter is not None and self.head == "full_round"

    @property
    def preference(self) -> tuple[bool, int, str, str, str, str, int]:
        """Order nails that do the same, whatever order they were sent in: a known head first, then the least steel, then by name."""
        steel = self.diameter**2 * self.length
        return not self.head_known, steel, self.nail_id, self.coating, self.unit, self.head, self.head_diameter or 0

    @property
    def label(self) -> str:
        """Write the nail as people say it; the designation reader takes it back."""
        size = (
            f"{label(self.length)} x {inches(self.diameter):.3f}" if self.unit == "in" else f"{_mm(self.length)} x {_mm(self.diameter)} mm"
        )
        if self.kind == "rsrs":
            said = f"RSRS-{self.nail_id[-2:]} ({size})"
        elif self.kind == "post_frame":
            said = f"post-frame ring {size}"
        elif self.pennyweight:
            said = f"{self.pennyweight} {self.type} ({size})"
        else:
            said = f"{size} {self.shank}"
        return said if self.coating == "bright" else f"{said} {self.coating.replace('_', ' ')}"


@dataclass(frozen=True, slots=True)
class NailAsk:
    """The words of a request about its nail, before they are understood."""

    nail_id: str | None = None
    designation: str | None = None
    length: int | None = None
    diameter: int | None = None
    shank: str | None = None
    head_diameter: int | None = None
    head: str | None = None
    coating: str | None = None
    unit: str = "in"


def from_row(row: NailRow) -> Nail:
    """Return the catalogue nail of a table line."""
    kind = {"roof_sheathing_ring": "rsrs", "post_frame_ring": "post_frame"}.get(row.type, "")
    return Nail(
        nail_id=row.nail_id,
        type=row.type,
        pennyweight="" if kind else row.pennyweight,
        length=row.length,
        diameter=row.diameter,
        shank=row.shank,
        kind=kind,
        head_diameter=row.head_diameter,
        confidence=row.confidence,
        root_diameter=row.root_diameter,
        ring_length=row.ring_length,
        hardened=row.hardened,
        head_confidence=row.head_confidence or None,
    )


def _mm(length: int) -> str:
    return f"{round(length / PER_MM, 2):g}"


def size_id(shank: str, length: int, diameter: int) -> str:
    """Name a nail by shank, length and diameter."""
    return f"{shank}-{inches(length):g}x{max(f'{inches(diameter):.3f}', f'{inches(diameter):g}', key=len)}"


def of_size(shank: str, length: int, diameter: int, unit: str = "in") -> Nail:
    """Return a nail known by size alone, on or off the catalogue.

    Raises
    ------
    FasteningError
        `out_of_range` when no nail for framing has that size.
    """
    faults = [
        Fault(
            "out_of_range",
            f"a nail's {what} must be {say_length(low, high, between=' to ')}",
            (),
            {"minimum": inches(low), "maximum": inches(high), "received": inches(size)},
        )
        for what, size, (low, high) in (("length", length, LENGTH_RANGE), ("shank diameter", diameter, DIAMETER_RANGE))
        if not low <= size <= high
    ]
    if faults:
        raise FasteningError(*faults)
    kind = "power_driven" if shank == "smooth" else f"power_driven_{shank}"
    return Nail(size_id(shank, length, diameter), kind, "", length, diameter, shank, unit=unit)


def by_id(nail_id: str, book: Book) -> Nail:
    """Return the nail of an id.

    Raises
    ------
    FasteningError
        `unknown_value` when no nail has that id.
    """
    row = book.nails.get(nail_id)
    if row:
        return from_row(row)
    size = _SIZE_ID.match(nail_id)
    if not size:
        raise FasteningError(
            Fault(
                "unknown_value",
                f"no nail has the id {nail_id!r}; GET /v1/nails lists them, and smooth-3x0.120 names a size",
                (),
                {"received": nail_id},
            )
        )
    return of_size(size[1], ticks(size[2]), ticks(size[3]))


def fits(nail: Nail, option: OptionRow) -> bool:
    """Whether the nail is the one the option prints: shank, length, diameter, not name."""
    if option.shank == "any":
        thinnest, thickest = option.diameter or 0, option.diameter_max or 0
        return nail.length >= (option.length or 0) and thinnest <= nail.diameter <= thickest
    if option.fastener == "roofing_nail" and not (
        nail.head_diameter and option.head_diameter and nail.head_diameter >= option.head_diameter - TOLERANCE
    ):
        return False
    if option.length is None or option.diameter is None or not _shank_fits(nail, option.shank):
        return False
    thickest = option.diameter_max or option.diameter
    return abs(nail.length - option.length) <= TOLERANCE and option.diameter - TOLERANCE <= nail.diameter <= thickest + TOLERANCE


def _shank_fits(nail: Nail, shank: str) -> bool:
    return {
        "smooth": nail.shank == "smooth",
        "deformed": nail.shank in ("ring", "screw"),
        "smooth_or_deformed": True,
        "rsrs": nail.kind == "rsrs",
    }.get(shank, False)


def exceeds(nail: Nail, option: OptionRow, panel: bool) -> bool:
    """Whether the nail is not shorter and not thinner than the option, and may stand for its shank.

    Plain, ring or screw may stand for plain; plain never for ring, RSRS or deformed. Carbon steel only;
    a full head for panels.
    """
    if option.fastener != "nail" or option.length is None or option.diameter is None:
        return False
    if not nail.carbon_steel or (panel and nail.head != "full_round"):
        return False
    if option.shank == "deformed" and nail.shank == "smooth" or option.shank == "rsrs" and nail.kind != "rsrs":
        return False
    return nail.length >= option.length - TOLERANCE and nail.diameter >= option.diameter - TOLERANCE


def head_holds(nail: Nail, option: OptionRow, panel: bool) -> bool:
    """Whether a known head is as wide as the row prints for its panel nail; an unknown one is left to a caution.

    A head counts against a nail only where the row itself prints one: by its size the nail is the listed one or more.
    """
    return not panel or nail.head_diameter is None or nail.head_diameter >= (option.head_diameter or 0) - TOLERANCE
