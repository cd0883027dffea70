"""Ragged workbooks, as people keep them, made with openpyxl and brought in by `load sheet`.

Each maker knows what is in its sheet: the readings that must come in, the rows that must be refused,
and the rows that hold nothing. Whatever the sheet looks like, no row may be missing from the account.
"""

import csv
import datetime
import json

import openpyxl
from openpyxl.styles import Font

from desk import Desk


def bring_in(book, *more, code=0):
    """Reads a workbook with the likeliest answers, and keeps it. Gives the desk and the report."""
    desk = Desk()
    path = desk.path / "log.xlsx"
    book.save(path)
    report = desk.report("load", "sheet", path, "--yes", "--defaults", *more, code=code)
    assert not report["open"], report["open"]
    return desk, report


def assert_accounted(book, report, loaded, refused, listed=()):
    """Every row of the sheet is loaded, refused or listed; and each is what its maker says."""
    rows = report["rows"]
    told = lambda name: {r["row"] for r in rows[name]}
    assert told("refusals") == set(refused), (told("refusals"), refused, rows["refusals"])
    assert set(listed) <= told("listings"), (told("listings"), listed)
    assert not told("refusals") & set(loaded)
    every = set(range(1, book.active.max_row + 1))
    missing = every - told("refusals") - told("listings") - set(loaded)
    assert not missing, f"rows {sorted(missing)} were dropped in silence"
    assert rows["rows"] == len(every), (rows["rows"], len(every))


def kept(desk):
    """Catches as (when, line, state, amount and unit), and the number of claims, of all that was kept."""
    desk.run("export", "copy")
    with open(desk.path / "copy" / "catches.csv", encoding="utf-8", newline="") as file:
        catches = [
            (row["at"][:10], row["line"], row["state"], f"{row['amount']} {row['unit']}".strip() or row["mark"])
            for row in csv.DictReader(file)
        ]
    with open(desk.path / "copy" / "records.jsonl", encoding="utf-8") as file:
        bodies = [json.loads(line)["record"]["body"] for line in file]
    return sorted(catches), sum(body["kind"] == "claim-made" for body in bodies)


def sheet(title):
    book = openpyxl.Workbook()
    book.active.title = title
    return book, book.active


def test_a_row_for_each_catch_with_dates_as_serials():
    """A merged title, real dates, `OK` for readings that nobody took, a totals row, a blank row."""
    book, ws = sheet("Fern Hollow")
    ws.append(["Calibration log, Fern Hollow"])
    ws.merge_cells("A1:F1")
    ws["A1"].font = Font(bold=True)
    ws.append([])
    ws.append(["Date", "Machine", "Flavour", "Before (ml)", "After (ml)", "Seconds"])
    first = datetime.date(2026, 1, 5)
    wanted, claims = [], 0
    for week in range(6):
        day = first + datetime.timedelta(weeks=week)
        for number, flavour in enumerate(["Gooseberry", "Cardamom"]):
            before = "OK" if week == 3 else 28.5 + week * 0.5 + number
            after = 30 + number * 0.5
            ws.append([day, "Counter 1", flavour, before, after, 7])
            claims += week == 3
            if week != 3:
                wanted.append((day.isoformat(), "as-found", f"{before:g} mL"))
            wanted.append((day.isoformat(), "as-left", f"{after:g} mL"))
    ws.append([])
    ws.append(["Total", None, None, "=SUM(D4:D15)", None, None])
    desk, report = bring_in(book)
    assert_accounted(book, report, loaded=range(4, 16), refused=[], listed=[1, 2, 3, 16])
    catches, claimed = kept(desk)
    found = sorted((at, state, amount) for at, _, state, amount in catches)
    assert found == sorted(wanted), (found, sorted(wanted))
    # `OK` beside a reading of the same line adds nothing to it, and is no reading either.
    assert claimed in (0, claims), (claimed, claims)


def test_a_column_for_each_line_under_merged_headings():
    """Two rows of headings: the flavour over both of its columns, before and after below it."""
    book, ws = sheet("Otter Lea")
    flavours = ["Gooseberry", "Pandan", "Sour cherry"]
    ws.append(["Date", *[cell for flavour in flavours for cell in (flavour, None)]])
    for place in range(len(flavours)):
        ws.merge_cells(start_row=1, end_row=1, start_column=2 + 2 * place, end_column=3 + 2 * place)
    ws.append([None, *["before ml", "after ml"] * len(flavours)])
    ws.merge_cells("A1:A2")
    wanted = []
    for week in range(5):
        day = datetime.datetime(2026, 1, 6) + datetime.timedelta(weeks=week)
        cells = []
        for place in range(len(flavours)):
            before, after = 29 + 0.5 * week + place, 30 + 0.25 * place
            cells += [before, after]
            wanted += [(day.date().isoformat(), "as-found", f"{before:g} mL"), (day.date().isoformat(), "as-left", f"{after:g} mL")]
        ws.append([day, *cells])
    desk, report = bring_in(book)
    assert_accounted(book, report, loaded=range(3, 8), refused=[])
    catches, _ = kept(desk)
    assert sorted((at, state, amount) for at, _, state, amount in catches) == sorted(wanted)
    assert len({line for _, line, _, _ in catches}) == len(flavours)


