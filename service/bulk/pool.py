"""The workers of a run: processes of this machine, or those of a Dask scheduler; a few parts with them at a time."""

import logging
import signal
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from multiprocessing import resource_tracker

import dask
from distributed import CancelledError, Client, Future, KilledWorker, LocalCluster, wait
from distributed.comm.addressing import get_address_host_port
from distributed.comm.core import CommClosedError

from service.bulk.answering import Order, answer, other_service
from service.bulk.errors import BulkError
from service.bulk.parts import Part

FLYING = 2
"""Parts with the workers for each of their threads: one at work and one to begin at once. It bounds what is held in memory."""
CONNECT_S = 10
WORKERS_S = 60
"""So long workers may be missing, at the start and later; one that was killed is started again by those who run it."""
CONFIG = {
    # A part may be one long line, which Dask would warn of.
    "distributed.admin.large-graph-warning-threshold": "1 GiB",
    # Dask keeps so many of its last messages to look at; each that sends a part holds its lines.
    "distributed.admin.low-level-log-length": 20,
    "distributed.comm.timeouts.connect": f"{CONNECT_S}s",
}


@contextmanager
def workers_of(scheduler: str | None, count: int) -> Iterator[Client]:
    """Yield a client of the scheduler at an address, or of so many worker processes of this machine.

    Raises
    ------
    BulkError
        No scheduler answers there, or no processes can be started here, or they are gone before the end.
    """
    with _silence(), dask.config.set(CONFIG), _remote(scheduler) if scheduler else _local(count) as client:
        try:
            yield client
        except (CommClosedError, CancelledError, TimeoutError):
            raise BulkError("the scheduler is gone") from None


@contextmanager
def _remote(address: str) -> Iterator[Client]:
    _knock(address)
    try:
        client = Client(address, timeout=CONNECT_S)
    except (OSError, ValueError) as error:
        raise BulkError(f"{address}: no scheduler answers there ({type(error).__name__})") from None
    with client:
        yield client


def _knock(address: str) -> None:
    """See that somebody listens: a client of Dask that finds nobody asks on, and what it leaves behind can hang the next one."""
    try:
        host, port = get_address_host_port(address)
    except ValueError:
        raise BulkError(f"{address}: is no address of a scheduler, such as tcp://host:8786") from None
    try:
        socket.create_connection((host, port), CONNECT_S).close()
    except OSError as error:
        raise BulkError(f"{address}: no scheduler answers there ({error.strerror or error})") from None


@contextmanager
def _local(count: int) -> Iterator[Client]:
    try:
        with _unheard_stops():
            cluster = _cluster(count)
    except RuntimeError as error:  # as Dask says it, over many lines
        raise BulkError(f"{count} worker processes cannot be started here: {str(error).splitlines()[0]}") from None
    with cluster, Client(cluster) as client:
        yield client


@contextmanager
def _silence() -> Iterator[None]:
    """Log nothing in this process meanwhile: what stops a run is said in one line, by the run."""
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        logging.disable(before)


@contextmanager
def _unheard_stops() -> Iterator[None]:
    """Start processes that hear no Ctrl-C, which a terminal sends to them too: the run stops them, and they need not say so.

    Threads and processes inherit what is blocked. A Ctrl-C that comes meanwhile is heard at the end.
    """
    resource_tracker.ensure_running()  # its own start would let the signal through again
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})


def _cluster(count: int) -> LocalCluster:
    """Return a scheduler and workers that listen on loopback alone.

    What a worker holds is bounded by the parts it has, so no share of the memory is set at which Dask would pause or kill it.
    """
    return LocalCluster(
        n_workers=count,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
        scheduler_kwargs={"dashboard": False},
        memory_limit=0,
        silence_logs=logging.CRITICAL,
    )


def check_service(client: Client, order: Order) -> None:
    """Compare the service of every worker with this one.

    Raises
    ------
    BulkError
        No worker comes, or one has no service or another one. One that comes later, or dies meanwhile, is refused by its first part.
    """
    try:
        client.wait_for_workers(1, timeout=WORKERS_S)
    except TimeoutError:
        raise BulkError(f"the scheduler has no worker after {WORKERS_S} s; start one: dask worker ADDRESS --nthreads 1") from None

    def look() -> tuple[str, str]:  # a function in a function travels whole, and so can say that the service is not there
        from service.bulk.answering import service_here

        return service_here()

    for found in client.run(look, on_error="return").values():
        if isinstance(found, ImportError):
            raise BulkError(f"a worker cannot import this service; install the same there ({found})")
        if not isinstance(found, BaseException) and tuple(found) != order.service:
            raise BulkError(other_service(order, tuple(found)))


def answered(client: Client, parts: Iterator[Part], order: Order) -> Iterator[tuple[Part, bytes]]:
    """Yield each part with its answers as they come, in any order; a part is read when a worker has room for it.

    Raises
    ------
    BulkError
        A part cannot be answered, or no worker is left.
    """
    flying: dict[Future[bytes], Part] = {}
    seen = time.monotonic()
    while True:
        threads = sum(client.nthreads().values())
        seen = time.monotonic() if threads else seen
        if time.monotonic() - seen > WORKERS_S:
            raise BulkError(f"no worker is left for {WORKERS_S} s")
        for part in islice(parts, max(0, FLYING * max(threads, 1) - len(flying))):
            flying[client.submit(answer, part, order, key=f"part-{part.name}", pure=False)] = part
        if not flying:
            return
        for future in _landed(list(flying)):
            part = flying.pop(future)
            yield part, _result(future, part)
            future.release()


def _landed(flying: list[Future[bytes]]) -> list[Future[bytes]]:
    try:
        return list(wait(flying, timeout=1, return_when="FIRST_COMPLETED").done)
    except TimeoutError:
        return []


def _result(future: Future[bytes], part: Part) -> bytes:
    try:
        return future.result()
    except KilledWorker:
        last = part.first_line + len(part.lines) - 1
        raise BulkError(f"lines {part.first_line} to {last}: every worker that took them died") from None
