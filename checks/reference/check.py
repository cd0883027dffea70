"""Runs the program on random visits and holds what it says against `expect`. Exit code 1 on any deviation."""

import argparse
import json
import math
import random
import subprocess
import sys
import time
import zlib
from concurrent.futures import ProcessPoolExecutor

import jsonschema

import controls
import drawing
import syrup
from cases import FAMILIES
from expect import expected

# Largest deviation allowed: relative for amounts, absolute for probabilities and shares.
EXACT, SUMMED = 1e-9, 1e-8
TOLERANCES = {"portion": EXACT, "u": EXACT, "rate": EXACT, "dof": SUMMED, "p": EXACT, "part": EXACT, "share": EXACT, "change": EXACT}
# At marks both sides integrate. Of a relative error that all catches share, the program makes a normal logarithm, the same
# for draws of slightly different lengths: catches that disagree feel that.
QUADRATURE = {"u": 2e-4, "p": 1e-4, "part": 3e-4, "share": 3e-4, "change": 1e-5}
SHARED = {"u": 1.5e-2, "p": 1e-2, "part": 4e-2, "share": 3e-2, "change": 1e-3}
# What a density's slope by differences over a degree may be off by.
SLOPES = {"u": 5e-6, "dof": 2e-5, "p": 5e-6, "part": 2e-5, "share": 2e-5}


class Comparison:
    """The worst deviation of each figure, and what was wrong."""

    def __init__(self, tolerances):
        self.tolerances = tolerances
        self.worst = {}
        self.wrong = []

    def near(self, figure, got, want, relative=True, what=""):
        if got is None or want is None or not math.isfinite(got):
            return self.same(f"{figure}{what}", got, want)
        off = abs(got - want) / (abs(want) if relative and want else 1.0)
        self.worst[figure] = max(self.worst.get(figure, 0.0), off)
        if not off <= self.tolerances[figure]:
            self.wrong.append(f"{figure}{what}: {got!r}, and should be {want!r} (off by {off:.2g}, allowed {self.tolerances[figure]:g})")

    def same(self, figure, got, want):
        if got != want:
            self.wrong.append(f"{figure}: {got!r}, and should be {want!r}")


def tolerances(spec, want):
    if want.by_quadrature:
        return TOLERANCES | (SHARED if spec.density or not spec.timer.hand else QUADRATURE)
    return TOLERANCES | SLOPES if spec.density and "B" in spec.density.unit else TOLERANCES


def compare(spec, got, want):
    c = Comparison(tolerances(spec, want))
    c.same("basis", got["basis"], "catch")
    c.same("subject", got["subject"], want.subject)
    c.near("p", got["probability_on_target"], want.probability, relative=False)
    risk = float(spec.risk) / 100
    # Nearer to the group's risk than the probability is compared, either verdict will do.
    if min(abs(want.probability - risk), abs(want.probability - 1 + risk)) > c.tolerances["p"]:
        c.same("verdict", got["verdict"], want.verdict)
    portion = got["portion"] or {}
    c.near("portion", portion.get("value"), want.portion)
    c.near("u", portion.get("standard_uncertainty"), want.u)
    if want.portion is not None:
        c.same("unit", portion.get("unit"), want.unit)
    rate = got["rate"] or {}
    c.near("rate", rate.get("value"), want.rate)
    c.same("rate's unit", rate.get("unit"), want.rate_unit)
    c.near("u", rate.get("standard_uncertainty"), want.rate_u, what=" of the rate")
    c.near("dof", got["degrees_of_freedom"], want.dof if math.isfinite(want.dof) else None)
    if want.first_order_enough is not None:
        c.same("first_order_enough", got["first_order_enough"], want.first_order_enough)
    budget(c, got["budget"], want)
    if got["act"]["kind"] == "adjust":
        c.near("change", got["act"]["change"], want.change, relative=False)
    return c


