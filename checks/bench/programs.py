"""The demo, and how long the program takes to start."""

from tools import Figure, OUNCEWISE, often, run


def figures(scratch, wanted):
    times = 5 if wanted.small else 50
    median, p95 = often(times, OUNCEWISE, "--version")
    yield Figure("`--version`", f"median {median:.0f} ms, 95 % within {p95:.0f} ms", "", "< 50 ms", p95 < 50)
    data = scratch / "demo"
    run(OUNCEWISE, "demo", "--no-serve", "--keep", data)
    median, p95 = often(times, OUNCEWISE, "week", "--data", data)
    yield Figure("`week` of the demo", f"median {median:.0f} ms, 95 % within {p95:.0f} ms", "", "< 50 ms", p95 < 50)
    median, p95 = often(times // 5 or 1, OUNCEWISE, "demo", "--no-serve")
    yield Figure("`demo`", f"median {median / 1000:.2f} s, 95 % within {p95 / 1000:.2f} s", "", "< 3 s", p95 < 3000)
    median, _ = often(times // 5 or 1, OUNCEWISE, "verify", "--data", data)
    yield Figure("`verify` of the demo", f"median {median / 1000:.2f} s")
