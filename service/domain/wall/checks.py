"""What cannot be built as described, each fault with its numbers."""

from service.domain.wall.members import Member, fixed_studs, has_flats, header_depth, header_thickness
from service.domain.wall.wall import Opening, T, Wall
from service.errors import Fault
from service.said import say_length
from service.tables.book import Book
from service.ticks import inches


def wall_faults(wall: Wall, depth: int) -> list[Fault]:
    """Return what is wrong with the layout start, the support and the partitions of a wall of this depth."""
    faults = []
    low, high = T * 3 // 2, wall.spacing
    if not low <= wall.first_center <= high:
        faults.append(
            Fault(
                "out_of_range",
                f"must be {say_length(low, form='D')} to the stud spacing, {say_length(high)}",
                ("first_stud_offset_in",),
                {"minimum": inches(low), "maximum": inches(high), "received": inches(wall.first_center)},
            )
        )
    if wall.bearing and wall.supports == "none":
        faults.append(Fault("conflicting_fields", "a bearing wall supports something: send supports, or bearing false", ("supports",)))
    if not wall.bearing and wall.supports != "none":
        faults.append(Fault("conflicting_fields", "a wall that is not bearing has supports none", ("supports",)))
    taken = [("start_corner", 0, depth)] if wall.start_corner != "none" else []
    if wall.end_corner != "none":
        taken.append(("end_corner", wall.length - depth, wall.length))
    for i, cross in enumerate(wall.intersections):
        half = cross.depth // 2
        left, right = cross.at - half, cross.at + half
        path = ("intersections", i, "at_in")
        if left < 0 or right > wall.length:
            faults.append(
                Fault(
                    "intersection_outside_wall",
                    f"a partition {say_length(cross.depth)} deep at {say_length(cross.at)} reaches past the wall (0 to {say_length(wall.length)}): at_in may be {say_length(half, wall.length - half, between=' to ')}",
                    path,
                    {"received": inches(cross.at), "minimum": inches(half), "maximum": inches(wall.length - half)},
                )
            )
        faults += [
            Fault(
                "intersections_overlap",
                f"the partition at {say_length(cross.at)} ({say_length(left, right, between=' to ', form='D')}) overlaps {other} ({say_length(a, b, between=' to ', form='D')})",
                path,
            )
            for other, a, b in taken
            if left < b and a < right
        ]
        taken.append((f"intersections/{i}", left, right))
    return faults


def opening_faults(wall: Wall, book: Book) -> list[Fault]:
    """Return what is wrong with the openings, each with its numbers."""
    out: list[Fault] = []
    seen: set[str] = set()
    top = T + wall.stud_length
    for i, o in enumerate(wall.openings):
        path = ("openings", i)
        reach = T * (o.jack_count + o.king_count)
        left, right = o.at - reach, o.at + o.width + reach
        if o.opening_id in seen:
            out.append(Fault("duplicate_id", f"the id {o.opening_id!r} stands twice", (*path, "id")))
        seen.add(o.opening_id)
        if left < 0 or right > wall.length:
            out.append(_outside(wall, o, reach).under(*path))
        if o.kind == "door" and o.sill_height is not None:
            out.append(Fault("conflicting_fields", "a door has no sill", (*path, "sill_height_in")))
        if o.kind == "window" and o.sill_height is None:
            out.append(Fault("missing_field", "is required for a window", (*path, "sill_height_in")))
        if o.sill_height is not None and o.sill_height < T * 2:
            out.append(
                Fault(
                    "sill_too_low",
                    f"the sill piece would cut the bottom plate: at least {say_length(T * 2)}",
                    (*path, "sill_height_in"),
                    {"received": inches(o.sill_height), "limit": inches(T * 2)},
                )
            )
        if o.head_height <= (o.sill_height or 0) + T:
            out.append(
                Fault(
                    "head_below_sill",
                    f"head height {say_length(o.head_height)} must be over the sill height {say_length(o.sill_height or 0)}",
                    (*path, "head_height_in"),
                )
            )
        if wall.bearing and o.header is None:
            out.append(Fault("missing_field", "a bearing wall needs a header here; null is for walls that do not bear", (*path, "header")))
        out += _header_faults(o, wall, path, book)
        depth = header_depth(o, wall, book)
        if o.head_height + depth > top:
            flats = " with the flat 2-by on and under it" if has_flats(o.header, book) else ""
            out.append(
                Fault(
                    "header_does_not_clear",
                    f"the top of the header of {o.opening_id}{flats} at {say_length(o.head_height + depth)} is over the underside of the top plates at {say_length(top)}: head_height_in may be {say_length(top - depth)}",
                    (*path, "head_height_in"),
                    {"received": inches(o.head_height), "limit": inches(top - depth)},
                )
            )
    return out


