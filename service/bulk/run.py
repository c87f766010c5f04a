"""One run from a file of questions to a file of answers."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from service.bulk.answering import Order
from service.bulk.errors import BulkError
from service.bulk.folder import Folder, Tally, folder_of
from service.bulk.parts import Part, parts_of
from service.bulk.pool import answered, check_service, workers_of
from service.bulk.progress import Progress


@dataclass(frozen=True, slots=True)
class Job:
    """What a run is asked to do."""

    questions: Path
    answers: Path
    order: Order
    part_lines: int
    workers: int
    scheduler: str | None


def run(job: Job) -> tuple[Tally, Progress]:
    """Answer every line, and return what came of them; parts that an earlier run has answered are left as they are.

    Raises
    ------
    BulkError, OSError
        The run cannot begin or go on; what is finished is kept for the next one.
    """
    answers = job.answers.resolve()  # what a link leads to is written, the link stays
    if answers.exists() and not answers.is_file():
        raise BulkError(f"{job.answers}: is a {'folder' if answers.is_dir() else 'device or pipe'}; name a file")
    if answers.exists() and job.questions.samefile(answers):
        raise BulkError(f"{job.answers}: the answers cannot stand where the questions do")
    if job.questions.resolve().parent == folder_of(answers):
        raise BulkError(f"{job.questions}: the questions stand among the finished parts of these answers; put them elsewhere")
    with job.questions.open("rb") as file, Folder(answers) as folder:
        bar, names = Progress(os.fstat(file.fileno()).st_size), list[str]()

        def open_parts() -> Iterator[Part]:
            for part in parts_of(file, job.order.settings.max_body_bytes, job.part_lines, str(job.order)):
                names.append(part.name)
                if folder.has(names[-1]):
                    bar.add(part, kept=True)
                else:
                    yield part

        parts = open_parts()
        try:
            for first in parts:  # only where there is one are workers needed
                _answer(job, chain([first], parts), folder, bar)
        finally:
            bar.close()
        return folder.join(names), bar


def _answer(job: Job, parts: Iterator[Part], folder: Folder, bar: Progress) -> None:
    with workers_of(job.scheduler, job.workers) as client:
        check_service(client, job.order)
        for part, packed in answered(client, parts, job.order):
            folder.keep(part.name, packed)
            bar.add(part, kept=False)
