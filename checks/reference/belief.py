"""What *at*, *over* and *under* a mark leave to be believed of a portion, by quadrature.

Before the catch the logarithm of portion over target is normal with a standard deviation of 0.2. The level in the vessel is
out by the vessel's tolerance and its film (rectangular) and by the machine's timing and the density (normal), the same in all
catches; by the thumb, the display and the judging (normal), new in each. *At* is said of a level within half a division of
the mark, or within 2 % of a cup's only mark; *over* and *under* of one beyond.
"""

import math

import GTC
import numpy as np
from scipy import integrate
from scipy.special import ndtr

import budget
from spec import Doses, Mark

BEFORE = 0.2
NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
# For a normal variable the plain sum over even steps converges fastest, once they are finer than what it is multiplied by.
STEPS = np.linspace(-5, 5, 41)
STEP_WEIGHTS = np.exp(-(STEPS**2) / 2) / np.exp(-(STEPS**2) / 2).sum()


class Said:
    """One catch: how likely its words (or its number) are at a level."""

    def __init__(self, spec, amount, draw, unit):
        measure = spec.measure
        if isinstance(draw, Doses):
            self.per_portion, own = draw.count / spec.draw.count / unit, 0.0
            late = 0.0
        else:
            offset = spec.offset.base if spec.offset else 0.0
            seconds = draw.base - offset
            self.per_portion = seconds / (spec.draw.base - offset) / unit
            thumb = spec.timer.of.base if spec.timer.of else 0.10
            own = math.hypot(thumb, 0.005 * budget.RECTANGULAR) / seconds if spec.timer.hand else 0.0
            late = spec.timer.of.base * budget.RECTANGULAR / seconds if not spec.timer.hand and spec.timer.of else 0.0
        # Relative spreads: new in each catch, and by the machine's timing.
        self.own, self.late = own, late
        half = measure.division.base / 2 if measure.division else 0.02 * measure.mark.base
        self.number = None
        if isinstance(amount, Mark):
            mark = amount.at.base
            self.between = {"at": (mark - half, mark + half), "over": (mark + half, math.inf), "under": (-math.inf, mark - half)}[amount.side]
        else:
            mark = self.number = amount.base
            self.between = (mark, mark)
        # Whether `at` has passed is judged as well as its half width. A number without any doubt would be a spike: it has
        # a millionth of itself.
        reading = half * budget.TRIANGULAR if isinstance(amount, Mark) else budget.reading(measure, mark)[0]
        self.judging = max(reading, 1e-6 * mark)

    def spread(self, level):
        return np.hypot(self.judging, level * self.own)

    def likelihood(self, level, out):
        """If so much was poured and the vessel shows `out` more."""
        s = self.spread(level)
        if self.number is not None:
            return np.exp(-(((self.number - level - out) / s) ** 2) / 2) / s
        low, high = self.between
        return ndtr((high - level - out) / s) - ndtr((low - level - out) / s)


def of_catches(spec):
    """Mean, standard deviation and probability within tolerance."""
    measure, target = spec.measure, spec.target.base
    tolerance = measure.tolerance.base
    film = measure.film.base / 2 if measure.film else 0.0
    inputs = budget.Inputs(budget.gtc)
    unit = budget.conversion(spec, inputs)
    relative = GTC.uncertainty(unit) / GTC.value(unit) if inputs.made else 0.0
    said = [Said(spec, amount, draw, GTC.value(unit)) for amount, draw in spec.catches]
    # What all catches share beside the vessel: factors of each level, and their weights.
    shared = [math.hypot(relative, one.late) for one in said]
    z, weights = (STEPS, STEP_WEIGHTS) if max(shared) > 0 else (np.zeros(1), np.ones(1))

    # The sum of two rectangular errors: a trapezoid, falling from `flat` to `reach` on either side.
    reach, flat = tolerance + film, abs(tolerance - film)
    dense = lambda e: np.minimum(1.0, (reach - np.abs(e)) / (reach - flat)) / (reach + flat) if film else 1 / (2 * reach)

    def likelihood(portion):
        total = 0.0
        for error, weight in zip(z, weights):
            poured = [portion * one.per_portion * (1 + error * s) for one, s in zip(said, shared)]
            cuts = {-reach, -flat, flat, reach}
            for one, level in zip(said, poured):
                spread = float(one.spread(level))
                steps = (-7, -2.5, 0, 2.5, 7) if spread < reach / 2 else (0,)
                cuts |= {end - level - film + k * spread for end in one.between if math.isfinite(end) for k in steps}
            cuts = np.array(sorted(e for e in cuts if -reach <= e <= reach))
            middle, half = (cuts[1:] + cuts[:-1])[:, None] / 2, (cuts[1:] - cuts[:-1])[:, None] / 2
            e = middle + half * NODES
            product = half * WEIGHTS * dense(e)
            for one, level in zip(said, poured):
                product = product * one.likelihood(level, film + e)
            total += weight * product.sum()
        return total

    def at(x):
        away = target * math.expm1(x)
        mass = math.exp(-((x / BEFORE) ** 2) / 2) * likelihood(target * math.exp(x))
        return np.array([mass, mass * away, mass * away**2])

    # Where something changes fast.
    turns = set()
    for one, s in zip(said, shared):
        for end in one.between:
            if math.isfinite(end):
                wide = 4 * math.hypot(one.judging, end * math.hypot(one.own, s))
                levels = [end - film + out for out in (-reach - wide, -reach, 0, reach, reach + wide)]
                turns |= {math.log(level / one.per_portion / target) for level in levels if level > 0}

    def integral(low, high):
        inside = sorted(x for x in turns if low < x < high)
        return integrate.quad_vec(at, low, high, points=inside or None, epsrel=1e-6, epsabs=1e-12, limit=400, quadrature="gk15")[0]

    low, high = (math.log(limit / target) for limit in spec.limits)
    below, inside, above = integral(-6 * BEFORE, low), integral(low, high), integral(high, 6 * BEFORE)
    total, first, second = below + inside + above
    mean = first / total
    return target + mean, math.sqrt(second / total - mean**2), inside[0] / total
