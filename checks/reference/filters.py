"""The filters of `estimate` once more with `statsmodels`: held against what `examples/filter.rs` of `estimate` answers.

Series of which nothing is known at the start, with gaps, uneven dates and readings that state a doubt of their own; and whole
machines, whose lines share a walk, a day, cups and people, and are adjusted, taught, cleaned and renewed between visits. There the
program takes one reading after the other; here all readings of a visit go into one matrix step. Exit code 1 on any deviation."""

import argparse
import json
import math
import random
import subprocess
import sys

import numpy
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

# Deviations allowed: of levels in standard deviations, of variances in variances, of log-likelihoods relative.
ALLOWED = dict.fromkeys(("log-likelihood", "level", "variance", "expected", "smoothed", "ahead"), 1e-9)
LINES, MEASURES, PEOPLE = 4, 2, 4


def series(r):
    """A walk or a slope, read at uneven dates or on a grid of which days are missing."""
    grid, n = r.random() < 0.4, r.randrange(4, 60)
    noise, walk = 10 ** r.uniform(-2, 2), r.choice([0.0, 10 ** r.uniform(-3, 2)])
    slope = r.choice([None, None, 0.0, 10 ** r.uniform(-4, -1)])
    if grid and slope:
        slope = 0.0  # A slope that walks between grid points moves the level within the gap as well.
    dates = sorted(r.sample(range(3 * n), n)) if grid else sorted(r.uniform(0, 2 * n) for _ in range(n))
    level, drift, before, points = r.gauss(0, 100), r.gauss(0, 1) if slope is not None else 0.0, dates[0], []
    for at in dates:
        level += drift * (at - before) + r.gauss(0, math.sqrt(walk * (at - before)))
        before = at
        own = 10 ** r.uniform(-2, 1) if r.random() < 0.3 else 0.0
        points.append([at, level + r.gauss(0, math.sqrt(noise + own)), own])
    return {"ask": "series", "grid": grid, "noise": noise, "walk": walk, "slope": slope, "points": points, "ahead": r.uniform(0, 10)}


def of_series(case):
    """The same by an exact diffuse start (Koopman 1997), as statsmodels has it."""
    points, slope, walk = case["points"], case["slope"], case["walk"]
    states = 1 if slope is None else 2
    if case["grid"]:
        first = points[0][0]
        times = list(range(points[-1][0] - first + 1))
        read = {at - first: (value, own) for at, value, own in points}
        values = [read.get(t, (numpy.nan, 0.0)) for t in times]
        steps = [1.0] * len(times)
    else:
        values = [(value, own) for _, value, own in points]
        steps = [b[0] - a[0] for a, b in zip(points, points[1:])] + [1.0]
    n = len(values)
    model = KalmanSmoother(k_endog=1, k_states=states)
    model.bind(numpy.array([value for value, _ in values])[:, None])
    model["design"] = numpy.eye(1, states)
    model["obs_cov"] = numpy.array([case["noise"] + own for _, own in values]).reshape(1, 1, n)
    passed = numpy.stack([numpy.eye(states)] * n, axis=2)
    spread = numpy.zeros((states, states, n))
    spread[0, 0] = [walk * step for step in steps]
    if states == 2:
        passed[0, 1], spread[1, 1] = steps, [slope * step for step in steps]
    model["transition"], model["selection"], model["state_cov"] = passed, numpy.eye(states), spread
    model.initialize_diffuse()
    told = model.smooth()
    at = [t for t, (value, _) in enumerate(values) if not math.isnan(value)]
    end = numpy.eye(states)
    end[0, -1] += case["ahead"] if states == 2 else 0.0
    late = end @ told.filtered_state_cov[:, :, -1] @ end.T
    return {
        "log_likelihood": told.llf + states * 0.5 * math.log(2 * math.pi),
        "levels": [(told.filtered_state[0, t], told.filtered_state_cov[0, 0, t]) for t in at],
        "expected": [(told.forecasts[0, t], told.forecasts_error_cov[0, 0, t]) for t in at],
        "smoothed": [(told.smoothed_state[0, t], told.smoothed_state_cov[0, 0, t]) for t in at] if states == 1 else [],
        "ahead": ((end @ told.filtered_state[:, -1])[0], late[0, 0] + walk * case["ahead"]),
        "open": states,
    }