def budget(c, got, want):
    parts = {part["source"]: part for part in got}
    # A part of nothing but rounding may be left out.
    floor = 1e-7 * want.budget_u
    wanted = {source: part for source, part in want.budget.items() if part[0] > floor}
    c.same("sources", sorted(s for s, part in parts.items() if part["contribution"] > floor), sorted(wanted))
    c.same("order", [p["contribution"] for p in got], sorted((p["contribution"] for p in got), reverse=True))
    if got:
        c.near("u", math.hypot(*(p["contribution"] for p in got)), want.budget_u, what=" of the budget")
        c.near("share", sum(p["share"] for p in got), 1.0, relative=False, what="s together")
    for source in wanted.keys() & parts.keys():
        contribution, persistent = want.budget[source]
        part = parts[source]
        c.near("part", part["contribution"] / want.budget_u, contribution / want.budget_u, relative=False, what=f" `{source}`")
        c.near("share", part["share"], (contribution / want.budget_u) ** 2, relative=False, what=f" `{source}`")
        c.same(f"`{source}` persistent", part["persistent"], persistent)


def run(program, spec):
    done = subprocess.run([program, *spec.args()], capture_output=True, text=True, timeout=20)
    if done.returncode != 0:
        return f"exit code {done.returncode}: {done.stderr.strip()}"
    return json.loads(done.stdout)


def specs(seed, scale):
    for family, (make, count) in FAMILIES.items():
        r = random.Random(seed + zlib.crc32(family.encode()))
        for _ in range(max(1, round(count * scale))):
            yield family, make(r)


def both(item):
    """What the program says of one visit, and what it should say; where the quotient leans, drawn as well."""
    program, family, spec = item
    want = expected(spec)
    return run(program, spec), want, drawing.drawn(spec, want) if family == "one short draw" else None


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program")
    parser.add_argument("--seed", type=int, default=20260131)
    parser.add_argument("--scale", type=float, default=1.0, help="how many times the usual number of cases")
    parser.add_argument("--family", help="only this one")
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args()
    started = time.monotonic()

    schema = json.loads(subprocess.run([args.program, "schema", "calc-catch"], capture_output=True, text=True, check=True).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    valid = jsonschema.Draft202012Validator(schema, format_checker=None)
    all_specs = [item for item in specs(args.seed, args.scale) if args.family in (None, item[0])]
    with ProcessPoolExecutor(args.workers) as processes:
        results = list(zip(all_specs, processes.map(both, [(args.program, *item) for item in all_specs], chunksize=4)))

    passed = failed = 0
    print("worst deviation / allowed, by family (relative, and absolute of p, shares and parts of u)")
    off = syrup.self_check()
    passed, failed = (passed + 1, failed) if off < 1e-3 else (passed, failed + 1)
    print(f"{'our own densities':22} the manual's table: {off:.1e} kg/m³ off, 1e-03 allowed")
    for family in dict.fromkeys(item[0] for item in all_specs):
        worst, allowed, count, notes = {}, {}, 0, []
        for (name, spec), (got, want, drawn) in results:
            if name != family:
                continue
            count += 1
            if isinstance(got, str):
                wrong = [got]
            else:
                c = compare(spec, got, want)
                wrong = c.wrong + [f"schema: {e.json_path}: {e.message}" for e in valid.iter_errors(got)]
                wrong += [f"schema: no `{key}` is described" for key in got.keys() - schema["properties"].keys()]
                for figure, off in c.worst.items():
                    worst[figure] = max(worst.get(figure, 0.0), off)
                    allowed[figure] = max(allowed.get(figure, 0.0), c.tolerances[figure])
                if drawn:
                    notes.append(drawing.against(got, drawn))
                    wrong += notes[-1].wrong
            passed, failed = (passed, failed + 1) if wrong else (passed + 1, failed)
            if wrong:
                print(f"FAILED {family}: {' '.join(repr(a) if ' ' in a else a for a in spec.args())}", *wrong, sep="\n    ")
        figures = "  ".join(f"{figure} {off:.0e}/{allowed[figure]:.0e}" for figure, off in worst.items())
        print(f"{family:22} {count:3} cases  {figures}")
        if notes:
            print(f"{'  by Monte Carlo':22} {len(notes):3} cases  {drawing.figures(notes)}")
    for name, found in controls.all_of(results, compare, valid):
        passed, failed = (passed + 1, failed) if found else (passed, failed + 1)
        print(f"{'control' if found else 'FAILED control'}: {name}: {'detected' if found else 'not detected'}")
    print(f"reference: {len(all_specs)} visits in {time.monotonic() - started:.0f} s, seed {args.seed}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
