"""The portion with its doubt, from the measurement model and JCGM 100:2008 alone.

One model, written once, is evaluated with GTC (budget, degrees of freedom) and with `uncertainties` (another propagation of
the same inputs, which must agree). What errs the same way in all catches of a visit is one object in all of them.

Where first order is not enough, the second-order terms of 5.1.2 (note) are added for the quotient, and the second-order
bias of a quotient counts as a doubt. The probability is that of a quotient of two normal (or t) quantities, by integration.
"""

import math
from dataclasses import dataclass

import GTC
import uncertainties
from scipy import integrate, special, stats

import syrup
from spec import Doses, Q, Scale

MEASURE, FILM = "the measure's own tolerance", "the film left in the measure"
DENSITY, MACHINE, WATER = "the product's density", "the machine's own timing", "the water"
READING, THUMB, DISPLAY = "reading the measure", "the thumb on the stopwatch", "the stopwatch's display"
REPEATED, DIVIDING = "how the catches differ", "dividing by a short time"
SHARED = (MEASURE, FILM, DENSITY, MACHINE, WATER)
DIVIDED_BY = (THUMB, DISPLAY, MACHINE, WATER)

RECTANGULAR, TRIANGULAR = 1 / math.sqrt(3), 1 / math.sqrt(6)
# Drinking water from 0 °C to 30 °C, 0.9998 to 0.9956 g/mL (Tanaka 2001): midway, and rectangular.
WATER_DENSITY, WATER_DENSITY_LIMIT = 0.9978, 0.0022


class Inputs:
    """Makes uncertain numbers of one library, and remembers what each comes from."""

    def __init__(self, make):
        self.make = make
        self.made = {}

    def new(self, source, value, u, df=math.inf):
        if u == 0:
            return value
        number = self.make(value, u, df)
        self.made.setdefault(source, []).append(number)
        return number


def gtc(value, u, df):
    return GTC.ureal(value, u, df)


def other(value, u, _):
    return uncertainties.ufloat(value, u)


def density(spec, new):
    """The product's density at the catch, g/mL; `new(value, u)` makes an input of it."""
    stated = spec.density
    value = float(stated.value)
    if spec.temperature is None:
        celsius = new(20.0, 15 * RECTANGULAR)
    else:
        celsius = float(spec.temperature)
    if stated.unit == "g/mL":
        decimals = len(stated.value.partition(".")[2])
        limit = float(stated.within) if stated.within else 0.5 * 10.0**-decimals
        if spec.temperature is None:
            # A product of two uncertain factors about zero: its doubt is the second-order term too (5.1.2 note).
            loss, u_loss = 3e-4, 2e-4 * RECTANGULAR
            return new(value, limit * RECTANGULAR) + new(0.0, value * 15 * RECTANGULAR * math.hypot(loss, u_loss))
        return new(value, limit * RECTANGULAR) * (1 - new(3e-4, 2e-4 * RECTANGULAR) * (celsius - 20.0))
    limit = float(stated.within) if stated.within else 0.5
    return syrup.sucrose(new(value, limit * RECTANGULAR), celsius) * new(1.0, 0.01 * RECTANGULAR)


def conversion(spec, inputs, water=False):
    """What an amount read in the measure's own unit is multiplied by."""
    weighed = isinstance(spec.measure, Scale)
    if water:
        if not weighed:
            return 1.0
        return 1 / syrup.shown_by_a_scale(inputs.new(DENSITY, WATER_DENSITY, WATER_DENSITY_LIMIT * RECTANGULAR))
    if weighed == spec.mass_target:
        return 1.0
    shown = syrup.shown_by_a_scale(density(spec, lambda value, u: inputs.new(DENSITY, value, u)))
    return 1 / shown if weighed else shown


