"""All that the program should say of one visit."""

import math
from dataclasses import dataclass, replace

from scipy.special import ndtr

import belief
import budget
from budget import portion_of
from spec import Doses, Mark


@dataclass
class Expected:
    subject: str
    verdict: str
    probability: float
    portion: float | None
    u: float | None
    unit: str
    rate: float | None
    rate_u: float | None
    rate_unit: str | None
    dof: float
    budget: dict  # source: (contribution, persistent)
    budget_u: float
    first_order_enough: bool | None  # None: too near the line between to tell
    change: float | None
    by_quadrature: bool = False


def verdict(limits, estimate, probability, risk):
    """JCGM 106, 7.4, at the group's risk; off target only where the estimate itself lies outside."""
    if probability >= 1 - risk:
        return "on-target"
    return "off-target" if probability <= risk and not limits[0] <= estimate <= limits[1] else "undecided"


def expected(spec):
    risk = float(spec.risk) / 100
    if not spec.water_target:
        return of_product(spec, risk)
    water = portion_of(spec, spec.waters, water=True) if spec.waters else None
    if not water:
        # What was believed before anything is caught.
        low, high = (math.log(limit / spec.water_target.base) / belief.BEFORE for limit in spec.water_limits)
        probability, said = float(ndtr(high) - ndtr(low)), "undecided"
    else:
        probability = water.probability(spec.water_limits)
        said = verdict(spec.water_limits, water.value, probability, risk)
    if said == "on-target":
        return of_product(spec, risk, water)
    # Water comes before syrup: until it is shown to be right, the verdict is the water's, and rate and budget are the
    # syrup's, whatever the water.
    return replace(
        of_product(spec, risk),
        subject="water",
        verdict=said,
        probability=probability,
        portion=water and water.value,
        u=water and water.u,
        unit="mL",
    )


def of_product(spec, risk, water=None):
    if any(isinstance(amount, Mark) for amount, _ in spec.catches):
        return of_marks(spec, risk)
    portion = portion_of(spec, spec.catches, beside=water)
    probability = portion.probability(spec.limits)
    unit = "g" if spec.mass_target else "mL"
    timed = not isinstance(spec.draw, Doses)
    over = spec.draw.base - (spec.offset.base if spec.offset else 0.0) if timed else spec.draw.count
    return Expected(
        subject="portion",
        verdict=verdict(spec.limits, portion.value, probability, risk),
        probability=probability,
        portion=portion.value,
        u=portion.u,
        unit=unit,
        rate=portion.value / over,
        rate_u=portion.u / over,
        rate_unit=f"{unit}/s" if timed else f"{unit} per dose",
        dof=portion.dof,
        budget=portion.budget,
        budget_u=portion.u,
        first_order_enough=None if portion.borderline else portion.first_order_enough,
        change=spec.target.base / portion.value - 1,
    )


def of_marks(spec, risk):
    mean, u, probability = belief.of_catches(spec)
    as_numbers = portion_of(spec, spec.catches)
    shared = min(math.hypot(*(part for part, persistent in as_numbers.budget.values() if persistent)), u)
    sides = all(isinstance(amount, Mark) and amount.side != "at" for amount, _ in spec.catches)
    return Expected(
        subject="portion",
        verdict=verdict(spec.limits, mean, probability, risk),
        probability=probability,
        portion=None,
        u=None,
        unit="g" if spec.mass_target else "mL",
        rate=None,
        rate_u=None,
        rate_unit=None,
        dof=math.inf,
        budget={budget.MEASURE: (shared, True), "only a mark was read": (math.sqrt(u * u - shared * shared), False)},
        budget_u=u,
        first_order_enough=False,
        change=None if sides else spec.target.base / mean - 1,
        by_quadrature=True,
    )
