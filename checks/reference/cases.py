"""Random visits, by family: each family tries one thing, on kitchens that could be."""

from spec import Cup, Density, Doses, Mark, Q, Scale, Spec, Timer

DIVISIONS = (("0.5", "0.25"), ("1", "0.5"), ("1", "1"), ("2", "1"), ("5", "1"), ("5", "2.5"))
MACHINES = (None, "0.02", "0.05", "0.1", "0.2")
RISKS = ("5", "5", "5", "10", "1", "2.5")


def q(value, decimals, unit):
    return Q(f"{value:.{decimals}f}", unit)


def target(r, unit="mL"):
    return q(r.choice((15, 20, 25, 30, 30, 37.5, 45, 60)) * r.uniform(0.95, 1.05), 1, unit)


def about(r, value, spread=0.05):
    return value * (1 + r.gauss(0, spread))


def cup(r, film=False):
    division, tolerance = r.choice(DIVISIONS)
    return Cup(tolerance=Q(tolerance, "mL"), division=Q(division, "mL"), film=Q(r.choice(("0.2", "0.5", "1", "1.5")), "mL") if film else None)


def scale(r, tared=None):
    step = r.choice(("0.1", "0.5", "1"))
    limits = r.choice((None, "0.2", "0.5", "1"))
    return Scale(Q(step, "g"), Q(limits, "g") if limits else None, r.random() < 0.5 if tared is None else tared)


def by_hand(r):
    return Timer(True, r.choice((None, None, Q("0.15", "s"), Q("80", "ms"))))


def by_machine(r):
    limits = r.choice(MACHINES)
    return Timer(False, Q(limits, "s") if limits else None)


def seconds(r):
    return q(r.uniform(5, 12), 1, "s")


def volume(r, spec, amount):
    return q(amount, r.choice((1, 1, 2)), "mL")


def settings(r):
    return {"tolerance": r.choice(("5", "5", "3", "7.5", "10")), "risk": r.choice(RISKS)}


def rate(r, timer, measure, catches=1, spread=0.05):
    """Catches over about the recipe's own draw."""
    aim, draw = target(r), seconds(r)
    level = about(r, aim.base, spread)
    made = []
    for _ in range(catches):
        ran = q(draw.base * r.uniform(0.97, 1.03), 2, "s")
        made.append((q(about(r, level * ran.base / draw.base, 0.015 if catches > 1 else 0), 1, "mL"), ran))
    return Spec(aim, draw, measure, made, timer, **settings(r))


def dose(r, measure, unit="mL", catches=1, factor=1.0):
    """`factor`: grams for a millilitre, where one is read and the other asked for."""
    aim, draw = target(r, unit), Doses(r.choice((1, 1, 2)))
    level = about(r, aim.base)
    made = []
    for _ in range(catches):
        count = r.choice((1, 2, 3, 5))
        made.append((q(about(r, level * factor * count / draw.count, 0.01 if catches > 1 else 0), 1, "g" if isinstance(measure, Scale) else "mL"), Doses(count)))
    return Spec(aim, draw, measure, made, Timer(True), **settings(r))


def rate_by_hand(r):
    return rate(r, by_hand(r), cup(r))


def rate_by_machine(r):
    return rate(r, by_machine(r), cup(r))


def doses(r):
    return dose(r, cup(r))


def only_mark(r):
    """A cup with one mark, filled to about it."""
    aim = target(r)
    measure = Cup(tolerance=Q(r.choice(("0.5", "1", "2")), "mL"), mark=q(aim.base, 1, "mL"))
    made = [(q(about(r, aim.base), 1, "mL"), Doses(1))]
    return Spec(aim, Doses(1), measure, made, **settings(r))


def film(r):
    return rate(r, by_hand(r), cup(r, film=True)) if r.random() < 0.5 else dose(r, cup(r, film=True))


def weighed(r):
    """Grams asked for, grams read: no density."""
    if r.random() < 0.5:
        return dose(r, scale(r), "g")
    spec = rate(r, by_hand(r) if r.random() < 0.5 else by_machine(r), scale(r))
    spec.target = Q(spec.target.text, "g")
    spec.catches = [(Q(amount.text, "g"), draw) for amount, draw in spec.catches]
    return spec


