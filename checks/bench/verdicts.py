"""Verdicts with their budget on one core, beside the same catches by `uncertainties`."""

import math
import re
import time

from uncertainties import ufloat

from tools import Figure, bench

SIZES = {"": 1, "K": 1e3, "M": 1e6, "G": 1e9}


def figures(_scratch, wanted):
    ours = read(bench("ouncewise-measure", "verdicts", "verdict_with_budget"))
    theirs = peer(0.2 if wanted.small else 3.0)
    rate = ours["verdict_with_budget"]
    yield Figure(
        "verdicts with budget, cylinder and stopwatch, one core",
        f"{rate / 1e6:.2f} million/s",
        f"`uncertainties` {theirs:,.0f}/s: {rate / theirs:,.0f} times",
        "≥ 2 million/s",
        rate >= 2e6,
    )
    yield Figure("the same, weighed", f"{ours['verdict_with_budget_weighed'] / 1e6:.2f} million/s")


def read(text):
    """Median items a second of each benchmark, from the table that the benchmark prints."""
    rates, name = {}, None
    for line in text.splitlines():
        if found := re.match(r"[├╰]─ (\w+)", line):
            name = found[1]
        elif found := re.findall(r"([\d.]+) ([KMG]?)item/s", line):
            number, size = found[2]
            rates[name] = float(number) * SIZES[size]
    return rates


def peer(seconds):
    """The catches of the benchmark: 24 to 36 mL in 7.0 to 7.2 s, read by graduation and timed by hand."""
    done, started = 0, time.perf_counter()
    while time.perf_counter() - started < seconds:
        for at in range(1000):
            volume = ufloat(24 + 0.012 * at, 0) + ufloat(0, 0.5 / math.sqrt(24), "reading")
            volume += ufloat(0, 0.5 / math.sqrt(6), "cylinder") + ufloat(0, 0.2 / math.sqrt(3), "film")
            duration = ufloat(7 + 0.1 * (at % 3), 0) + ufloat(0, 0.1, "thumb") + ufloat(0, 0.1 / math.sqrt(12), "step")
            portion = volume / duration * 7
            budget = portion.error_components()
            off = (portion.nominal_value - 30 * 0.95, portion.nominal_value - 30 * 1.05)
            low, high = (math.erf(edge / portion.std_dev / math.sqrt(2)) / 2 for edge in off)
            assert budget and -1 <= low - high <= 1
        done += 1000
    return done / (time.perf_counter() - started)
