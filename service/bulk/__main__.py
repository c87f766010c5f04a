"""Answers a file of questions, one a line: python -m service.bulk walls.ndjson answers.ndjson."""

import argparse
import signal
import sys
from pathlib import Path

from service.bulk.errors import BulkError

ANSWERED, SOME_REFUSED, CANNOT, STOPPED = 0, 1, 2, 130
INSTALL = "python -m service.bulk needs Dask: .venv/bin/pip install '.[bulk]' -c docker/requirements.lock"


def main() -> int:
    """Run, and say in one line what came of it."""
    try:
        import distributed  # noqa: F401  # said before anything else is done
    except ModuleNotFoundError:
        return _cannot(INSTALL)
    # Here, since the worker processes of a run import this file again and need none of it.
    from service.bulk.answering import order_of
    from service.bulk.run import Job, run
    from service.errors import TableError
    from service.settings import SettingError, read_settings
    from service.web.registry import OPERATIONS

    # One answer to a stop, whichever way it is told.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    asked = _arguments([o.path.removeprefix("/v1/") for o in OPERATIONS if o.method == "POST" and o.tag == "questions"])
    try:
        order = order_of(f"/v1/{asked.question}", read_settings())
        tally, bar = run(Job(asked.questions, asked.answers, order, asked.part_lines, asked.workers, asked.scheduler))
    except (BulkError, SettingError, TableError) as error:
        return _cannot(str(error))
    except OSError as error:
        return _cannot(f"{error.filename or asked.answers}: {error.strerror or error}")
    except KeyboardInterrupt:
        print("stopped; the finished parts are kept, and the same command goes on from them", file=sys.stderr)
        return STOPPED
    kept = f"; {bar.kept} of {bar.parts} parts from an earlier run" if bar.kept else ""
    named = (
        f" (line {', line '.join(tally.first_refused)}{', ...' if tally.refused > len(tally.first_refused) else ''})"
        if tally.refused
        else ""
    )
    print(f"{tally.lines} lines: {tally.lines - tally.refused} answered, {tally.refused} refused{named}{kept}", file=sys.stderr)
    return SOME_REFUSED if tally.refused else ANSWERED


def _cannot(why: str) -> int:
    print(f"cannot go on: {why}", file=sys.stderr)
    return CANNOT


def _arguments(questions: list[str]) -> argparse.Namespace:
    from dask.system import CPU_COUNT

    parser = argparse.ArgumentParser("python -m service.bulk", description="Answer a file of questions, one JSON body a line.")
    parser.add_argument("questions", type=Path, help="file of JSON bodies, one a line")
    parser.add_argument("answers", type=Path, help="file that the answers are written to, a line each, in the same order")
    parser.add_argument("--question", choices=questions, default="wall-plans", help="address that is asked (default: wall-plans)")
    parser.add_argument("--scheduler", metavar="ADDRESS", help="Dask scheduler, such as tcp://host:8786 (default: this machine)")
    parser.add_argument("--workers", type=_positive, default=CPU_COUNT, help="worker processes of this machine (default: its cores)")
    parser.add_argument(
        "--part-lines", type=_positive, default=500, help="lines that are answered, kept and redone together (default: 500)"
    )
    return parser.parse_args()


def _positive(text: str) -> int:
    number = int(text)
    if not 1 <= number <= 100_000:
        raise argparse.ArgumentTypeError("a whole number from 1 to 100000")
    return number


if __name__ == "__main__":
    sys.exit(main())
