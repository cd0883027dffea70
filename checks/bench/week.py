"""This week of a large estate: ten thousand sites of twelve lines."""

import json
import shutil

from tools import Figure, OUNCEWISE, estate, often, run


def figures(scratch, wanted):
    sites, weeks = (100, 2) if wanted.small else (10_000, 52 if wanted.whole else 2)
    made, data = estate(scratch, sites, weeks)
    loaded = run(OUNCEWISE, "load", "catches", made / "catches.csv", "--data", data, "--json", accept=(0, 65))
    shutil.rmtree(made)
    added = json.loads(loaded.out)["added"]
    yield Figure(
        f"`load catches` of {sites:,} sites, {weeks} weeks: {added:,} catches",
        f"{loaded.seconds:.0f} s, {loaded.peak_mb:.0f} MB",
    )
    command = (OUNCEWISE, "week", "--top", 50, "--json", "--data", data)
    lines = sum(json.loads(run(*command).out)["counts"].values())
    median, p95 = often(20, *command)
    yield Figure(
        f"`week`, the 50 worst of {lines:,} lines, the program's start included",
        f"median {median:.0f} ms, 95 % within {p95:.0f} ms",
        "",
        "< 150 ms",
        p95 < 150,
    )
    shutil.rmtree(data)
