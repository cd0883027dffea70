"""Runs the parts, and prints or writes the table. Started by `run`, which builds what is measured."""

import argparse
import os
import re
import sys
import tempfile
from pathlib import Path

import build
import estimates
import load
import pages
import procedures
import programs
import single
import verdicts
import week

ROOT = Path(__file__).resolve().parents[2]
DOCUMENT = ROOT / "docs" / "performance.md"
PARTS = {
    "verdicts": verdicts.figures,
    "estimates": estimates.figures,
    "single": single.figures,
    "load": load.figures,
    "week": week.figures,
    "demo": programs.figures,
    "pages": pages.figures,
    "procedures": procedures.figures,
    "build": build.figures,
}


def main():
    parser = argparse.ArgumentParser(prog="checks/bench/run")
    parser.add_argument("--small", action="store_true", help="a hundredth of every size")
    parser.add_argument("--whole", action="store_true", help="the large estate with its whole year")
    parser.add_argument("--build", action="store_true", help="also build from nothing")
    parser.add_argument("--only", choices=PARTS, help="one part")
    parser.add_argument("--write", action="store_true", help="put the table into docs/performance.md")
    wanted = parser.parse_args()
    if wanted.write and (wanted.small or wanted.only):
        parser.error("--write wants all parts at full size")
    parts = [wanted.only] if wanted.only else [p for p in PARTS if p != "build" or wanted.build]

    rows = []
    scratch_of_build = os.environ["CARGO_TARGET_DIR"]
    with tempfile.TemporaryDirectory(prefix="bench-", dir=scratch_of_build) as scratch:
        for part in parts:
            print(f"--- {part}", file=sys.stderr, flush=True)
            for figure in PARTS[part](Path(scratch), wanted):
                rows.append(figure)
                print("    " + " · ".join(map(str, figure)), file=sys.stderr, flush=True)
    table = write(rows)
    print(table)
    if wanted.write:
        text = DOCUMENT.read_text()
        marks = r"(<!-- figures -->\n).*?(<!-- end of figures -->)"
        DOCUMENT.write_text(re.sub(marks, lambda m: m[1] + table + "\n" + m[2], text, flags=re.S))
    return 0 if all(row.reached for row in rows) else 1


def write(rows):
    """The figures as a table of Markdown, and on what they were taken."""
    lines = ["| what | here | beside it | asked | reached |", "| --- | --- | --- | --- | --- |"]
    for row in rows:
        reached = "yes" if row.reached else "**no**"
        lines.append(f"| {row.what} | {row.here} | {row.peer} | {row.asked} | {reached if row.asked else ''} |")
    model = re.search(r"model name\s*: (.*)", Path("/proc/cpuinfo").read_text())
    load_average = os.getloadavg()[1]
    machine = f"{os.cpu_count()} × {model[1] if model else os.uname().machine}, {os.uname().sysname} {os.uname().release}"
    return "\n".join(lines) + f"\n\nTaken on {machine}; load average at the end {load_average:.1f}."


if __name__ == "__main__":
    sys.exit(main())
