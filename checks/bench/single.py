"""Durable single records, beside bare SQLite with the same rows, indexes and durability, turn by turn."""

import re

from tools import Figure, bench


def figures(_scratch, wanted):
    out = bench("ouncewise-store", "store", "single", 300 if wanted.small else 4000)
    bare, one, sixteen = (float(rate) for rate in re.findall(r"single: .*?(\d+) (?:commits|records)/s", out))
    for what, rate, least in (("one writer", one, 50), ("sixteen writers at once", sixteen, 150)):
        share = 100 * rate / bare
        yield Figure(
            f"durable single records, {what}",
            f"{rate:,.0f}/s",
            f"bare SQLite {bare:,.0f} commits/s: {share:.0f} %",
            f"≥ {least} %",
            share >= least,
        )