def portions(spec, catches, inputs, unit, late):
    """Each catch as a portion over the recipe's draw, the machine being `late` by so much."""
    measure = spec.measure
    tolerance = measure.tolerance.base if measure.tolerance else 0.0
    error = inputs.new(MEASURE, 0.0, tolerance * RECTANGULAR)
    film = 0.0
    if not isinstance(measure, Scale) and measure.film:
        # Of the catch before, between none and all of it is still there.
        film = inputs.new(FILM, measure.film.base / 2, measure.film.base / 2 * RECTANGULAR)
    offset = spec.offset.base if spec.offset else 0.0
    result = []
    for amount, draw in catches:
        read = amount.base if isinstance(amount, Q) else amount.at.base
        poured = read + error - film
        for u in reading(measure, read):
            poured = poured + inputs.new(READING, 0.0, u)
        if isinstance(draw, Doses):
            per_draw = spec.draw.count / draw.count
        else:
            seconds = draw.base - offset + late
            if spec.timer.hand:
                seconds = seconds + inputs.new(THUMB, 0.0, spec.timer.of.base if spec.timer.of else 0.10)
                seconds = seconds + inputs.new(DISPLAY, 0.0, 0.005 * RECTANGULAR)
            per_draw = (spec.draw.base - offset) / seconds
        result.append(poured * unit * per_draw)
    return result


def reading(measure, read):
    """Standard uncertainties of the readings that make one amount."""
    if isinstance(measure, Scale):
        return [measure.step.base / 2 * RECTANGULAR] * (2 if measure.tared else 1)
    if measure.division:
        return [measure.division.base / 2 * TRIANGULAR]
    return [abs(read - measure.mark.base) / 2 * TRIANGULAR]


@dataclass
class Portion:
    """What one visit's catches tell of one amount."""

    value: float
    u: float
    dof: float
    budget: dict  # source: (contribution, persistent)
    first_order_enough: bool
    borderline: bool
    over: float
    under: float

    def without(self, part):
        """Standard uncertainty of all but one part that is known without limit, and its degrees of freedom."""
        rest = math.sqrt(self.u**2 - part**2)
        return rest, math.inf if math.isinf(self.dof) else self.dof * (rest / self.u) ** 4

    def probability(self, limits):
        """That the true amount lies within limits: amount over divisor, both uncertain, by integrating over the divisor."""
        low, high = limits
        if math.isinf(self.dof):
            if self.under == 0:
                return special.ndtr((high - self.value) / self.over) - special.ndtr((low - self.value) / self.over)

            def at(z):
                divisor = 1 + self.under * z
                upper, lower = ((limit * divisor - self.value) / self.over for limit in (high, low))
                return math.exp(-z * z / 2) / math.sqrt(2 * math.pi) * (special.ndtr(upper) - special.ndtr(lower))

            # The divisor at which each limit is met: the integrand turns there.
            turns = sorted(z for z in ((self.value / limit - 1) / self.under for limit in limits) if abs(z) < 9)
            return integrate.quad(at, -9, 9, points=turns or None, epsabs=1e-13, epsrel=1e-12, limit=500)[0]
        nu = max(math.floor(self.dof * (1 + 1e-12)), 1)
        t = [(limit - self.value) / math.hypot(self.over, limit * self.under) for limit in limits]
        # From the tail that both lie in, so that it keeps its digits.
        if t[0] > 0:
            return stats.t.sf(t[0], nu) - stats.t.sf(t[1], nu)
        return stats.t.cdf(t[1], nu) - stats.t.cdf(t[0], nu)


def contributions(result, inputs):
    """|c·u| by source: of one input its component, of several uncorrelated ones the root of the sum of squares."""
    return {source: math.hypot(*(GTC.component(result, x) for x in made)) for source, made in inputs.made.items()}