def machine(r):
    """A machine with what is done to it. Levels are logarithms."""
    small = lambda: r.choice([0.0, 10 ** r.uniform(-6, -2)])
    behaviour = {key: small() for key in ("walk", "machine_walk", "day", "person", "response_spread", "adjusting", "cleaning")}
    behaviour |= {"drift": r.gauss(0, 0.01), "new_part": r.gauss(0, 0.02), "new_part_spread": 10 ** r.uniform(-4, -1)}
    behaviour |= {"response": r.uniform(0.6, 1.2), "teaching": 10 ** r.uniform(-5, -3)}
    lines, cups = r.randrange(1, LINES + 1), [10 ** r.uniform(-5, -2) for _ in range(MEASURES)]
    visits, at = [], r.uniform(0, 3)
    for _ in range(r.randrange(2, 40)):
        cup, person = r.randrange(MEASURES), r.randrange(PEOPLE)
        said = [["read", r.randrange(lines), r.gauss(3, 0.1), 10 ** r.uniform(-5, -2), cup, cups[cup], person] for _ in range(r.randrange(1, 2 * lines + 1))]
        for line in range(lines):
            done = r.choices(["adjusted", "taught", "cleaned", "renewed", None], [2, 1, 1, 0.3, 5])[0]
            more = {"adjusted": [r.gauss(0, 0.1)], "taught": [3.0, cup, cups[cup], person], "cleaned": [], "renewed": [r.gauss(3, 0.1)]}
            said += [[done, line, *more[done]]] if done else []
        visits.append({"at": at, "happened": said})
        at += r.choice([1.0, r.uniform(0.01, 6)])
    return {"ask": "machine", "behaviour": behaviour, "targets": [r.gauss(3, 0.1) for _ in range(lines)], "cups": cups, "visits": visits}


def of_machine(case):
    """One state vector: own levels, the shared walk, the day, cups, people; an affine step between visits."""
    b, visits, lines = case["behaviour"], case["visits"], len(case["targets"])
    walk, day, cup, person = lines, lines + 1, lines + 2, lines + 2 + MEASURES
    states, n = person + PEOPLE, len(visits)
    reads = [[what for what in visit["happened"] if what[0] == "read"] for visit in visits]
    width = max(map(len, reads))
    values, design = numpy.full((n, width), numpy.nan), numpy.zeros((width, states, n))
    noise = numpy.zeros((width, width, n))
    passed, moved, spread = numpy.zeros((states, states, n)), numpy.zeros((states, n)), numpy.zeros((states, states, n))
    for t, visit in enumerate(visits):
        for row, (_, line, value, own, measure, _, who) in enumerate(reads[t]):
            values[t, row], noise[row, row, t] = value, own
            design[row, [line, walk, day, cup + measure, person + who], t] = 1
        weeks = visits[t + 1]["at"] - visit["at"] if t + 1 < n else 1.0
        step, shift, drawn = numpy.eye(states), numpy.zeros(states), numpy.zeros((states, states))

        def act(matrix, by, variance):
            nonlocal step, shift, drawn
            step, shift, drawn = matrix @ step, matrix @ shift + by, matrix @ drawn @ matrix.T + numpy.diag(variance)

        for what in visit["happened"]:
            kind, line = what[0], what[1]
            matrix, by, variance = numpy.eye(states), numpy.zeros(states), numpy.zeros(states)
            if kind == "adjusted":
                by[line] = b["response"] * what[2]
                variance[line] = b["response_spread"] * what[2] ** 2 + b["adjusting"]
            elif kind == "cleaned":
                variance[line] = b["cleaning"]
            elif kind == "renewed":
                matrix[line], by[line], variance[line] = 0, what[2] + b["new_part"], b["new_part_spread"]
            elif kind == "taught":
                matrix[line], by[line], variance[line] = 0, what[2], b["teaching"]
                matrix[line, [walk, day, cup + what[3], person + what[5]]] = -1
            if kind != "read":
                act(matrix, by, variance)
        matrix, by, variance = numpy.eye(states), numpy.zeros(states), numpy.zeros(states)
        matrix[day, day], variance[day], variance[walk] = 0, b["day"], b["machine_walk"] * weeks
        by[:lines], variance[:lines] = b["drift"] * weeks, b["walk"] * weeks
        act(matrix, by, variance)
        passed[:, :, t], moved[:, t], spread[:, :, t] = step, shift, drawn
    model = KalmanSmoother(k_endog=width, k_states=states)
    model.bind(values)
    model["design"], model["obs_cov"] = design, noise
    model["transition"], model["state_intercept"], model["selection"], model["state_cov"] = passed, moved, numpy.eye(states), spread
    start, known = numpy.zeros(states), numpy.zeros(states)
    start[:lines], known[:lines] = numpy.array(case["targets"]) + b["new_part"], b["new_part_spread"]
    known[day], known[cup:person], known[person:] = b["day"], case["cups"], b["person"]
    model.initialize_known(start, numpy.diag(known))
    told = model.smooth()
    level = lambda mean, c, line: (mean[line] + mean[walk], c[line, line] + 2 * c[line, walk] + c[walk, walk])
    visit_states = []
    for t in range(n):
        mean, covariance = told.filtered_state[:, t], told.filtered_state_cov[:, :, t]
        alone = lambda state: (mean[state], covariance[state, state])
        visit_states.append({"levels": [level(mean, covariance, line) for line in range(lines)], "shared": alone(walk), "today": alone(day), "measures": [alone(cup + k) for k in range(MEASURES)]})
    courses = [[level(told.smoothed_state[:, t], told.smoothed_state_cov[:, :, t], line) for t in range(n)] for line in range(lines)]
    return {"log_likelihood": told.llf, "visits": visit_states, "courses": courses}


