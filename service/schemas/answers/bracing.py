"""The shape of the answer about a braced wall line, and the answer it writes."""

from typing import Any, NamedTuple

from service.domain.building.bracing import BracingCheck, PanelCheck
from service.domain.building.remedies import Remedy, remedies
from service.domain.cautions.bracing import line_cautions
from service.domain.cautions.caution import Spoken
from service.domain.joint.ranking import GROUNDS
from service.domain.joint.stop import Provenance
from service.said import say_feet
from service.schemas.answers.declare import Shape, flag, many, number, one, say, spread, texts, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.parts import ProvenanceShape, first_word
from service.schemas.answers.sheets import Sheet, same
from service.schemas.answers.vocabulary import BRACING_METHOD, LOAD, OUTCOME, VERDICT
from service.schemas.answers.working import AppliedFactorShape
from service.schemas.asks.bracing import BracingAsk
from service.tables.book import Book
from service.ticks import feet, inches

LABELS = {**GROUNDS, "prescriptive": "by the bracing tables"}
NO_NUMBER = "null where the line is past a limit of the tables"


class BracingFactorShape(Shape):
    """A factor that was applied to a length of bracing."""

    load = word(LOAD)
    _factor = spread(AppliedFactorShape)


class BracePanelCheckShape(Shape):
    """A panel of the line."""

    id = say("Id of the panel, as sent; of a wall, its name and the number of the piece.", of="panel.panel_id")
    start_in = number("Left side from the start of the line [in].", of="panel.start", form=inches)
    length_in = number("Length [in].", of="panel.length", form=inches)
    adjacent_opening_height_in = number("Height of the taller opening beside it [in].", of="panel.opening_height", form=inches)
    least_length_in = number("Shortest that counts in full [in]; null where none does.", of="least", form=inches, null=True)
    counts = flag("Whether it counts.")
    contributing_in = number("What it contributes [in].", of="contributing", form=inches)
    reason = say("Why.")


class RemedyShape(Shape):
    """A change that makes the line pass."""

    change = say("What to change.")
    verdict = word(VERDICT, of="check.verdict")
    required_ft = number("Required then [ft].", of="check.required", form=feet)
    provided_ft = number("Provided then [ft].", of="check.provided", form=feet)


class BracingAnswer(NamedTuple):
    """A checked line, what would mend it, and the codes that speak beside it."""

    check: BracingCheck
    remedies: tuple[Remedy, ...]
    codes: tuple[str, ...]


def _ft(load: str) -> object:
    def length(a: BracingAnswer) -> float | None:
        found = getattr(a.check, load)
        return None if found is None else feet(found.length)

    return length


class BracingResult(Shape):
    """What a braced wall line needs, what it has, panel by panel, and what would make a short one pass."""

    outcome = word(OUTCOME, "prescriptive, engineering_required or no_data.", of=lambda a: _outcome(a.check))
    outcome_label = say("The outcome in a few words.", of=lambda a: LABELS[_outcome(a.check)])
    verdict = word(VERDICT, f"Whether the bracing is enough; {NO_NUMBER}.", of="check.verdict", null=True)
    reason = say("The answer in one sentence.", of=lambda a: _reason(a.check))
    method_id = word(BRACING_METHOD, of="check.line.method_id")
    method_description = say(
        "The method in words; null where its edition is not held.", of=lambda a: a.check.method and a.check.method.description, null=True
    )
    required_wind_ft = number(f"Length asked by wind [ft]; {NO_NUMBER}.", of=_ft("wind"), null=True)
    required_seismic_ft = number(
        "Length asked by earthquake [ft]; null where none is asked, and where the line is past a limit.", of=_ft("seismic"), null=True
    )
    required_ft = number(f"The greater of the two [ft]; {NO_NUMBER}.", of="check.required", form=feet, null=True)
    provided_ft = number(f"What the panels contribute [ft]; {NO_NUMBER}.", of="check.provided", form=feet, null=True)
    shortfall_ft = number(f"What is missing [ft]; {NO_NUMBER}.", of="check.shortfall", form=feet, null=True)
    factors = many(
        BracingFactorShape,
        "Every factor applied.",
        of=lambda a: [f for r in (a.check.wind, a.check.seismic) if r for f in r.factors],
    )
    panels = many(BracePanelCheckShape, "The panels of the line from its start.", of="check.panels")
    faults = texts("Where a panel is missing, or its ends are not held.", of="check.faults")
    doubts = texts("What has to be known before the line is adequate.", of="check.doubts")
    remedies = many(
        RemedyShape, "What would make a short line pass, each checked; empty where it is not short or nothing found here helps."
    )
    basis = say("The arithmetic in words.", of=lambda a: _basis(a.check))
    provenance = one(ProvenanceShape, of=lambda a: _provenance(a.check))
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


