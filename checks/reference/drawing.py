"""A short draw by Monte Carlo (JCGM 101): millions of portions, nothing linearised."""

import math
import zlib
from dataclasses import dataclass, field

import numpy as np

DRAWS = 2_000_000


@dataclass
class Drawn:
    """By normal inputs, and by each input's own distribution."""

    probability: float
    spread: float  # root mean square about the portion that was read
    probability_own: float


@dataclass
class Against:
    p: float
    u: float
    own: float
    wrong: list = field(default_factory=list)


def drawn(spec, want):
    """One catch in a graduated cup, by hand."""
    (amount, ran), measure = spec.catches[0], spec.measure
    rng = np.random.default_rng(zlib.crc32(" ".join(spec.args()).encode()))
    thumb = spec.timer.of.base if spec.timer.of else 0.10
    tolerance, half, display = measure.tolerance.base, measure.division.base / 2, 0.005
    low, high = spec.limits

    def portions(read, timed):
        return (amount.base + read) * spec.draw.base / (ran.base + timed)

    def share(portions):
        return np.count_nonzero((portions >= low) & (portions <= high)) / DRAWS

    u_read = math.hypot(tolerance / math.sqrt(3), half / math.sqrt(6))
    u_time = math.hypot(thumb, display / math.sqrt(3))
    normal = portions(u_read * rng.standard_normal(DRAWS), u_time * rng.standard_normal(DRAWS))
    read = rng.uniform(-tolerance, tolerance, DRAWS) + rng.triangular(-half, 0, half, DRAWS)
    own = portions(read, thumb * rng.standard_normal(DRAWS) + rng.uniform(-display, display, DRAWS))
    return Drawn(share(normal), float(np.sqrt(np.mean((normal - want.portion) ** 2))), share(own))


# Four standard errors of a probability of one half; what series of second order leave out after a second by a slow thumb;
# what rectangular and triangular parts differ by from normal ones.
P, U, OWN = 4 * 0.5 / math.sqrt(DRAWS), 0.025, 0.004


def against(got, drawn):
    p = got["probability_on_target"]
    result = Against(abs(p - drawn.probability), abs(got["portion"]["standard_uncertainty"] / drawn.spread - 1), abs(p - drawn.probability_own))
    for off, allowed, what in ((result.p, P, "p of normal inputs"), (result.u, U, "u"), (result.own, OWN, "p of the inputs' own kinds")):
        if off > allowed:
            result.wrong.append(f"Monte Carlo, {what}: off by {off:.2g}, allowed {allowed:.2g}; {drawn}")
    return result


def figures(all_of):
    return "  ".join(f"{name} {max(getattr(one, key) for one in all_of):.1e}/{allowed:.1e}" for name, key, allowed in (("p", "p", P), ("u", "u", U), ("p by own kinds", "own", OWN)))