def _header_faults(o: Opening, wall: Wall, path: tuple[str | int, ...], book: Book) -> list[Fault]:
    """Say what is wrong with the header alone: thicker than the wall, or none where the opening is too large for that."""
    rules, deep = book.rules, book.lumber[wall.stud].depth
    if o.header is None:
        above = T + wall.stud_length - o.head_height
        limits = (
            ("width_in", o.width, rules.flat_head_width, "without a header an opening is at most {} wide (IRC R602.7.4)"),
            ("head_height_in", above, rules.flat_head_above, "without a header at most {} stand between head and plates (IRC R602.7.4)"),
        )
        return [
            Fault(
                "out_of_range",
                f"{said.format(say_length(most))}, here {say_length(value)}: send a header",
                (*path, name),
                {
                    "limit": inches(most if name == "width_in" else T + wall.stud_length - most),
                    "received": inches(o.width if name == "width_in" else o.head_height),
                },
            )
            for name, value, most, said in limits
            if value > most
        ]
    thick = header_thickness(o.header, book)
    if thick <= deep:
        return []
    said = f"the header of {o.opening_id} is {say_length(thick)} thick, spacers included, and the {wall.stud} wall {say_length(deep)} deep: send a thinner header or a deeper stud"
    return [Fault("out_of_range", said, (*path, "header"), {"limit": inches(deep), "received": inches(thick)})]


def _outside(wall: Wall, o: Opening, reach: int) -> Fault:
    """Return the fault of an opening that does not stand in its wall: where it may, or how wide it may be."""
    left, right = o.at - reach, o.at + o.width + reach
    takes = f"opening {o.opening_id} with its jacks and kings takes {say_length(left, right, between=' to ')}; the wall runs 0 to {say_length(wall.length)}"
    last, widest = wall.length - o.width - reach, wall.length - 2 * reach
    if last < reach:
        said = f"{takes}, and holds no opening over {say_length(max(widest, 0))}"
        return Fault("opening_outside_wall", said, ("width_in",), {"received": inches(o.width), "limit": inches(max(widest, 0))})
    said = f"{takes}: at_in may be {say_length(reach, last, between=' to ')}"
    facts = {"received": inches(o.at), "minimum": inches(reach), "maximum": inches(last)}
    return Fault("opening_outside_wall", said, ("at_in",), facts)


def overlap_faults(wall: Wall, book: Book) -> list[Fault]:
    """Return which fixed studs and openings stand in one place."""
    fixed = sorted(fixed_studs(wall, book), key=lambda nm: nm[1].x)
    out = [
        _clash(wall, a, m, b, n)
        for (a, m), (b, n) in zip(fixed, fixed[1:], strict=False)
        if n.x < m.right and not (n.x == m.x and a != b and _shared(m, n))
    ]
    for i, o in enumerate(wall.openings):
        left, right = o.at - T * o.jack_count, o.at + o.width + T * o.jack_count
        name = f"opening {o.opening_id}"
        inside = [(a, m) for a, m in fixed if m.x < right and left < m.right]
        out += [
            Fault(
                "members_overlap",
                f"a stud of {a} ({say_length(m.x, m.right, between=' to ')}) stands inside {name} ({say_length(left, right, between=' to ')})",
                ("openings", i, "at_in"),
            )
            for a, m in inside
        ]
        out += [
            Fault(
                "members_overlap",
                f"{name} ({say_length(left, right, between=' to ')}) overlaps opening {p.opening_id} ({say_length(p.at, p.at + p.width, between=' to ')})",
                ("openings", i, "at_in"),
            )
            for j, p in enumerate(wall.openings)
            if (p.at, j) > (o.at, i) and p.at - T * p.jack_count < right
        ]
    return out


def _shared(m: Member, n: Member) -> bool:
    """Whether two studs in one place are one: a king may be an end stud or the neighbor's king."""
    return {m.role, n.role} <= {"king_stud", "end_stud"}


def _clash(wall: Wall, a: str, m: Member, b: str, n: Member) -> Fault:
    named = next((n for n in (b, a) if n.startswith("opening ")), "")
    path: tuple[str | int, ...] = ("intersections",) if "intersections" in a + b else ("length_in",)
    if named:
        path = ("openings", next(i for i, o in enumerate(wall.openings) if named == f"opening {o.opening_id}"), "at_in")
    return Fault(
        "members_overlap",
        f"a stud of {a} ({say_length(m.x, m.right, between=' to ')}) overlaps one of {b} ({say_length(n.x, n.right, between=' to ')})",
        path,
    )
