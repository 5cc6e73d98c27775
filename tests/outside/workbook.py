"""Compares the workbook, as written and as a spreadsheet saved it again, with the CSV files of a results folder."""

import csv
import pathlib
import sys

import openpyxl

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


csvs = sorted(folder.glob("*.csv"))
total = 0
for book in [folder / "summary.xlsx"] + [work / locale / "summary.xlsx" for locale in locales]:
    loaded = openpyxl.load_workbook(book)
    assert loaded.sheetnames[0] == "read me"
    first = [str(c.value) for row in loaded["read me"].iter_rows() for c in row if c.value is not None]
    assert any("no flight rule" in text for text in first), "caution on the first sheet"
    assert set(loaded.sheetnames[1:]) == {p.stem for p in csvs}, loaded.sheetnames
    for path in csvs:
        total += compare(loaded[path.stem], table(path), 2, f"{book}: {path.stem}", True)
    texts = {c.value for row in loaded["assumptions"].iter_rows() for c in row}
    assert texts >= set(EVIL), "sources that look like formulas are text"
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
