"""Flushing once more by another method, and pressures with `fluids`: held against what `examples/flush.rs` of `hygiene` answers.

The program solves laminar flow with rings and cells in time, and reads tables of that. Here the same equation goes through a Laplace
transform in time; across the flow it becomes Legendre polynomials, along the tube a matrix exponential, and the way back is the
Euler sum of Abate and Whitt. Nothing is shared but the equation. Exit code 1 on any deviation."""

import argparse
import json
import math
import random
import subprocess
import sys

import fluids
import numpy
from numpy.polynomial import legendre
from scipy import linalg, special

# Shares of old liquid: relative, and absolute where they are small: 1e-5 is the least that the program
# computes, and the Euler sum is not much better there.
SHARES, FLOOR = 2e-2, 5e-5
TERMS, POLYNOMIALS = 14, 44


def galerkin(n):
    """Matrices of 2(1 - s) and of 4 d/ds(s d/ds) between orthonormal Legendre polynomials in s = (r/a)² from 0 to 1."""
    x, weights = legendre.leggauss(n + 4)
    s, weights = (x + 1) / 2, weights / 2
    scale = numpy.sqrt(2 * numpy.arange(n) + 1)
    values = legendre.legvander(x, n - 1) * scale
    slopes = numpy.stack([2 * legendre.legval(x, legendre.legder(row)) for row in numpy.eye(n)], axis=1) * scale
    return values.T @ (values * (weights * 2 * (1 - s))[:, None]), slopes.T @ (slopes * (weights * 4 * s)[:, None])


FLOW, SPREAD = galerkin(POLYNOMIALS)
FACTORS = linalg.cho_factor(FLOW)


def euler():
    """Nodes and weights of the Euler sum (Abate and Whitt, 2006)."""
    k = numpy.arange(2 * TERMS + 1)
    xi = numpy.ones(2 * TERMS + 1)
    xi[0], xi[-1] = 0.5, 2.0**-TERMS
    for i in range(1, TERMS):
        xi[2 * TERMS - i] = xi[2 * TERMS - i + 1] + 2.0**-TERMS * special.comb(TERMS, i)
    return TERMS * math.log(10) / 3 + 1j * math.pi * k, 10 ** (TERMS / 3) * (-1.0) ** k * xi


NODES, WEIGHTS = euler()


def shares(tau, volumes):
    """Old liquid in what comes out, and left in the line."""
    new = moved = 0.0
    first = numpy.zeros(POLYNOMIALS)
    first[0] = 1
    for node, weight in zip(NODES, WEIGHTS):
        q = node / volumes
        along = linalg.cho_solve(FACTORS, tau * SPREAD + q * numpy.eye(POLYNOMIALS))
        out = (FLOW @ (linalg.expm(-along) @ first))[0] / q
        new += weight * out.real / volumes
        moved += weight * (1 / q - 1 / q**2 + out / q).real / volumes
    return 1 - new, moved


def laminar(r):
    tau = 10 ** r.uniform(-4, 0)
    # The sum wants a smooth curve: from a little past the first arrival on, as far as a thousandth.
    far = {-4: 7, -3: 8, -2: 5, -1: 2.8}[max(-4, min(-1, math.floor(math.log10(tau))))]
    volumes = sorted(r.uniform(0.8, far) for _ in range(4))
    flow, length = 0.05, 100.0
    return {"ask": "flush", "bore_mm": r.uniform(3, 13), "length_m": length, "flow": flow, "diffusivity": tau * flow * 1e-6 / (math.pi * length), "volumes": volumes, "residues": []}


def turbulent(r):
    bore, length = r.uniform(3, 13), r.uniform(2, 8)
    flow = r.uniform(4500, 40000) * math.pi * bore * 1e-3 * 1.0034e-6 / 4 * 1e6
    return {"ask": "flush", "bore_mm": bore, "length_m": length, "flow": flow, "diffusivity": 5e-10, "volumes": [], "residues": [0.1, 0.01, 0.001]}


def pressure(r):
    return {"ask": "pressure", "bore_mm": r.uniform(3, 13), "length_m": r.uniform(0.5, 10), "flow": 10 ** r.uniform(-0.5, 2), "viscosity": 10 ** r.uniform(0, 2.5), "density": r.uniform(1, 1.35)}


def film(r):
    return {"ask": "film", "speed": 10 ** r.uniform(-2, 0.3), "viscosity": 10 ** r.uniform(0, 2.5), "density": 1.2, "tension": r.uniform(30, 80)}


class Held:
    def __init__(self):
        self.worst, self.wrong = {}, []

    def near(self, figure, got, want, relative, floor=0.0):
        off = max(0.0, abs(got - want) - floor) / abs(want)
        self.worst[figure] = max(self.worst.get(figure, (0.0, relative))[0], off), relative
        if not off <= relative:
            self.wrong.append(f"{figure}: {got!r}, and should be {want!r} (off by {off:.2g}, allowed {relative:g})")


