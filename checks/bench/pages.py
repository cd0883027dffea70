"""Pages under a steady stream of requests, the first byte of a large week, and what the server holds in memory."""

import http.client
import re
import statistics
import subprocess
import time
from contextlib import contextmanager
from pathlib import Path

from tools import Figure, OUNCEWISE, bench, estate, run


@contextmanager
def served(data):
    """The server over a ledger: its port and its process."""
    command = [str(OUNCEWISE), "serve", "--data", str(data), "--listen", "127.0.0.1:0"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        said = process.stderr.readline()
        yield int(re.search(r"127\.0\.0\.1:(\d+)", said)[1]), process
    finally:
        process.terminate()
        process.wait()


def peak_mb(process):
    return int(re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{process.pid}/status").read_text())[1]) / 1024


def first_byte(port, path):
    """Milliseconds until the answer begins, on a connection of its own."""
    connection = http.client.HTTPConnection("127.0.0.1", port)
    started = time.perf_counter()
    connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    taken = 1000 * (time.perf_counter() - started)
    assert answer.status == 200, answer.status
    answer.read()
    connection.close()
    return taken


def figures(scratch, wanted):
    seconds = 5 if wanted.small else 30
    data = scratch / "pages"
    run(OUNCEWISE, "demo", "--no-serve", "--quiet", "--keep", data)
    with served(data) as (port, process):
        out = bench("ouncewise-web", "pages", port, "/sites/mossgate/counter-1/1", 200, seconds)
        size = int(re.search(r"page: (\d+) bytes, compressed", out)[1])
        ours, bare = (float(p99) for p99 in re.findall(r"99 % within ([\d.]+) ms", out))
        what = f"page of a line at 200 requests a second for {seconds} s, 99 % within"
        yield Figure(what, f"{ours:.1f} ms", f"a bare handler with the same bytes {bare:.1f} ms: {ours / bare:.1f} times", "< 20 ms and ≤ 3 times", ours < 20 and ours <= 3 * bare)
        yield Figure("its size, compressed", f"{size / 1000:.0f} kB", "", "≤ 100 kB", size <= 100_000)
        memory = peak_mb(process)
        yield Figure("the server's memory meanwhile", f"{memory:.0f} MB", "", "< 100 MB", memory < 100)

    sites = 10 if wanted.small else 1_000
    made, data = estate(scratch, sites, 4)
    run(OUNCEWISE, "load", "catches", made / "catches.csv", "--data", data, accept=(0, 65))
    with served(data) as (port, process):
        cold = first_byte(port, "/")
        warm = statistics.median(first_byte(port, "/") for _ in range(20))
        yield Figure(f"this week of {sites:,} sites, first byte", f"{warm:.0f} ms; the first time {cold:.0f} ms", "", "< 150 ms", max(warm, cold) < 150)
        for path in ("/sites", "/records"):
            first_byte(port, path)
        memory = peak_mb(process)
        yield Figure("the server's memory after all its lists", f"{memory:.0f} MB", "", "< 100 MB", memory < 100)
