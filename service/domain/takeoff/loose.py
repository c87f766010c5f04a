"""Joints that a take-off asks for outside its walls: floors, roofs, whatever is counted by joints or by a length."""

from dataclasses import dataclass

from service.domain.joint.counting import nails_for, say_count
from service.domain.joint.requirement import Requirement
from service.domain.nails.nail import Nail
from service.tables.schedule import Nailing


@dataclass(frozen=True, slots=True, eq=False)
class LooseJoints:
    """Joints of one kind with their judgement: so many joints, or one run of a length in ticks."""

    requirement: Requirement
    joint_count: int
    run_lengths: tuple[int, ...]

    @property
    def group(self) -> "LooseJoints":
        """The joints, where a line of a wall has its group: counted by runs or by joints, as they are here."""
        return self

    @property
    def runs(self) -> tuple[int, ...]:
        """The runs: here each is its length."""
        return self.run_lengths

    @property
    def nail(self) -> Nail:
        """The nail they are nailed with."""
        return self.requirement.question.nail

    @property
    def nail_count(self) -> int | None:
        """Nails of all joints; None where there is no number."""
        return self.count(self.requirement.nailing)

    @property
    def listed_nail_count(self) -> int | None:
        """What the first nail the row lists would take."""
        first = self.requirement.first_listed
        return self.count(first.nailing if first else None)

    @property
    def basis(self) -> str:
        """The arithmetic in words, or why there is no number."""
        nailing = self.requirement.nailing
        return self.requirement.no_number_because if nailing is None else say_count(nailing, self.run_lengths, self.joint_count)

    def count(self, nailing: Nailing | None) -> int | None:
        """Count the nails of a nailing in these joints."""
        return None if nailing is None else nails_for(nailing, self.run_lengths, self.joint_count)