def _rows(answered: Answered) -> list[tuple[Any, dict[str, Any]]]:
    """Each panel, with what its line asks and has; a line past the tables is a row too."""
    check: BracingCheck = answered.result.check
    beside = {
        "method_id": check.line.method_id,
        "verdict": check.verdict,
        "required_ft": None if check.required is None else feet(check.required),
        "provided_ft": None if check.provided is None else feet(check.provided),
        "max_severity": first_word(answered.cautions),
    }
    return [(panel, beside) for panel in check.panels] or [(None, beside)]


BESIDE = ("method_id", "verdict", "required_ft", "provided_ft")
PANEL_SHEET = Sheet(
    BracePanelCheckShape,
    {
        **same(*BESIDE),
        "panel_id": "id",
        **same("start_in", "length_in", "adjacent_opening_height_in", "least_length_in", "counts", "contributing_in", "reason"),
        **same("max_severity"),
    },
    _rows,
    BESIDE,
)


def bracing_answer(ask: BracingAsk, check: BracingCheck, book: Book) -> Answered:
    """Answer a question about a braced wall line, standing notes included."""
    cautions: tuple[Spoken, ...] = line_cautions(check, book)
    answer = BracingAnswer(check, remedies(check, book), tuple(c.code for c in cautions))
    return Answered(answer, cautions, ask.assumptions)


def _outcome(check: BracingCheck) -> str:
    if check.stop is None:
        return "prescriptive"
    return "no_data" if check.stop.code == "value_not_held" else "engineering_required"


def _reason(check: BracingCheck) -> str:
    if check.stop or check.governing is None or check.required is None or check.provided is None:
        return check.stop.because if check.stop else "nothing is required"
    needs = (
        f"{say_feet(check.required)} of bracing are required by {check.governing.load}, the panels contribute {say_feet(check.provided)}"
    )
    match check.verdict:
        case "short":
            missing = [f"{say_feet(check.shortfall)} are missing"] if check.shortfall else []
            return f"{needs}: {'; '.join([*missing, *check.faults])}"
        case "needs_check":
            return f"{needs}: enough, if what is not known turns out well: {'; '.join(check.doubts)}"
    return f"{needs}: enough"


def _basis(check: BracingCheck) -> str:
    said = []
    for r in (check.wind, check.seismic):
        if r:
            factors = "".join(f" x {f.value:g} ({f.name.replace('_', ' ')})" for f in r.factors)
            said.append(f"{r.load}: {r.tabulated_ft:.4g} ft{factors} = {r.length_ft:.4g} ft")
    counted = [p for p in check.panels if p.contributing]
    if counted:
        said.append(f"panels: {' + '.join(_inches(p) for p in counted)} = {inches(check.provided):g} in")
    return "; ".join(said) or (check.stop.because if check.stop else "")


def _inches(panel: PanelCheck) -> str:
    return f"{inches(panel.contributing):g}"


def _provenance(check: BracingCheck) -> Provenance:
    if check.stop and check.stop.cited:
        return check.stop.cited
    if check.governing is None:
        return Provenance(check.edition.code, check.edition.year, "", None, None, check.stop.because if check.stop else None, "derived")
    return check.governing.provenance
