"""Our files, read and written by other people's programs.

    check.py PROGRAM

Each function whose name begins with `test_` is one check; it fails by an assertion.
"""

import csv
import inspect
import json
import pathlib
import subprocess
import sys
import tomllib
import traceback

import duckdb
import jsonschema

import terminal
import workbooks
from desk import Desk

ROOT = pathlib.Path(__file__).resolve().parents[2]
CONTENT = ROOT / "content"


# Estate files


def test_starter_files_are_toml_and_csv():
    desk = Desk()
    desk.run("new", "group")
    tables = sorted((desk.path / "group").rglob("*.toml"))
    sheets = sorted((desk.path / "group").rglob("*.csv"))
    assert len(tables) >= 10 and len(sheets) == 3, (tables, sheets)
    for path in tables:
        assert tomllib.loads(path.read_text(encoding="utf-8")), path
    for path in sheets:
        assert_table(path)


def test_exported_files_are_toml_and_csv():
    desk = demo()
    tables = sorted((desk.path / "copy").rglob("*.toml"))
    assert {"estate.toml", "products.toml", "measures.toml"} <= {path.name for path in tables}
    for path in tables:
        assert tomllib.loads(path.read_text(encoding="utf-8")), path
    sites = assert_table(desk.path / "copy" / "sites.csv")
    assert len(sites) == 1 + 24, len(sites)


# The schemas that ship, and the folders whose files have one for all of them.
SCHEMAS = ("estate", "products", "measures", "family", "profile", "fault", "procedure", "procedure-family")
FOLDERS = {"families": "family", "profiles": "profile", "faults": "fault"}


