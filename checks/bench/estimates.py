"""The joint filter beside `statsmodels`, one machine by its history, a whole group advised, and a family fitted."""

import json
import re
import time

import numpy
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter
from statsmodels.tsa.statespace.structural import UnobservedComponents

from tools import RELEASE, Figure, bench, run
from verdicts import read

LINES, WEEKS, MEASURES, PEOPLE = 12, 104, 2, 3
UNITS = {"ns": 1e-6, "µs": 1e-3, "ms": 1.0, "s": 1e3}


def figures(_scratch, wanted):
    ours = read(bench("ouncewise-estimate", "joint"))
    rate, alone = ours["filter"], ours["one_series"]
    theirs = together(2 if wanted.small else 20)
    yield Figure(
        "joint filter, twelve lines a machine, line-weeks on one core",
        f"{rate / 1e6:.2f} million/s",
        f"`statsmodels`, the same states, a week in one step {theirs:,.0f}/s: {rate / theirs:,.0f} times",
        "≥ 4 million/s",
        rate >= 4e6,
    )
    theirs = one_by_one(50 if wanted.small else 1000)
    yield Figure(
        "one line's series, exact diffuse start, weeks on one core",
        f"{alone / 1e6:.1f} million/s",
        f"`statsmodels`' `UnobservedComponents` {theirs:,.0f}/s: {alone / theirs:,.0f} times",
        "≥ 100 times",
        alone >= 100 * theirs,
    )
    table = bench("ouncewise-advice", "lines", "machine_after_a_catch")
    number, unit = re.findall(r"([\d.]+) (ns|µs|ms|s)\b", table)[2]
    taken = float(number) * UNITS[unit]
    yield Figure("one machine of two years after a catch: filtered, judged, advised", f"median {taken:.1f} ms", "", "< 2 ms", taken < 2)

    sizes = [25, 50, 100] if wanted.small else [1_250, 2_500, 5_000, 10_000]
    paces = []
    for sites in sizes:
        ran = run(RELEASE / "examples" / "group", sites, WEEKS, *(["fit"] if sites == sizes[-1] else []))
        said = json.loads(ran.out)
        paces.append(said["seconds"] / said["machines"])
        last = sites == sizes[-1]
        yield Figure(
            f"{said['machines'] * LINES:,} lines × {WEEKS} weeks filtered and advised, both cores",
            f"{said['seconds']:.1f} s, {said['records'] / 1e6:.1f} million records",
            "",
            "< 15 s" if last else "",
            said["seconds"] < 15 or not last,
        )
    yield Figure("peak memory of the last", f"{ran.peak_mb:.0f} MB", "", "< 1,000 MB", ran.peak_mb < 1000)
    grown = paces[-1] / paces[0]
    yield Figure("time for each machine in the last, against in the first", f"{100 * grown:.0f} %", "", "linear: ≤ 130 %", grown <= 1.3)
    fit = said["fit"]
    yield Figure(
        f"a family fitted: {fit['machines']:,} machines, {fit['readings'] / 1e6:.1f} million readings",
        f"{fit['seconds']:.1f} s",
        "",
        "< 30 s",
        fit["seconds"] < 30,
    )


def together(times):
    """Readings a second of the same machine: its lines, walk, day, two measures and three people as one state, all
    readings of a week in one step of a filter that is compiled."""
    states = LINES + 2 + MEASURES + PEOPLE
    model = KalmanFilter(k_endog=LINES, k_states=states)
    design = numpy.zeros((LINES, states, WEEKS))
    passed, spread = numpy.eye(states), numpy.zeros((states, states))
    passed[LINES + 1, LINES + 1] = 0.0
    for week in range(WEEKS):
        design[:, :LINES, week] = numpy.eye(LINES)
        design[:, LINES : LINES + 2, week] = 1.0
        design[:, LINES + 2 + (week % 4 == 3), week] = 1.0
        design[:, LINES + 2 + MEASURES + week // 2 % PEOPLE, week] = 1.0
    for line in range(LINES):
        spread[line, line] = 0.006**2
    spread[LINES, LINES], spread[LINES + 1, LINES + 1] = 0.003**2, 0.008**2
    week, line = numpy.meshgrid(numpy.arange(WEEKS), numpy.arange(LINES), indexing="ij")
    model.bind(0.03 * numpy.sin(1.7 * week + 2.3 * line) - 0.0005 * week)
    model["design"], model["transition"], model["selection"] = design, passed, numpy.eye(states)
    model["state_cov"], model["obs_cov"] = spread, 0.015**2 * numpy.eye(LINES)
    model.initialize_known(numpy.zeros(states), numpy.diag([0.05**2] * LINES + [0.0, 0.008**2] + [0.02**2] * MEASURES + [0.01**2] * PEOPLE))
    model.filter()
    started = time.perf_counter()
    for _ in range(times):
        model.filter()
    return times * LINES * WEEKS / (time.perf_counter() - started)


def one_by_one(times):
    """Readings a second of one line's series after the other, each through the library's own model of a level that walks."""
    week = numpy.arange(WEEKS)
    values = 0.03 * numpy.sin(1.7 * week) - 0.0005 * week
    started = time.perf_counter()
    for _ in range(times):
        model = UnobservedComponents(values, "local level", use_exact_diffuse=True)
        model.filter([0.015**2, 0.006**2])
    return times * WEEKS / (time.perf_counter() - started)