class Held:
    def __init__(self):
        self.worst, self.wrong = {}, []

    def near(self, figure, got, want, unit):
        off = abs(got - want) / unit
        self.worst[figure] = max(self.worst.get(figure, 0.0), off)
        if not off <= ALLOWED[figure]:
            self.wrong.append(f"{figure}: {got!r}, and should be {want!r} (off by {off:.2g} of {unit:.3g})")

    def pair(self, figure, got, want, unit):
        self.near(figure, got[0], want[0], math.sqrt(unit))
        self.near("variance" if figure == "level" else figure, got[1], want[1], unit)


def compare(held, case, got):
    if "error" in got:
        held.wrong.append(got["error"])
        return
    want = of_series(case) if case["ask"] == "series" else of_machine(case)
    held.near("log-likelihood", got["log_likelihood"], want["log_likelihood"], 1 + abs(want["log_likelihood"]))
    if case["ask"] == "series":
        unit = lambda place: case["noise"] + want["levels"][place][1]
        for place, (mine, theirs) in enumerate(zip(got["levels"], want["levels"], strict=True)):
            if place >= want["open"] - 1:
                held.pair("level", mine, theirs, unit(place))
        for place, (mine, theirs) in enumerate(zip(got["expected"], want["expected"], strict=True)):
            if (mine is None) != (place < want["open"]):
                held.wrong.append(f"reading {place}: something is expected of it where it only settles the start, or the reverse")
            elif mine:
                held.pair("expected", mine, theirs, theirs[1])
        for place, (mine, theirs) in enumerate(zip(got["smoothed"], want["smoothed"], strict=True)):
            held.pair("smoothed", mine, theirs, unit(place))
        held.pair("ahead", got["ahead"], want["ahead"], case["noise"] + want["ahead"][1])
        return
    for mine, theirs in zip(got["visits"], want["visits"], strict=True):
        unit = case["behaviour"]["new_part_spread"]
        for got_pair, want_pair in zip(mine["levels"], theirs["levels"], strict=True):
            held.pair("level", got_pair, want_pair, unit)
        for key in ("shared", "today"):
            held.pair("level", mine[key], theirs[key], unit)
        for got_pair, want_pair in zip(mine["measures"], theirs["measures"], strict=True):
            if got_pair:
                held.pair("level", got_pair, want_pair, unit)
    for mine, theirs in zip(got["courses"], want["courses"], strict=True):
        for got_pair, want_pair in zip(mine, theirs, strict=True):
            held.pair("smoothed", got_pair, want_pair, case["behaviour"]["new_part_spread"])


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program", help="the example `filter` of `estimate`")
    parser.add_argument("--seed", type=int, default=20260131)
    parser.add_argument("--cases", type=int, default=300, help="of each kind")
    args = parser.parse_args()
    r = random.Random(args.seed)
    cases = [make(r) for make in (series, machine) for _ in range(args.cases)]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    done = subprocess.run([args.program], input=lines, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    held, failed = Held(), 0
    for case, got in zip(cases, answers, strict=True):
        before = len(held.wrong)
        compare(held, case, got)
        if len(held.wrong) > before:
            failed += 1
            print(f"FAILED {json.dumps(case)[:400]}", *held.wrong[before : before + 3], sep="\n    ")
    # Controls: a filter that took an adjustment for exact, or a walk for a hundredth wider, would be noticed.
    for name, place, spoil in (
        ("a walk one percent wider", 0, lambda case: case | {"walk": case["walk"] * 1.01 + 1e-6}),
        ("adjustments without error", args.cases, lambda case: case | {"behaviour": case["behaviour"] | {"adjusting": 0.0, "response_spread": 0.0}}),
    ):
        control = Held()
        for case, got in list(zip(cases, answers, strict=True))[place : place + 20]:
            compare(control, spoil(case), got)
        failed += not control.wrong
        print(f"{'control' if control.wrong else 'FAILED control'}: {name}: {'detected' if control.wrong else 'not detected'}")
    print("  ".join(f"{figure} {off:.0e}/{ALLOWED[figure]:.0e}" for figure, off in held.worst.items()))
    print(f"filters: {len(cases) + 2 - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