def with_density(spec, r, density, grams):
    """Asked for in one and read in the other."""
    spec.density, spec.temperature = density, r.choice((None, "4", "12.5", "20", "28"))
    factor = grams if isinstance(spec.measure, Scale) else 1 / grams
    unit = "g" if isinstance(spec.measure, Scale) else "mL"
    spec.target = Q(spec.target.text, "mL" if unit == "g" else "g")
    spec.catches = [(q(amount.base * factor, 1, unit), draw) for amount, draw in spec.catches]
    return spec


def stated_density(r):
    rho = r.uniform(1.02, 1.36)
    text = f"{rho:.{r.choice((2, 3))}f}"
    density = Density(text, "g/mL", r.choice((None, "0.01", "0.005", "0.02")))
    spec = rate(r, by_hand(r), scale(r)) if r.random() < 0.7 else dose(r, scale(r), "mL")
    return with_density(spec, r, density, rho)


def brix(r):
    strength = r.uniform(8, 74)
    density = Density(f"{strength:.{r.choice((0, 1))}f}", r.choice(("Brix", "°Bx")), r.choice((None, "1", "0.2")))
    spec = rate(r, by_machine(r), scale(r)) if r.random() < 0.7 else dose(r, scale(r), "mL")
    return with_density(spec, r, density, 0.998 + 0.0049 * strength)


def grams_in_a_cup(r):
    rho = r.uniform(1.02, 1.36)
    density = Density(f"{rho:.3f}", "g/mL", r.choice((None, "0.01")))
    return with_density(rate(r, by_hand(r), cup(r, film=r.random() < 0.3)), r, density, rho)


def several(r):
    """Catches with one measure: its own error never averages away, and their scatter is set against what is known."""
    count = r.randint(2, 6)
    kind = r.randrange(3)
    if kind == 0:
        return rate(r, by_hand(r), cup(r, film=r.random() < 0.2), count)
    if kind == 1:
        return rate(r, by_machine(r), cup(r), count)
    return dose(r, scale(r), "g", count)


def opening_offset(r):
    """A valve that opens late (or closes late), caught over draws of other lengths than the recipe's."""
    spec = rate(r, by_hand(r) if r.random() < 0.6 else by_machine(r), cup(r))
    spec.offset = Q(r.choice(("0.3", "0.45", "250", "-0.2")), "s")
    if spec.offset.text == "250":
        spec.offset = Q("250", "ms")
    late, flow = spec.offset.base, about(r, spec.target.base) / (spec.draw.base - spec.offset.base)
    spec.catches = []
    for _ in range(r.randint(1, 4)):
        ran = q(r.uniform(3, 20), 1, "s")
        spec.catches.append((q(about(r, flow * (ran.base - late), 0.01), 1, "mL"), ran))
    return spec


def ratio(r):
    """Syrup beside its water: the water right, wrong, not caught, or weighed."""
    weigh = r.random() < 0.3
    measure = scale(r) if weigh else cup(r)
    count = r.choice((1, 1, 2, 3, 4))
    timed = r.random() < 0.6
    spec = rate(r, by_hand(r) if r.random() < 0.4 else by_machine(r), measure, count) if timed else dose(r, measure, "mL", count)
    if weigh:
        spec = with_density(spec, r, Density("1.25", "g/mL", "0.01"), 1.25)
    spec.water_target = q(spec.target.base * r.uniform(3, 6), 0, "mL")
    spec.water_tolerance = r.choice(("5", "8", "10"))
    if r.random() < 0.1:
        return spec
    level = about(r, spec.water_target.base, 0.10 if r.random() < 0.3 else 0.015)
    for _, draw in spec.catches:
        draws = draw.count / spec.draw.count if isinstance(draw, Doses) else draw.base / spec.draw.base
        amount = about(r, level * draws, r.choice((0.002, 0.02)))
        spec.waters.append((q(amount, 1, "g" if weigh else "mL"), draw))
    return spec


def said(r, measure, level):
    """The words for a level, by somebody who reads as the rule says."""
    division = measure.division and measure.division.base
    mark = measure.mark or q(max(1, round(level / division) + r.choice((-2, -1, 0, 0, 1, 2))) * division, 1, "mL")
    half = 0.02 * mark.base if measure.mark else measure.division.base / 2
    return Mark("at" if abs(level - mark.base) <= half else "over" if level > mark.base else "under", mark)