def compare(held, case, got):
    if "error" in got:
        held.wrong.append(got["error"])
    elif case["ask"] == "pressure":
        bore, speed = case["bore_mm"] / 1e3, case["flow"] * 1e-6 / (math.pi * (case["bore_mm"] / 2e3) ** 2)
        rho, mu = case["density"] * 1e3, case["viscosity"] / 1e3
        reynolds = fluids.Reynolds(V=speed, D=bore, rho=rho, mu=mu)
        held.near("Reynolds number", got["reynolds"], reynolds, 1e-9)
        # The two change from laminar to turbulent at other Reynolds numbers.
        if not 2000 < reynolds < 2400:
            drop = fluids.one_phase_dP(m=rho * case["flow"] * 1e-6, rho=rho, mu=mu, D=bore, L=case["length_m"]) / 1e3
            held.near("pressure", got["kilopascals"], drop, 1e-6)
    elif case["ask"] == "film":
        power = (case["viscosity"] * case["speed"] / case["tension"]) ** (2 / 3)
        thickness = 1.34 * power / (1 + 3.35 * power)
        held.near("film", got["film"], 1 - (1 - thickness) ** 2, 1e-12)
    else:
        volume = math.pi * (case["bore_mm"] / 2) ** 2 * case["length_m"]
        held.near("volume", got["volume"], volume, 1e-12)
        held.near("time", got["seconds_per_volume"], volume / case["flow"], 1e-12)
        tau = math.pi * case["diffusivity"] * case["length_m"] / (case["flow"] * 1e-6)
        held.near("regime number", got["regime_number"], tau, 1e-12)
        for volumes, outlet, line in zip(case["volumes"], got["outlet"], got["line"]):
            want_outlet, want_line = shares(tau, volumes)
            held.near("in what comes out", outlet, want_outlet, SHARES, FLOOR)
            held.near("left in the line", line, want_line, SHARES, FLOOR)
        # Levenspiel, Chemical Reaction Engineering, 3rd ed., p. 310, and a spread that is even to both sides.
        for share, volumes in zip(case["residues"], got["volumes_to_outlet"]):
            reynolds = got["reynolds"]
            peclet = case["length_m"] / case["bore_mm"] * 1e3 / (3e7 / reynolds**2.1 + 1.35 / reynolds**0.125)
            if peclet > 100:
                held.near("turbulent volumes", volumes, 1 + math.sqrt(2 / peclet) * -special.ndtri(share), 1e-6)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("program", help="the example `flush` of `hygiene`")
    parser.add_argument("--seed", type=int, default=20260131)
    parser.add_argument("--cases", type=int, default=24, help="laminar ones; ten times as many of the others")
    args = parser.parse_args()
    r = random.Random(args.seed)
    cases = [laminar(r) for _ in range(args.cases)]
    cases += [make(r) for make in (turbulent, pressure, film) for _ in range(10 * args.cases)]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    done = subprocess.run([args.program], input=lines, capture_output=True, text=True, check=True)
    held, failed = Held(), 0
    for case, line in zip(cases, done.stdout.splitlines(), strict=True):
        before = len(held.wrong)
        compare(held, case, json.loads(line))
        if len(held.wrong) > before:
            failed += 1
            print(f"FAILED {json.dumps(case)}", *held.wrong[before:], sep="\n    ")
    # The method by itself, against a finite-volume solution of others: percent in what comes out and left in the line.
    for tau, volumes, want in ((1e-3, 2, (6.72, 12.1)), (1e-2, 3, (3.65, 2.6)), (3e-2, 2, (9.19, 4.9))):
        got = [100 * share for share in shares(tau, volumes)]
        if any(abs(g / w - 1) > 1e-2 for g, w in zip(got, want)):
            failed += 1
            print(f"FAILED the method itself at {tau:g}: {got}, and should be {want}")
    # A control: a program that took diffusion for half as fast would be noticed.
    control = Held()
    case = laminar(random.Random(1))
    got = json.loads(subprocess.run([args.program], input=json.dumps(case | {"diffusivity": case["diffusivity"] / 2}), capture_output=True, text=True, check=True).stdout)
    compare(control, case, got | {"regime_number": math.pi * case["diffusivity"] * case["length_m"] / (case["flow"] * 1e-6)})
    noticed = bool(control.wrong)
    failed += not noticed
    print("  ".join(f"{figure} {off:.0e}/{allowed:.0e}" for figure, (off, allowed) in held.worst.items()))
    print(f"{'control' if noticed else 'FAILED control'}: half the diffusion: {'detected' if noticed else 'not detected'}")
    print(f"flush: {len(cases) + 4 - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
