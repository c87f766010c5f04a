"""Which row of the schedule governs a joint, and what each of its options asks."""

from dataclasses import dataclass, replace

from service.domain.joint.stop import Stop, past
from service.domain.nails.nail import TOLERANCE
from service.domain.site import Site
from service.said import say_length, say_speed
from service.tables.book import Book
from service.tables.confidence import weakest
from service.tables.editions import Edition
from service.tables.joints import ConnectionRow
from service.tables.nails import NailRow
from service.tables.panels import LIGHT_FIELD, LIGHT_NAIL, FootnoteRow, WindPanelRow
from service.tables.rules import Rules
from service.tables.schedule import Nailing, OptionRow, Panel, ScheduleRow


@dataclass(frozen=True, slots=True)
class Selectors:
    """The request fields that choose a row inside one connection; lengths in ticks."""

    braced: bool = False
    use: str = "wall"
    panel_thickness: int | None = None
    stud_spacing: int | None = None
    span_rating: str | None = None
    material_between: int = 0


@dataclass(frozen=True, slots=True)
class Choice:
    """One listed option, where it stands, and whether its conditions are met here; `barred`: by wind or wood, so that no comparison gets round it."""

    option: OptionRow
    section: str
    table: str
    item: str
    nailing: Nailing
    refused_because: str = ""
    barred: bool = False


@dataclass(frozen=True, slots=True)
class RowReading:
    """What the edition lists for a joint; `past` names the limits when nothing applies."""

    row: ScheduleRow | None
    choices: tuple[Choice, ...]
    past: tuple[Stop, ...] = ()


def read_row(connection: ConnectionRow, ask: Selectors, site: Site, gravity: float, edition: Edition, book: Book) -> RowReading:
    """Return the governing row and its options.

    Parameters
    ----------
    gravity : float
        Specific gravity of the framing. [-]
    """
    reading = _reading(connection, ask, site, edition, book)
    light = connection.panel and edition.low_gravity_framing and gravity < book.rules.low_gravity_under
    return _in_light_framing(reading, connection, ask, gravity, edition, book.rules) if light and reading.choices else reading


def _reading(connection: ConnectionRow, ask: Selectors, site: Site, edition: Edition, book: Book) -> RowReading:
    if connection.wind_panel:
        return _wind_panels(ask, site, edition, book)
    if connection.judged_by == "common_practice":
        row = book.common_practice[connection.connection_id]
        return RowReading(row, tuple(Choice(o, "", "", "", o.nailing) for o in row.options))
    rows = [r for r in edition.rows.get(connection.connection_id, ()) if _chosen(r, ask, site, book.rules)]
    fitting = [r for r in rows if _thickness_fits(r, ask.panel_thickness)]
    if rows and not fitting:
        ranges = sorted({f"{say_length(r.thickness_min or 0, r.thickness_max or 0, between=' to ')}" for r in rows})
        return RowReading(
            None,
            (),
            (
                _past_rows(
                    rows, f"panel thickness {say_length(ask.panel_thickness or 0)} is outside the rows held ({'; '.join(ranges)})", edition
                ),
            ),
        )
    special = [r for r in fitting if r.seismic_design_categories]
    fitting = special or fitting
    if not fitting:
        return RowReading(None, ())
    choices = tuple(_choice(o, r, ask, site, edition, book.rules) for r in fitting for o in r.options if not o.use or ask.use in o.use)
    row = next((r for r in fitting if not all(o.alternate for o in r.options)), fitting[0])
    if not choices and row.options:
        return RowReading(None, (), (_past_rows(fitting, f"no row of the edition is for use {ask.use!r} at this thickness", edition),))
    return RowReading(row, choices)


def _choice(option: OptionRow, row: ScheduleRow, ask: Selectors, site: Site, edition: Edition, rules: Rules) -> Choice:
    why = _wind_refusal(option, site, rules)
    return Choice(option, row.section, option.table, row.item, _footnoted(option.nailing, ask, edition), why, barred=why != "")


def _past_rows(rows: list[ScheduleRow], said: str, edition: Edition) -> Stop:
    """Say that none of some rows of the schedule is for what is asked."""
    confidence = weakest(*(r.confidence for r in rows))
    return past("schedule", said, edition.code, edition.year, rows[0].section, rows[0].table, confidence)


def _chosen(row: ScheduleRow, ask: Selectors, site: Site, rules: Rules) -> bool:
    if row.braced is not None and row.braced != ask.braced:
        return False
    if not row.seismic_design_categories:
        return True
    return site.seismic_design_category in row.seismic_design_categories and site.wide_braced_wall_lines(rules)


def _thickness_fits(row: ScheduleRow, thickness: int | None) -> bool:
    if row.thickness_min is None and row.thickness_max is None:
        return True
    if thickness is None:
        return False
    return (row.thickness_min or 0) - TOLERANCE <= thickness and (row.thickness_max is None or thickness <= row.thickness_max + TOLERANCE)


def _wind_refusal(option: OptionRow, site: Site, rules: Rules) -> str:
    if option.max_wind_mph is None or site.wind_mph("ultimate", rules) <= option.max_wind_mph + 1e-9:
        return ""
    return f"only to {say_speed(f'{option.max_wind_mph:.0f}')} ultimate, not at {site.say_wind(rules)}"


