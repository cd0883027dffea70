"""A file of catches through the product's own door, beside `sqlite3` importing the same rows."""

import json

from tools import Figure, OUNCEWISE, estate, run

# The columns and indexes of the store's own table, with nothing around them.
SCHEMA = """
PRAGMA journal_mode = WAL;
PRAGMA synchronous = FULL;
CREATE TABLE record (scope TEXT NOT NULL, idx INTEGER NOT NULL, id BLOB NOT NULL, received_ms INTEGER NOT NULL,
    at_ms INTEGER NOT NULL, machine TEXT, line TEXT, kind TEXT NOT NULL, shapes INTEGER NOT NULL, leaf BLOB NOT NULL, bytes BLOB NOT NULL);
CREATE UNIQUE INDEX record_order ON record (scope, idx);
CREATE UNIQUE INDEX record_id ON record (scope, id);
CREATE INDEX record_machine ON record (scope, machine, idx);
CREATE INDEX record_shapes ON record (scope, idx) WHERE shapes = 1;
"""
# A site of twelve lines makes some twelve hundred catches in its year, before and after it is adjusted.
A_YEAR = 1_200


def figures(scratch, wanted):
    largest = 10_000 if wanted.small else 1_000_000
    each = []
    for catches in (largest // 100, largest // 10, largest):
        sites = -(-catches // A_YEAR)
        made, data = estate(scratch, sites, 52, catches)
        # Rows with a slip in them are refused: exit code 65, and the others are loaded.
        ours = run(OUNCEWISE, "load", "catches", made / "catches.csv", "--data", data, "--json", accept=(0, 65))
        added = json.loads(ours.out)["added"]
        theirs = peer(scratch, data)
        each.append(added / ours.seconds)
        yield Figure(
            f"`load catches` of {catches:,} ({sites:,} sites)",
            f"{ours.seconds:.2f} s, {each[-1]:,.0f} records/s",
            f"`sqlite3` {theirs:.2f} s: {ours.seconds / theirs:.1f} times",
            "≤ 4 times" if catches == largest else "",
            catches < largest or ours.seconds <= 4 * theirs,
        )
    yield Figure("peak memory of the last", f"{ours.peak_mb:.0f} MB", "", "< 150 MB", ours.peak_mb < 150)
    yield Figure(
        f"records/s at {largest:,}, against at {largest // 100:,}",
        f"{100 * each[-1] / each[0]:.0f} %",
        "",
        "linear: ≥ 70 %",
        each[-1] >= 0.7 * each[0],
    )
    again = run(OUNCEWISE, "load", "catches", made / "catches.csv", "--data", data, "--json", accept=(0, 65))
    assert json.loads(again.out)["added"] == 0
    yield Figure("the same file again: adds nothing", f"{again.seconds:.2f} s")
    verified = run(OUNCEWISE, "verify", "--data", data)
    yield Figure("`verify` of all that", f"{verified.seconds:.2f} s, {verified.peak_mb:.0f} MB")


def peer(scratch, data):
    """Imports the store's own rows from CSV, in the shell's one transaction; gives its seconds."""
    rows, file = scratch / "rows.csv", scratch / "peer.db"
    file.unlink(missing_ok=True)
    columns = "scope, idx, hex(id), received_ms, at_ms, machine, line, kind, shapes, hex(leaf), CAST(bytes AS TEXT)"
    query = f"SELECT {columns} FROM record WHERE kind = 'catch-taken'"
    run("sqlite3", "-csv", "-cmd", f".output {rows}", data / "ouncewise.db", query)
    seconds = run("sqlite3", "-cmd", SCHEMA, file, f".import --csv {rows} record").seconds
    for left in (rows, file):
        left.unlink()
    return seconds
