"""A line, its measure and its catches: as numbers for computing, and as the words of the command line."""

from dataclasses import dataclass, field

# Exact by definition: 231 cubic inches of 2.54 cm, over 128 (NIST Handbook 44, appendix C); 4546.09 mL over 160;
# 21 CFR 101.9 (b)(5)(viii) takes 30 mL on labels; 0.45359237 kg over 16.
UNITS = {
    "mL": 1.0,
    "cL": 10.0,
    "L": 1000.0,
    "fl oz (US)": 231 * 2.54**3 / 128,
    "fl oz (imperial)": 4546.09 / 160,
    "fl oz (label)": 30.0,
    "g": 1.0,
    "kg": 1000.0,
    "oz (weight)": 453.59237 / 16,
    "s": 1.0,
    "ms": 0.001,
    "min": 60.0,
}


@dataclass(frozen=True)
class Q:
    """A number as it is written, with its unit: `29.6 mL`."""

    text: str
    unit: str

    @property
    def base(self):
        """In mL, g or s."""
        return float(self.text) * UNITS[self.unit]

    def __str__(self):
        return f"{self.text} {self.unit}"


@dataclass(frozen=True)
class Doses:
    count: int

    def __str__(self):
        return f"{self.count} dose{'s' if self.count > 1 else ''}"


@dataclass(frozen=True)
class Mark:
    """Only known to be `at`, `over` or `under` a mark."""

    side: str
    at: Q

    def __str__(self):
        return f"{self.side} the {self.at} mark"


@dataclass(frozen=True)
class Cup:
    """A graduated vessel; or one with a single mark, if `mark` is given. Film: it is used wetted and drained."""

    tolerance: Q
    division: Q | None = None
    mark: Q | None = None
    film: Q | None = None

    def args(self):
        what = ["--cup", f"{self.division} ± {self.tolerance}"] if self.division else ["--mark", f"{self.mark} ± {self.tolerance}"]
        return what + (["--film", str(self.film)] if self.film else [])


@dataclass(frozen=True)
class Scale:
    step: Q
    tolerance: Q | None = None
    tared: bool = False

    def args(self):
        limits = f" ± {self.tolerance}" if self.tolerance else ""
        return ["--scale", f"{self.step}{limits}"] + (["--tared"] if self.tared else [])


@dataclass(frozen=True)
class Timer:
    """By hand with a spread (none is the published one), or by machine within a tolerance (none is none)."""

    hand: bool
    of: Q | None = None

    def args(self):
        if self.hand:
            return ["--timer", f"hand {self.of}"] if self.of else []
        return ["--timer", f"machine ± {self.of}" if self.of else "machine"]


@dataclass(frozen=True)
class Density:
    """As a label states it: in g/mL or in Brix, and how far off it may be."""

    value: str
    unit: str
    within: str | None = None

    def args(self):
        limits = f" ± {self.within}" if self.within else ""
        return ["--density", f"{self.value}{limits} {self.unit}"]


@dataclass
class Spec:
    """One visit to one line."""

    target: Q
    draw: Q | Doses
    measure: Cup | Scale
    catches: list
    timer: Timer = field(default_factory=lambda: Timer(hand=True))
    tolerance: str = "5"
    risk: str = "5"
    density: Density | None = None
    temperature: str | None = None
    offset: Q | None = None
    water_target: Q | None = None
    water_tolerance: str = "5"
    waters: list = field(default_factory=list)

    @property
    def mass_target(self):
        return self.target.unit in ("g", "kg", "oz (weight)")

    @property
    def limits(self):
        return within(self.target.base, self.tolerance)

    @property
    def water_limits(self):
        return within(self.water_target.base, self.water_tolerance)

    def args(self):
        args = ["calc", "catch", "--json", "--target", f"{self.target} in {self.draw}", "--tolerance", f"{self.tolerance} %"]
        args += ["--risk", f"{self.risk} %", *self.measure.args(), *self.timer.args()]
        if self.density:
            args += self.density.args()
        if self.temperature:
            args += ["--temperature", f"{self.temperature} °C"]
        if self.offset:
            args += [f"--opening-offset={self.offset}"]
        if self.water_target:
            args += ["--water-target", f"{self.water_target} ± {self.water_tolerance} %"]
        for amount, draw in self.waters:
            args += ["--water", f"{amount} in {draw}"]
        return args + [f"{amount} in {draw}" for amount, draw in self.catches]


def within(target, percent):
    part = float(percent) / 100
    return target * (1 - part), target * (1 + part)