def _footnoted(nailing: Nailing, ask: Selectors, edition: Edition) -> Nailing:
    """Apply the wide-supports footnote: 6 in at most at every support 48 in or more apart."""
    if not isinstance(nailing, Panel) or ask.stud_spacing is None:
        return nailing
    note = edition.footnote("wide_supports")
    if note and note.span_min and note.spacing_max and ask.stud_spacing >= note.span_min:
        return Panel(min(nailing.edge, note.spacing_max), min(nailing.field, note.spacing_max))
    return nailing


def _in_light_framing(
    reading: RowReading, connection: ConnectionRow, ask: Selectors, gravity: float, edition: Edition, rules: Rules
) -> RowReading:
    """Read a row of panels on light framing: closer field nails on walls, one kind of nail on roofs, a design where it is lighter still."""
    on_roof = connection.by_use and ask.use == "roof"
    note = edition.footnote(LIGHT_FIELD) if connection.wind_panel else edition.footnote(LIGHT_NAIL) if on_roof else None
    if gravity < rules.low_gravity_from:
        first, confidence = reading.choices[0], note.confidence if note else "derived"
        short = f"{rules.low_gravity_from - gravity:.2g} under the {rules.low_gravity_from:g} to which the footnotes on panels reach"
        said = f"specific gravity {gravity:g} of the framing is {short}"
        stop = past("light_framing", said, edition.code, edition.year, first.section, first.table, confidence)
        return replace(reading, past=(*reading.past, stop))
    if note and note.spacing_max:
        return replace(reading, choices=tuple([_closer_field(c, note, note.spacing_max) for c in reading.choices]))
    if note and note.nail:
        thin = (ask.panel_thickness or 0) <= (note.thickness_max or 0) + TOLERANCE
        return replace(reading, choices=_one_nail(reading.choices, note, note.nail, thin, gravity, rules))
    return reading


def _closer_field(choice: Choice, note: FootnoteRow, most: int) -> Choice:
    if not isinstance(choice.nailing, Panel):
        return choice
    option = replace(choice.option, confidence=weakest(choice.option.confidence, note.confidence))
    return replace(choice, option=option, nailing=Panel(choice.nailing.edge, min(choice.nailing.field, most)))


def _one_nail(
    choices: tuple[Choice, ...], note: FootnoteRow, nail: NailRow, thin: bool, gravity: float, rules: Rules
) -> tuple[Choice, ...]:
    """Bar the lighter nails of a roof row, and in thin panels all but the nail that the footnote asks for, at the row's spacing."""
    why = f"only on framing of specific gravity {rules.low_gravity_under:g} and over, not {gravity:g}"
    barred = tuple([
        replace(c, refused_because=c.refused_because or why, barred=True) if thin or c.option.max_wind_mph else c for c in choices
    ])  # fmt: skip
    first = next((c for c in choices if not c.option.alternate and c.option.fastener == "nail"), None)
    if first is None or not thin:
        return barred
    option = replace(
        first.option,
        shank="rsrs",
        nail_id=nail.nail_id,
        pennyweight="",
        length=nail.length,
        diameter=nail.diameter,
        head_diameter=nail.head_diameter,
        confidence=weakest(first.option.confidence, note.confidence),
        note=note.note,
    )
    return (replace(first, option=option), *barred)


def assumed_span_rating(thickness: int, book: Book) -> str | None:
    """Return the rating a panel of this thickness usually carries, None when too thin."""
    held = [row.span_rating for row in book.span_rating_defaults if thickness >= row.min_thickness - TOLERANCE]
    return held[-1] if held else None


def _wind_panels(ask: Selectors, site: Site, edition: Edition, book: Book) -> RowReading:
    thickness = ask.panel_thickness or 0
    spacing = ask.stud_spacing or 0
    rating = ask.span_rating or assumed_span_rating(thickness, book)
    choices = []
    for row in edition.wind_panels:
        why = _wind_row_refusal(row, thickness, spacing, rating, site, book)
        why = why and f"{row.option.nail_id} on studs to {say_length(row.max_stud_spacing)}: {why}"
        choices.append(Choice(row.option, row.section, row.table, "", row.option.nailing, why))
    if not all(c.refused_because for c in choices):
        return RowReading(None, tuple(choices))
    stops = (past("panel_wind", c.refused_because, edition.code, edition.year, c.section, c.table, c.option.confidence) for c in choices)
    return RowReading(None, tuple(choices), tuple(stops))


def _wind_row_refusal(row: WindPanelRow, thickness: int, spacing: int, rating: str | None, site: Site, book: Book) -> str:
    """Say which limit of a wall panel row is passed, and by how much; empty where none is."""
    if thickness < row.min_thickness - TOLERANCE:
        return f"panel thickness {say_length(thickness)} is under the {say_length(row.min_thickness)} of the row by {say_length(row.min_thickness - thickness)}"
    if rating is None or book.span_ratings[rating].rank < book.span_ratings[row.min_span_rating].rank:
        return f"span rating {rating} is under the {row.min_span_rating} of the row"
    rated = book.span_ratings[rating].max_stud_spacing
    for most, what in ((row.max_stud_spacing, "the row"), (rated, f"span rating {rating}")):
        if most is not None and spacing > most:
            return f"stud spacing {say_length(spacing)} is past the {say_length(most)} of {what} by {say_length(spacing - most)}"
    limit, wind = row.max_wind_mph[site.exposure], site.wind_mph(row.wind_basis, book.rules)
    if wind <= limit + 1e-9:
        return ""
    past_by = say_speed(f"{wind - limit:.4g}")
    return f"wind {site.say_wind(book.rules)} is past the {say_speed(f'{limit:g}')} {row.wind_basis} of the row in exposure {site.exposure} by {past_by}"
