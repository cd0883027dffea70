"""What the parts share: the programs under test, how they are run and timed, and what a figure is."""

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
RELEASE = Path(os.environ["CARGO_TARGET_DIR"]) / "release"
OUNCEWISE = RELEASE / "ouncewise"
FLEET = RELEASE / "examples" / "fleet"


class Figure(NamedTuple):
    """A row of the table. Where nothing is asked, nothing can be missed."""

    what: str
    here: str
    peer: str = ""
    asked: str = ""
    reached: bool = True


class Ran(NamedTuple):
    """A program's wall seconds, the most memory that it held, and what it said."""

    seconds: float
    peak_mb: float
    out: str


# A program's peak counts what its parent held when it was started, so that a small one starts it.
STARTER = """
import os, sys, time
started = time.perf_counter()
pid = os.posix_spawnp(sys.argv[2], sys.argv[2:], os.environ)
_, status, usage = os.wait4(pid, 0)
seconds = time.perf_counter() - started
with open(sys.argv[1], "w") as told:
    print(seconds, usage.ru_maxrss / 1024, os.waitstatus_to_exitcode(status), file=told)
"""


def run(*command, accept=(0,), **options):
    """Runs a program to its end. Ends this one if it fails."""
    command = [str(part) for part in command]
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, tempfile.NamedTemporaryFile("r") as told:
        starter = [sys.executable, "-I", "-S", "-c", STARTER, told.name, *command]
        subprocess.run(starter, stdout=out, stderr=err, check=False, **options)
        seconds, peak_mb, code = told.read().split() or sys.exit(f"bench: {command[0]} could not be started")
        out.seek(0), err.seek(0)
        text = out.read().decode()
        if int(code) not in accept:
            sys.exit(f"bench: {' '.join(command)}: exit code {code}\n{err.read().decode()}{text}")
    return Ran(float(seconds), float(peak_mb), text)


def often(times, *command):
    """Runs a program some times; gives the median and the 95th percentile of its milliseconds."""
    taken = sorted(1000 * run(*command).seconds for _ in range(times))
    return statistics.median(taken), taken[max(0, -(-95 * times // 100) - 1)]


def bench(package, name, *arguments):
    """Runs a crate's own benchmark; gives what it printed."""
    return run("cargo", "bench", "--quiet", "-p", package, "--bench", name, "--", *arguments, cwd=ROOT).out


def estate(scratch, sites, weeks, catches=None):
    """Makes an estate with a file of its catches, and a ledger that holds the estate; gives folder and ledger."""
    made, data = scratch / f"fleet-{sites}-{weeks}", scratch / f"data-{sites}-{weeks}"
    run(FLEET, made, sites, weeks, *([] if catches is None else [catches]))
    run(OUNCEWISE, "load", "estate", made / "estate", "--data", data, "--yes")
    return made, data
