"""`linebeat many FOLDER`: every scene and clip below a folder, in parallel, summed up."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from audio.errors import UsageError
from planner.commands._shared import console, say

if TYPE_CHECKING:
    from planner.many.pool import Pool
    from planner.many.run import ManyResult

WORKERS_MAX = 512
STOPPED = 130  # the shell's code for a command ended by Ctrl-C


@click.command("many")
@click.argument("folder")
@click.option(
    "--workers", type=int, metavar="N", help="Processes; as many as processors if left out."
)
@click.option("--out", metavar="F.csv", help='Write the table, a row a line; "-" prints it.')
@click.option("--page", metavar="F.html", help="Write the summary as a page.")
@click.option(
    "--cluster", metavar="ADDRESS", help="A dask scheduler, tcp://HOST:PORT, that you trust."
)
@click.option("--force", is_flag=True, help="Replace what is there under the names given.")
@click.option("--check", is_flag=True, help="Exit code 1 also if key poses are found wanting.")
def command(
    folder: str, workers: int | None, out: str | None, page: str | None, cluster: str | None,
    force: bool, check: bool,
) -> int:  # fmt: skip
    """Read every scene and clip below FOLDER; a .txt beside a clip has its words.

    What was read before and has not changed is not read again. A file that cannot be read is
    reported and stops nothing. Exit code 1 if any failed.
    """
    from planner.many.progress import Progress
    from planner.many.run import run_many

    root = _folder(folder)
    if workers is not None and cluster is not None:
        raise UsageError("--workers and --cluster are both given", mend="give one of them")
    if workers is not None and not 1 <= workers <= WORKERS_MAX:
        raise UsageError(f"--workers {workers}", mend=f"give a number from 1 to {WORKERS_MAX}")
    _check_targets(out, page, force)
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)  # stopped as by Ctrl-C
    try:
        with Progress() as progress:
            result = run_many(root, lambda: _pool(workers, cluster), progress)
    except KeyboardInterrupt:
        say("stopped; what was finished is kept: run the same command again to go on")
        return STOPPED
    finally:
        signal.signal(signal.SIGTERM, before)
    _tell(result, root, out, page, force)
    return 1 if result.failed or (check and result.wanting) else 0


def _check_targets(out: str | None, page: str | None, force: bool) -> None:
    """A table and a page that an earlier run wrote are written anew; nothing else is."""
    from planner.files.targets import check_target
    from planner.many.page import OUR_PAGE
    from planner.many.summary import OUR_TABLE

    for target, ours in ((out, OUR_TABLE), (page, OUR_PAGE)):
        if target:
            check_target(target, force=force, ours=ours)


def _folder(given: str) -> Path:
    """The folder, with links in its own name followed. Raises UsageError if it is none."""
    try:
        root = Path(os.path.realpath(given))
        if not root.exists():
            raise UsageError("no such folder", where=given, mend="check the name")
        if not root.is_dir():
            raise UsageError("is no folder", where=given, mend="name the folder it is in")
        os.listdir(root)  # noqa: PTH208 - a folder without the right to look is refused here
    except (OSError, ValueError) as problem:
        said = getattr(problem, "strerror", None) or str(problem)
        raise UsageError(f"cannot be looked into: {said}", where=given) from None
    return root


def _pool(workers: int | None, cluster: str | None) -> Pool:
    from planner.many.ledger import code_fingerprint
    from planner.many.pool import ClusterPool, LocalPool
    from planner.many.worker import machine_workers

    if cluster is not None:
        return ClusterPool(cluster, code_fingerprint)
    return LocalPool(workers or machine_workers())


def _tell(result: ManyResult, root: Path, out: str | None, page: str | None, force: bool) -> None:
    """The table and the page where they were asked for, the totals on standard output."""
    from planner.files.targets import write_target
    from planner.many.page import summary_page
    from planner.many.summary import count_of, rows_csv, summary_lines

    if page:
        write_target(page, summary_page(result, root.name or str(root)), force=force)
        say(f"wrote {page}")
    if out == "-":
        sys.stdout.write(rows_csv(result.rows))
    else:
        for line in summary_lines(result):
            console().print(line)
        if out:
            write_target(out, rows_csv(result.rows), force=force)
            say(f"wrote {out}")
    if result.known:
        say(f"{count_of(result.known, 'file')} unchanged since the last run")
    if result.links:
        say(f"{count_of(result.links, 'link')} not followed")
