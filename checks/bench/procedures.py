"""The check of procedures and their skip analysis: how long, how much memory, and how they grow with steps, lines and parts."""

import re

from tools import Figure, OUNCEWISE, ROOT, bench, run

UNITS = {"ns": 1e-6, "µs": 1e-3, "ms": 1, "s": 1e3}
NAMES = ("weekly-clean", "weekly-calibration", "renew-parts", "first-start-up", "take-out", "change-flavour")


def figures(scratch, wanted):
    samples = ("--sample-count", 3 if wanted.small else 20)
    taken = read(bench("ouncewise-procedure", "check", *samples))
    steps, lines, parts, skip = (taken[name] for name in ("check_steps", "check_lines", "check_parts", "skip"))
    yield Figure("`check`: 40 steps, 12 lines, 8 parts", ms(parts["8"]), "", "< 50 ms", parts["8"] < 50)
    yield Figure("it grows with parts", grown(parts))
    yield Figure("with steps that are more", grown(steps))
    yield Figure("with lines", grown(lines))
    thousand = taken["check_thousand"][""]
    yield Figure("1,000 edited procedures, read and checked", ms(thousand), "", "< 60 s", thousand < 60_000)
    yield Figure("`skip`: every mistake at 40 steps, 8 parts", ms(skip["8"]), "", "< 2 s", skip["8"] < 2000)
    yield Figure("it grows with parts", grown(skip))
    many = 100 if wanted.small else 1000
    folder = scratch / "procedures"
    for family in ("roller-pump", "screw-trim"):
        shipped = ROOT / "content" / "procedures" / family
        below = folder / family
        below.mkdir(parents=True)
        (below / "family.toml").write_text((shipped / "family.toml").read_text())
        for nth in range(many // 2):
            text = (shipped / f"{NAMES[nth % len(NAMES)]}.toml").read_text()
            (below / f"{nth}.toml").write_text(text)
    ran = run(OUNCEWISE, "check", folder, "--json")
    what = f"`ouncewise check` of a folder of {many:,}, the whole program"
    yield Figure(what, f"{ran.seconds:.1f} s", "", "< 60 s", ran.seconds < 60)
    yield Figure("peak memory of the last", f"{ran.peak_mb:.0f} MB", "", "< 200 MB", ran.peak_mb < 200)


def read(text):
    """Median milliseconds of each benchmark and each size, from the table that the benchmark prints."""
    medians, name = {}, ""
    for line in text.splitlines():
        row = re.match(r"([│ ]*)[├╰]─ (\S+)\s+(.*)", line)
        if not row:
            continue
        lead, label, rest = row.groups()
        if not lead:
            name = label
        durations = re.findall(r"([\d.]+) (ns|µs|ms|s)\b", rest)
        if len(durations) >= 3:
            number, unit = durations[2]
            medians.setdefault(name, {})[label if lead else ""] = float(number) * UNITS[unit]
    return medians


def ms(number):
    return f"{number / 1000:.2f} s" if number >= 1000 else f"{number:.2g} ms" if number < 10 else f"{number:.0f} ms"


def grown(sizes):
    return "; ".join(f"{size}: {ms(taken)}" for size, taken in sizes.items())
