"""Both of the README's commands from nothing: every crate built anew, nothing fetched that is here."""

import os

from tools import Figure, ROOT, run


def figures(scratch, _wanted):
    for command in ("cargo run --release -- demo --no-serve", "cargo test --workspace"):
        # Two folders, for each command is somebody's first.
        target = scratch / f"from-nothing-{command.split()[1]}"
        taken = run(*command.split(), cwd=ROOT, env={**os.environ, "CARGO_TARGET_DIR": str(target)}).seconds
        cores = os.cpu_count()
        yield Figure(f"`{command}` from nothing, {cores} cores", f"{taken:.0f} s", "", "< 300 s", taken < 300)
