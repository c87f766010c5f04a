"""The judgements of a wall's joints, made once for all walls that are nailed alike."""

from dataclasses import dataclass, field, replace
from functools import lru_cache

from service.domain.conditions import USUAL_SPECIES, Conditions
from service.domain.joint.requirement import Question, Requirement, judge
from service.domain.joint.schedule import Selectors
from service.domain.joint.stop import Stop
from service.domain.nails.nail import Nail
from service.domain.site import Site
from service.domain.wall.wall import Sheathing, Wall
from service.tables.book import Book

MOST_JUDGED = 256


@dataclass(frozen=True, slots=True)
class Setting:
    """What decides nails beside the shape of a wall: edition, nails, site, conditions of the work, wood."""

    edition_id: str
    framing_nail: Nail
    connection_nails: tuple[tuple[str, Nail], ...] = ()
    sheathing_nail: Nail | None = None
    site: Site = Site()
    conditions: Conditions = Conditions()
    species: str = USUAL_SPECIES
    fire_rated: bool = False

    def asked_nail(self, connection_id: str) -> Nail:
        """Return the nail that was asked for in a framing joint."""
        return dict(self.connection_nails).get(connection_id, self.framing_nail)


@dataclass(slots=True, eq=False)
class Bench:
    """A setting with the judgements made under it.

    Kept, since the walls of a house share them. Bounded: limits that a single wall is past make judgements of their own.
    """

    setting: Setting
    book: Book
    judged: dict[tuple[object, ...], Requirement] = field(default_factory=dict)

    def joint(self, connection_id: str, treated: bool, braced: bool, spacer: int, past: tuple[Stop, ...], face: int) -> Requirement:
        """Return the judgement of a framing joint.

        Parameters
        ----------
        spacer : int
            What lies between the pieces. [ticks]
        past : tuple of Stop
            Limits that the wall around the joint is past.
        face : int
            Face that takes the nails. [ticks]
        """
        key = (connection_id, treated, braced, spacer, past, face)
        found = self.judged.get(key)
        if found is not None:
            return found
        selectors = Selectors(braced=braced, material_between=spacer)
        return self._judge(key, connection_id, self.nail(connection_id, treated), selectors, past, face)

    def panels(
        self, connection_id: str, wall: Wall, sheets: Sheathing, past: tuple[Stop, ...], face: int, treated: bool = False
    ) -> Requirement:
        """Return the judgement of the panels of a wall, of their nails into treated wood where `treated`."""
        nail = _coated(self.setting.sheathing_nail or self.setting.framing_nail, treated)
        selectors = Selectors(
            braced=wall.braced,
            panel_thickness=sheets.thickness,
            stud_spacing=wall.spacing,
            span_rating=sheets.span_rating,
            material_between=sheets.material_between,
        )
        key = (connection_id, selectors, past, face, treated)
        return self.judged.get(key) or self._judge(key, connection_id, nail, selectors, past, face)

    def _judge(
        self, key: tuple[object, ...], connection_id: str, nail: Nail, selectors: Selectors, past: tuple[Stop, ...], face: int
    ) -> Requirement:
        if len(self.judged) >= MOST_JUDGED:
            self.judged.clear()
        s = self.setting
        question = Question(s.edition_id, connection_id, nail, s.site, selectors, s.species, s.fire_rated, wall_past=past, face=face)
        found = self.judged[key] = judge(question, self.book)
        return found

    def nail(self, connection_id: str, treated: bool) -> Nail:
        """Return the nail of a framing joint; through treated wood a bright one is taken hot-dip galvanized."""
        nail = self.setting.asked_nail(connection_id)
        return _coated(nail, treated)


def _coated(nail: Nail, treated: bool) -> Nail:
    return replace(nail, coating="hot_dip_galvanized") if treated and nail.coating == "bright" else nail


@lru_cache(maxsize=64)
def bench_for(setting: Setting, book: Book) -> Bench:
    """Return the bench of a setting."""
    return Bench(setting, book)
