"""A folder to work in, with a ledger and a home of its own, and the program at hand."""

import json
import os
import pathlib
import subprocess
import tempfile


class Desk:
    """Runs the program with its ledger in `data` below a temporary folder."""

    program = None

    def __init__(self):
        self._dir = tempfile.TemporaryDirectory(prefix="ouncewise-files-")
        self.path = pathlib.Path(self._dir.name)
        self.env = {
            "HOME": str(self.path / "home"),
            "PATH": os.environ["PATH"],
            "TZ": "UTC",
            "OUNCEWISE_DATA": str(self.path / "data"),
        }

    def run(self, *args, code=0):
        """What it printed; its exit code must be `code`."""
        ran = subprocess.run(
            [self.program, *map(str, args)],
            cwd=self.path,
            env=self.env,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        assert ran.returncode == code, f"{args} ended with {ran.returncode}:\n{ran.stdout[-2000:]}\n{ran.stderr[-2000:]}"
        return ran.stdout

    def report(self, *args, code=0):
        """What it printed with --json."""
        return json.loads(self.run(*args, "--json", code=code))

    def read(self, name):
        return (self.path / name).read_text(encoding="utf-8")
