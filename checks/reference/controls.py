"""What must be found: each figure a little off, models that are wrong in ways that people get wrong, and a torn report.

A comparison that finds nothing wrong with these would find nothing wrong with the program either.
"""

import copy
import math
from dataclasses import replace
from unittest import mock

import budget
import syrup
from expect import expected
from spec import Cup, Q, Scale


def all_of(results, compare, valid):
    """Name of each control, and whether it was detected."""
    kept = [(family, spec, got, want) for (family, spec), (got, want, _) in results if isinstance(got, dict)]
    if not kept:
        return []
    return [*off_a_little(kept, compare), *wrong_models(kept, compare), *torn(kept[0][2], valid)]


def off_a_little(kept, compare):
    """One figure of one visit of each family, moved by a few times what is allowed."""
    for family in dict.fromkeys(family for family, *_ in kept):
        spec, got, want = next((spec, got, want) for name, spec, got, want in kept if name == family)
        tried = [replace(want, probability=want.probability + 0.02), replace(want, subject="lid")]
        if min(abs(want.probability - one) for one in (float(spec.risk) / 100, 1 - float(spec.risk) / 100)) > 0.02:
            tried.append(replace(want, verdict="certain"))
        if want.portion is not None:
            tried += [replace(want, portion=want.portion * (1 + 1e-8)), replace(want, u=want.u * 1.0001)]
        if want.rate is not None:
            tried += [replace(want, rate=want.rate * (1 + 1e-8)), replace(want, rate_u=want.rate_u * 1.0001)]
        for source, (part, persistent) in want.budget.items():
            if part > 0.1 * want.budget_u:
                tried += [replace(want, budget=want.budget | {source: (1.1 * part, persistent)})]
                tried += [replace(want, budget=want.budget | {source: (part, not persistent)})]
        found = [bool(compare(spec, got, one).wrong) for one in tried]
        yield f"{family}: {len(tried)} figures, each a little off", all(found)


def wrong_models(kept, compare):
    """A mistake in the reference must show as one, in at least one of the visits that it is about."""

    def shows(about, *changes):
        visits = [(spec, got) for _, spec, got, _ in kept if about(spec)]
        if not visits:
            return None
        with mock.patch.multiple(changes[0], **changes[1]):
            return any(compare(spec, got, expected(spec)).wrong for spec, got in visits[:40])

    vessel = lambda spec: isinstance(spec.measure, Cup)
    several = lambda spec: len(spec.catches) > 1 and not spec.water_target
    mistakes = {
        "the measure's error averages away": shows(several, budget, {"portions": each_its_own(budget.portions)}),
        "tare and gross are one reading": shows(lambda s: isinstance(s.measure, Scale) and s.measure.tared, budget, {"reading": lambda m, read: reading(m, read)[:1]}),
        "half a division is rectangular": shows(vessel, budget, {"TRIANGULAR": budget.RECTANGULAR}),
        "a tolerance is a standard uncertainty": shows(vessel, budget, {"RECTANGULAR": 1.0}),
        "buoyancy is left out": shows(lambda s: s.density, syrup, {"AIR": 0.0}),
        "scatter adds to what is known": shows(several, budget, {"READING": "reading"}),
        "second order is left out": shows(lambda s: isinstance(s.draw, Q) and s.draw.base < 3, budget, {"second_order": lambda *_: 0.0}),
        "degrees of freedom are endless": shows(several, budget, {"effective": lambda *_: math.inf}),
    }
    for name, found in mistakes.items():
        if found is not None:
            yield f"wrong model: {name}", found


reading = budget.reading


def each_its_own(portions):
    """The measure errs anew in each catch."""
    return lambda spec, catches, inputs, unit, late: [one for catch in catches for one in portions(spec, [catch], inputs, unit, late)]


def torn(report, valid):
    """Reports that the schema must refuse."""
    without = copy.deepcopy(report)
    del without["probability_on_target"]
    text = copy.deepcopy(report) | {"first_order_enough": "yes"}
    part = copy.deepcopy(report)
    if part["budget"]:
        del part["budget"][0]["share"]
    yield "schema: a missing figure, a word for a flag, a part without its share", all(list(valid.iter_errors(one)) for one in (without, text, part))