def test_mixed_units_and_words_are_told_apart():
    """Units in the cells, a reading at a mark, closed days, and words that say nothing."""
    book, ws = sheet("Log")
    ws.append(["Site", "Machine", "Flavour", "Date", "Reading", "Secs", "Who"])
    rows = [
        ("31 ml", "31 mL"),
        ("1 fl oz (US)", "1 fl oz (US)"),
        ("30,5ml", "30.5 mL"),
        ("0.03 l", "0.03 L"),
        ("> 30 ml", "over the 30 mL mark"),
        ("closed", None),
        ("a good cupful", ""),
        ("29.5 ml (was low)", "29.5 mL"),
        ("-", None),
        ("OK", "claim"),
    ]
    wanted, refused, listed = [], [], []
    for number, (cell, means) in enumerate(rows):
        day = datetime.date(2026, 1, 5) + datetime.timedelta(days=number)
        ws.append(["Rook Stile", "Window", "Elderberry", day, cell, 7, "Ada"])
        row = number + 2
        if means is None:
            listed.append(row)
        elif means == "":
            refused.append(row)
        elif means != "claim":
            wanted.append((day.isoformat(), means))
    desk, report = bring_in(book, code=65)
    loaded = set(range(2, len(rows) + 2)) - set(listed) - set(refused)
    assert_accounted(book, report, loaded, refused, [1, *listed])
    catches, claims = kept(desk)
    assert sorted((at, amount) for at, _, _, amount in catches) == sorted(wanted), catches
    assert claims == 1, claims


def test_several_sites_as_blocks_of_one_sheet():
    """A row that names a site, then its catches; dates as text, in the way of the country."""
    book, ws = sheet("All")
    ws.append(["Flavour", "Date", "Before ml", "Seconds"])
    loaded, sections, wanted = [], [], []
    for site in ["Fern Hollow", "Otter Lea", "Rook Stile"]:
        ws.append([site])
        sections.append(ws.max_row)
        ws.merge_cells(start_row=ws.max_row, end_row=ws.max_row, start_column=1, end_column=4)
        for week in range(4):
            day = datetime.date(2026, 1, 20) + datetime.timedelta(weeks=week)
            ws.append(["Ginger", day.strftime("%d.%m.%Y"), 30.5 + week, 7])
            loaded.append(ws.max_row)
            wanted.append((day.isoformat(), f"{30.5 + week:g} mL"))
    desk, report = bring_in(book)
    assert_accounted(book, report, loaded, [], [1, *sections])
    catches, _ = kept(desk)
    assert sorted((at, amount) for at, _, _, amount in catches) == sorted(wanted)
    assert desk.report("week", "--top", 99)["counts"]["undecided"] + len(wanted) > 0
    sites = {line["site"] for line in desk.report("week", "--top", 99)["lines"]}
    assert sites == {"Fern Hollow", "Otter Lea", "Rook Stile"}, sites


def test_a_sheet_goes_in_once_and_out_again():
    """The same workbook again adds nothing; undone, it leaves nothing; and it can come in again."""
    book, ws = sheet("Log")
    ws.append(["Site", "Machine", "Flavour", "Date", "Before (ml)", "Secs"])
    for week in range(8):
        ws.append(["Rook Stile", "Window", "Elderberry", datetime.date(2026, 1, 5) + datetime.timedelta(weeks=week), 30 + week / 4, 7])
    desk, first = bring_in(book)
    assert first["rows"]["added"] == 8, first["rows"]
    again = desk.report("load", "sheet", "log.xlsx", "--yes", "--defaults")
    assert (again["rows"]["added"], again["rows"]["already_there"]) == (0, 8), again["rows"]
    assert again["sets_up"] == [], again["sets_up"]
    number = desk.report("load", "list")["loads"][0]["number"]
    assert desk.report("load", "undo", number, "--yes")["withdrawn"] == 8
    assert all(line["latest"] is None for line in desk.report("week")["lines"])
    third = desk.report("load", "sheet", "log.xlsx", "--yes", "--defaults")
    assert third["rows"]["added"] == 8, third["rows"]