def schema(name):
    loaded = json.loads((CONTENT / "schemas" / f"{name}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(loaded)
    return jsonschema.Draft202012Validator(loaded)


def test_shipped_toml_fits_the_shipped_schemas():
    schemas = {name: schema(name) for name in SCHEMAS}
    found = list(CONTENT.rglob("*.toml"))
    desk = demo()
    found += (desk.path / "copy").rglob("*.toml")
    seen = set()
    for path in found:
        if path.parent.parent.name == "procedures":
            name = "procedure-family" if path.stem == "family" else "procedure"
        else:
            name = FOLDERS.get(path.parent.name, path.stem)
        faults = list(schemas[name].iter_errors(tomllib.loads(path.read_text(encoding="utf-8"))))
        assert not faults, f"{path}: {faults[0].json_path}: {faults[0].message}"
        seen.add(name)
    assert seen == set(schemas) and len(found) > 20, (seen, len(found))


def test_the_schemas_refuse_what_the_program_refuses():
    desk = Desk()
    desk.run("new", "group")
    for file, right, wrong in [
        ("estate.toml", 'name = "My group"', 'naem = "My group"'),
        ("estate.toml", 'units = "metric"', 'units = "furlongs"'),
        ("products.toml", 'allergens = ["sesame"]', "allergens = 7"),
        ("measures.toml", 'tared = true ', 'tared = "sometimes" '),
        ("families/screw-trim.toml", 'metering = "rate"', 'metering = "guess"'),
    ]:
        path = desk.path / "group" / file
        text = path.read_text(encoding="utf-8")
        assert right in text, (file, right)
        broken = text.replace(right, wrong, 1)
        name = "family" if "/" in file else path.stem
        assert not schema(name).is_valid(tomllib.loads(broken)), (file, wrong)
        path.write_text(broken, encoding="utf-8")
        desk.run("check", "group", code=1)
        path.write_text(text, encoding="utf-8")
    desk.run("check", "group")


def test_the_program_prints_the_schemas_that_ship():
    desk = Desk()
    for name in SCHEMAS:
        printed = json.loads(desk.run("schema", f"{name}.toml"))
        assert printed == schema(name).schema, name


# Reports


def test_reports_fit_their_schemas():
    desk = demo()
    by_schema = {
        "week": [("demo", "--no-serve"), ("week", "--top", 200), ("week", "--site", "fernhollow")],
        "line": [("line", line["address"]) for line in desk.report("week", "--top", 40)["lines"]],
        "verify": [("verify",), ("backup", "copy.db")],
        "load-list": [("load", "list")],
        "check": [("check", "copy")],
        "load-estate": [("load", "estate", "copy", "--dry-run")],
        "load": [("load", "records", "copy/records.jsonl", "--dry-run")],
        "calc-catch": [
            ("calc", "catch", "31 mL in 7.1 s", "--target", "30 mL in 7 s", "--cup", "1 mL ± 0.5 mL"),
            ("calc", "catch", "at the 30 mL mark in 7 s", "--target", "30 mL in 7 s", "--mark", "30 mL ± 1 mL"),
        ],
        "calc-measure": [("calc", "measure", "--target", "40 g in 1 dose", "--scale", "0.1 g")],
    }
    for name in json.loads(desk.run("schema", "--json"))["reports"]:
        loaded = json.loads(desk.run("schema", name))
        jsonschema.Draft202012Validator.check_schema(loaded)
        for args in by_schema.get(name, []):
            jsonschema.validate(desk.report(*args), loaded)


# Export


def assert_table(path):
    """The rows by the csv module; every row as wide as the heading, and no heading twice."""
    with open(path, encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file, strict=True))
    assert rows, path
    assert len(set(rows[0])) == len(rows[0]), (path, rows[0])
    for number, row in enumerate(rows, 1):
        assert len(row) == len(rows[0]), f"{path}: row {number} has {len(row)} cells"
    return rows


def by_duckdb(path):
    """The same rows by a reader that shares no line with the other."""
    found = duckdb.sql(
        "SELECT * FROM read_csv(?, header=false, all_varchar=true, quote='\"', escape='\"', delim=',', "
        "null_padding=false, strict_mode=true, auto_detect=false, columns=?)",
        params=[str(path), {f"c{i}": "VARCHAR" for i in range(len(assert_table(path)[0]))}],
    ).fetchall()
    return [["" if cell is None else cell for cell in row] for row in found]


def test_two_readers_find_the_same_cells():
    desk = demo()
    paths = sorted((desk.path / "copy").glob("*.csv"))
    assert len(paths) == 8, paths
    for path in paths:
        mine = assert_table(path)
        assert by_duckdb(path) == mine, path
    assert len(assert_table(desk.path / "copy" / "catches.csv")) > 5_000


def test_awkward_text_survives_the_way_out_and_back():
    desk = Desk()
    desk.run("new", "group")
    desk.run("load", "estate", "group")
    notes = ['said "low", twice', "semi; colon, comma", "two\nlines", "= 1 + 1", "ünïcödé 甘酒 🍒", " edges ", "'quoted'"]
    heading = "at site machine line state amount unit seconds measure by note".split()
    with open(desk.path / "rows.csv", "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(heading)
        for day, note in enumerate(notes, 1):
            writer.writerow([f"2026-02-{day:02}", "rowan-end", "counter-1", "2", "as-found", "36.4", "g", "7.0", "scale", f"Ada, {day}", note])
    assert desk.report("load", "catches", "rows.csv")["added"] == len(notes)
    desk.run("export", "copy")
    rows = assert_table(desk.path / "copy" / "catches.csv")
    assert by_duckdb(desk.path / "copy" / "catches.csv") == rows
    place = rows[0].index("note")
    # Blanks at the edges of a cell are nobody's words.
    assert [row[place].strip() for row in rows[1:]] == [note.strip() for note in notes], rows
    again = desk.report("load", "catches", "copy/catches.csv")
    assert (again["already_there"], again["conflicts"]) == (len(notes), 0), again


def test_the_tables_hold_every_record_of_their_sort():
    desk = demo()
    kinds, records = {}, {}
    with open(desk.path / "copy" / "records.jsonl", encoding="utf-8") as file:
        for line in file:
            record = json.loads(line)["record"]
            records[record["id"]] = record["body"]
    # What was withdrawn stands no longer; what was corrected stands as corrected.
    for body in list(records.values()):
        if body["kind"] == "correction" and body.get("instead") is None:
            records.pop(body["of"])
    for body in records.values():
        kinds[body["kind"]] = kinds.get(body["kind"], 0) + 1
    sizes = {name: len(assert_table(desk.path / "copy" / f"{name}.csv")) - 1 for name in ("catches", "adjustments", "parts", "products")}
    assert sizes["catches"] == kinds["catch-taken"], (sizes, kinds)
    assert sizes["adjustments"] == kinds["line-adjusted"], (sizes, kinds)
    assert sizes["parts"] == kinds.get("part-replaced", 0) + kinds.get("part-inspected", 0), (sizes, kinds)
    assert sizes["products"] == kinds.get("product-changed", 0) + kinds.get("container-changed", 0), (sizes, kinds)


# The ledger


def verifies(ledger, checkpoint):
    verifier = ROOT / "checks" / "verify" / "verify.py"
    ran = subprocess.run([sys.executable, "-B", verifier, ledger, checkpoint], capture_output=True, encoding="utf-8", check=False)
    assert ran.returncode in (0, 1, 65), ran.stderr
    return ran.returncode == 0


def test_an_exported_ledger_is_verified_by_a_program_that_is_not_ours():
    desk = demo()
    desk.run("ledger", "evidence")
    ledgers = sorted((desk.path / "evidence").glob("*.jsonl"))
    assert len(ledgers) == 25, len(ledgers)
    for ledger in ledgers:
        assert verifies(ledger, ledger.with_suffix(".checkpoint")), ledger
    ledger = desk.path / "evidence" / "fernhollow.jsonl"
    checkpoint = ledger.with_suffix(".checkpoint")
    right = ledger.read_text(encoding="utf-8")
    lines = right.splitlines(keepends=True)
    assert " mL" in right
    for wrong in [
        right.replace(" mL", " g", 1),
        right.replace("as-left", "as-found", 1),
        "".join(lines[:-1]),
        "".join(lines[1:]),
        "".join([*lines[:5], lines[6], lines[5], *lines[7:]]),
    ]:
        assert wrong != right
        ledger.write_text(wrong, encoding="utf-8")
        assert not verifies(ledger, checkpoint)
    ledger.write_text(right, encoding="utf-8")
    assert verifies(ledger, checkpoint)


_DEMO = []


def demo():
    """The demo's ledger in `data`, and its export in `copy`; made once."""
    if not _DEMO:
        desk = Desk()
        desk.run("demo", "--no-serve", "--quiet", "--keep", "data")
        desk.run("export", "copy")
        _DEMO.append(desk)
    return _DEMO[0]


def main(arguments):
    if len(arguments) != 1:
        print(__doc__.strip(), file=sys.stderr)
        return 2
    Desk.program = str(pathlib.Path(arguments[0]).resolve())
    modules = [sys.modules[__name__], workbooks, terminal]
    checks = [
        (name, check)
        for module in modules
        for name, check in inspect.getmembers(module, inspect.isfunction)
        if name.startswith("test_")
    ]
    passed = failed = 0
    for name, check in checks:
        try:
            check()
            passed += 1
            print(f"ok    {name}")
        except Exception:  # each check is on its own
            failed += 1
            print(f"FAIL  {name}")
            traceback.print_exc(limit=-2, file=sys.stdout)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