def marks(r):
    """At, over or under a mark; several of them; and a number beside them."""
    kind = r.randrange(6)
    count = r.choice((1, 1, 1, 2, 3))
    if kind == 0:
        aim = target(r)
        measure = Cup(tolerance=Q(r.choice(("0.5", "1", "2")), "mL"), mark=aim)
        return Spec(aim, Doses(1), measure, [(said(r, measure, about(r, aim.base)), Doses(1)) for _ in range(count)], **settings(r))
    if kind == 1:
        aim, draw = target(r), seconds(r)
        measure = Cup(tolerance=Q("1", "mL"), mark=q(aim.base, 1, "mL"))
        level = about(r, aim.base)
        made = [(said(r, measure, about(r, level, 0.01)), draw) for _ in range(count)]
        return Spec(aim, draw, measure, made, by_hand(r), **settings(r))
    spec = rate(r, by_hand(r) if kind < 5 else by_machine(r), cup(r, film=kind == 4), count, spread=0.08)
    if kind == 3:
        rho = r.uniform(1.05, 1.35)
        spec = with_density(spec, r, Density(f"{rho:.2f}", "g/mL", "0.02"), rho)
    keep = r.random() < 0.3 and count > 1
    spec.catches = [(amount if keep and i == 0 else said(r, spec.measure, amount.base), draw) for i, (amount, draw) in enumerate(spec.catches)]
    return spec


def short_draw(r):
    """A draw of a second or three by a thumb: the quotient leans, and first order is not enough."""
    aim, draw = target(r), q(r.uniform(1, 3), 1, "s")
    level = about(r, aim.base, 0.06)
    ran = q(draw.base * r.uniform(0.95, 1.05), 2, "s")
    measure = Cup(tolerance=Q("0.25", "mL"), division=Q("0.5", "mL"))
    timer = Timer(True, r.choice((None, Q("0.15", "s"), Q("0.07", "s"))))
    return Spec(aim, draw, measure, [(q(level * ran.base / draw.base, 1, "mL"), ran)], timer, **(settings(r) | {"tolerance": r.choice(("5", "10", "15"))}))


def short_draws(r):
    spec = short_draw(r)
    amount, ran = spec.catches[0]
    for _ in range(r.randint(1, 4)):
        spec.catches.append((q(about(r, amount.base, 0.04), 1, "mL"), q(about(r, ran.base, 0.02), 2, "s")))
    return spec


def units(r):
    """As other kitchens write: ounces of three kinds, litres, ounces by weight, minutes."""
    unit = r.choice(("fl oz (US)", "fl oz (imperial)", "fl oz (label)", "cL", "oz (weight)"))
    aim = q(r.choice((1, 1.25, 1.5, 2)) * (3 if unit == "cL" else 1), 2, unit)
    if unit == "oz (weight)":
        measure, read = Scale(Q("0.05", unit), Q("0.05", unit), r.random() < 0.5), unit
    else:
        read = r.choice((unit, unit, "mL"))
        measure = Cup(tolerance=Q("0.05", "fl oz (US)"), division=q(1 / 8, 3, "fl oz (US)"))
    draw = seconds(r)
    amount = about(r, aim.base) / Q("1", read).base
    made = [(q(amount, 2, read), Q(f"{draw.base / 60:.4f}", "min") if r.random() < 0.2 else draw)]
    return Spec(aim, draw, measure, made, by_hand(r), **settings(r))


FAMILIES = {
    "rate, by hand": (rate_by_hand, 60),
    "rate, by machine": (rate_by_machine, 40),
    "doses": (doses, 40),
    "a cup with one mark": (only_mark, 30),
    "film left in the cup": (film, 40),
    "weighed, in grams": (weighed, 40),
    "weighed, by density": (stated_density, 60),
    "weighed, by Brix": (brix, 60),
    "grams in a cup": (grams_in_a_cup, 30),
    "several catches": (several, 80),
    "opening offset": (opening_offset, 50),
    "ratio": (ratio, 80),
    "marks": (marks, 60),
    "one short draw": (short_draw, 30),
    "several short draws": (short_draws, 30),
    "other units": (units, 40),
}
