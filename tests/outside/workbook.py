"""Compares the workbook, as written and as a spreadsheet saved it again, with the CSV files of a results folder."""

import csv
import pathlib
import sys

import openpyxl
import pandas

folder, work, locales = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), sys.argv[3:]
EVIL = ["=1+1", "+1+1", "-1+1", "@SUM(1)"]
TEXT = {
    "architecture", "reference", "measure", "unit", "method", "note", "outcome", "quantity", "cause", "statistic", "item",
    "kind", "path", "limit", "bound", "verdict", "ranking", "basis", "measures", "part", "port", "severity", "rule", "file",
    "key_path", "value", "what", "why", "remedy", "source",
}


def table(path):
    with open(path, newline="", encoding="utf-8") as f:
        return list(csv.reader(f, strict=True))


def bare(text):
    return text[1:] if text[:1] == "'" and text[1:2] in "=+-@" and len(text) > 1 else text


def compare(sheet, rows, first_row, name, strip):
    """Cells of a sheet against a CSV table whose header stands in first_row; returns how many were compared."""
    cells = 0
    for r, row in enumerate(rows):
        for c, text in enumerate(row):
            cell = sheet.cell(row=first_row + r, column=c + 1)
            assert cell.data_type != "f", (name, cell.coordinate, cell.value)
            cells += 1
            if text == "":
                assert cell.value is None, (name, cell.coordinate, cell.value)
            elif r == 0 or rows[0][c] in TEXT:
                wanted = bare(text) if strip else text
                assert isinstance(cell.value, str) and cell.value == wanted, (name, cell.coordinate, cell.value, text)
            else:
                assert isinstance(cell.value, (int, float)), (name, cell.coordinate, cell.value, text)
                # A spreadsheet keeps 15 digits when it saves.
                found, wanted = float(cell.value), float(text)
                assert found == wanted or abs(found - wanted) <= 1e-14 * abs(wanted), (name, cell.coordinate, found, wanted)
    return cells


# Single campaigns may be more than a sheet holds: they are in no workbook.
csvs = sorted(p for p in folder.glob("*.csv") if p.name != "campaigns.csv")
total = 0
for book in [folder / "summary.xlsx"] + [work / locale / "summary.xlsx" for locale in locales]:
    loaded = openpyxl.load_workbook(book)
    assert loaded.sheetnames[:2] == ["matrix", "columns"]
    first = [str(c.value) for row in loaded["matrix"].iter_rows() for c in row if c.value is not None]
    assert any("no flight rule" in text for text in first), "caution on the first sheet"
    assert set(loaded.sheetnames[2:]) == {p.stem for p in csvs}, loaded.sheetnames
    for path in csvs:
        total += compare(loaded[path.stem], table(path), 1, f"{book}: {path.stem}", True)
    texts = {c.value for row in loaded["assumptions"].iter_rows() for c in row}
    assert texts >= set(EVIL), "sources that look like formulas are text"
    # As somebody who analyses them reads them: one line, names from the first row, numbers as numbers; and a pivot.
    frames = pandas.read_excel(book, sheet_name=None)
    for path in csvs:
        frame, rows = frames[path.stem], table(path)
        assert list(frame.columns) == rows[0] and len(frame) == len(rows) - 1, (book, path.name)
    pivot = frames["summary"].pivot(index="measure", columns="architecture", values="mean")
    wanted = {(r[0], r[1]): r[4] for r in table(folder / "summary.csv")[1:]}
    for (architecture, measure), text in wanted.items():
        found = pivot.loc[measure, architecture]
        assert pandas.isna(found) if text == "" else abs(found - float(text)) <= 1e-14 * abs(float(text)), (book, measure)
    described = frames["columns"]
    assert set(described["sheet"]) == {p.stem for p in csvs}
    for sheet, group in described.groupby("sheet"):
        assert list(group["column"]) == table(folder / f"{sheet}.csv")[0], sheet
for name in ["campaigns", "distribution"]:
    frame, rows = pandas.read_parquet(folder / f"{name}.parquet"), table(folder / f"{name}.csv")
    assert list(frame.columns) == rows[0] and len(frame) == len(rows) - 1, name
    for c, column in enumerate(rows[0]):
        for found, row in zip(frame[column], rows[1:]):
            total += 1
            if row[c] == "":
                assert pandas.isna(found), (name, column)
            else:
                assert found == (bare(row[c]) if isinstance(found, str) else float(row[c])), (name, column, found, row[c])
for locale in locales:
    for path in csvs:
        rows = table(path)
        sheet = openpyxl.load_workbook(work / locale / "csv" / f"{path.stem}.xlsx").active
        for r, row in enumerate(rows):
            for c, text in enumerate(row):
                cell = sheet.cell(row=r + 1, column=c + 1)
                assert cell.data_type != "f", (locale, path.name, cell.coordinate, cell.value)
                if r > 0 and text and rows[0][c] not in TEXT:
                    total += 1
                    wanted = float(text)
                    assert isinstance(cell.value, (int, float)), (locale, path.name, cell.coordinate, cell.value, text)
                    assert abs(cell.value - wanted) <= 1e-14 * abs(wanted), (locale, path.name, cell.coordinate)
print(f"{len(csvs)} sheets in {len(locales)} languages, {total} cells compared")