def summed_up(results, inputs, plain):
    """The mean of several results. `plain` is the same mean by the other library."""
    count = len(results)
    mean = sum(results[1:], results[0]) / count
    value = GTC.value(mean)
    parts = contributions(mean, inputs)
    off = GTC.uncertainty(mean) / uncertainties.std_dev(plain) - 1, value / uncertainties.nominal_value(plain) - 1
    if not max(map(abs, off)) < 1e-9:
        raise AssertionError(f"the two libraries differ: {mean!r} {plain!r}")
    # The divisors' variance of one catch, whatever stands in for it below.
    each = [contributions(one, inputs) for one in results]
    single = sum(part.get(source, 0.0) ** 2 for part in each for source in DIVIDED_BY) / count
    passing = math.hypot(*(parts.get(source, 0.0) for source in (READING, THUMB, DISPLAY)))
    dof = {source: dof_of(made) for source, made in inputs.made.items()}
    # Scatter and what reading and timing must give are one effect: the larger is kept (4.2, 4.3.10).
    if count > 1:
        scatter = math.sqrt(sum((GTC.value(one) - value) ** 2 for one in results) / (count - 1) / count)
        if scatter > passing:
            parts = {source: u for source, u in parts.items() if source in SHARED} | {REPEATED: scatter}
            dof[REPEATED] = count - 1
    first = math.hypot(*parts.values())
    divisor = math.hypot(*(parts.get(source, 0.0) for source in DIVIDED_BY))
    over, under = math.sqrt(max(first**2 - divisor**2, 0.0)), divisor / value
    more, shift = second_order(value, over / value, under), value * single / value**2
    off = shift + 2 * (math.sqrt(first**2 + more) - first)
    enough = off <= first / 19
    if not enough:
        parts[DIVIDING] = math.sqrt(shift**2 + more)
    u = math.hypot(*parts.values())
    return Portion(
        value=value,
        u=u,
        dof=effective(parts, dof),
        budget={source: (part, source in SHARED or source == DIVIDING) for source, part in parts.items() if part > 0},
        first_order_enough=enough,
        borderline=abs(off / (first / 19) - 1) < 1e-6,
        over=over,
        under=under,
    )


def dof_of(made):
    return min((x.df for x in made), default=math.inf)


def effective(parts, dof):
    """Effective degrees of freedom of uncorrelated parts, as GTC computes them (G.4.1)."""
    return GTC.dof(sum((GTC.ureal(0.0, part, dof.get(source, math.inf)) for source, part in parts.items()), GTC.ureal(0.0, 0.0)))


def second_order(value, a, b):
    """What 5.1.2 (note) adds to the variance of f = x/y at y = 1: Σᵢⱼ (½ fᵢⱼ² + fᵢ fᵢⱼⱼ) uᵢ² uⱼ²."""
    x, ux, uy = value, value * a, b
    fx, fy, fxy, fyy, fxyy, fyyy = 1.0, -x, -1.0, 2 * x, 2.0, -6 * x
    xy = 0.5 * fxy**2 + fx * fxyy
    yx = 0.5 * fxy**2
    yy = 0.5 * fyy**2 + fy * fyyy
    return (xy + yx) * ux**2 * uy**2 + yy * uy**4


def portion_of(spec, catches, water=False, beside=None):
    """The mean of catches as a portion. `beside` is the water that was caught with a syrup: what the syrup is set against."""

    def by(make):
        inputs = Inputs(make)
        late = 0.0 if spec.timer.hand or not spec.timer.of else inputs.new(MACHINE, 0.0, spec.timer.of.base * RECTANGULAR)
        results = portions(spec, catches, inputs, conversion(spec, inputs, water), late)
        if beside:
            # Two levels of one measure err apart, for all that is known; the machine's timing errs the same way in both.
            by_machine = beside.budget.get(MACHINE, (0.0, True))[0]
            rest, df = beside.without(by_machine)
            net = beside.value + inputs.new(WATER, 0.0, rest, df)
            if by_machine:
                net = net - late * (by_machine / (spec.timer.of.base * RECTANGULAR))
            results = [one * (spec.water_target.base / net) for one in results]
        return inputs, results

    inputs, results = by(gtc)
    _, plain = by(other)
    return summed_up(results, inputs, sum(plain[1:], plain[0]) / len(plain))
