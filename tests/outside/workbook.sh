#!/usr/bin/env bash
# summary.xlsx in a spreadsheet set to English, German and French: every number of the tables arrives as that number, text
# stays text and nothing runs as a formula, also where sources begin with = + - @. The CSV files, imported as README says
# (comma, `.` decimals), give the same numbers. Bytes: the same on any number of threads and from `vestibule report`. Printed,
# the workbook is a few pages. pandas takes every data sheet and both Parquet files as they are; the description of the tables
# and its keys hold for a folder with everything in it.
# Reference programs: LibreOffice, pdfinfo (Debian packages), openpyxl, pandas, pyarrow (PyPI), installed under target/.
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/outside/packages.bash
command -v soffice >/dev/null || get libreoffice-calc-nogui
tools=$PWD/target/workbook
mkdir -p "$tools"
[ -d "$tools/venv" ] || python3 -m venv "$tools/venv"
"$tools/venv/bin/python" -c 'import openpyxl, pandas, pyarrow' 2>/dev/null ||
  "$tools/venv/bin/python" -m pip install --quiet openpyxl pandas pyarrow
command -v pdfinfo >/dev/null || get poppler-utils
source tests/outside/program.bash
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
cp -r runs "$out/runs"
# Sources that a spreadsheet would take for formulas.
python3 - "$out/runs/larkspur/campaign.toml" <<'PY'
import sys
path = sys.argv[1]
text = open(path).read()
for i, evil in enumerate(["=1+1", "+1+1", "-1+1", "@SUM(1)"]):
    text += f'\n[law.evil-{i}]\nlow = "1 min"\nhigh = "2 min"\nsource = "{evil}"\nbasis = "assumed"\n'
open(path, "w").write(text)
PY
# Three blocks of 64, so that threads share them.
play() { "$vestibule" run "$out/runs/larkspur/campaign.toml" --campaigns 130 --keep-campaigns --parquet --threads "$1" --out "$out/$2" >/dev/null 2>&1; }
play 1 one
play 2 two
made="summary.xlsx datapackage.json README.txt"
for file in $made campaigns.parquet distribution.parquet; do
  cmp "$out/one/$file" "$out/two/$file"
  cp "$out/one/$file" "$out/$file"
done
"$vestibule" report "$out/one" >/dev/null
for file in $made; do cmp "$out/one/$file" "$out/$file"; done
for locale in en-US de-DE fr-FR; do
  profile=$out/profile-$locale
  mkdir -p "$profile/user"
  cat >"$profile/user/registrymodifications.xcu" <<XCU
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>$locale</value></prop></item>
</oor:items>
XCU
  soffice "-env:UserInstallation=file://$profile" --headless --convert-to xlsx --outdir "$out/$locale" "$out/one/summary.xlsx" >/dev/null 2>&1
  # 1033: numbers as written, with `.`; this is what README asks of an import.
  soffice "-env:UserInstallation=file://$profile" --headless --infilter="CSV:44,34,76,1,,1033,false,true" --convert-to xlsx --outdir "$out/$locale/csv" "$out"/one/*.csv >/dev/null 2>&1
done
# On paper: the first sheet and the heads of the tables.
soffice "-env:UserInstallation=file://$out/profile-en-US" --headless --convert-to pdf --outdir "$out/pdf" "$out/one/summary.xlsx" >/dev/null 2>&1
pages=$(pdfinfo "$out/pdf/summary.pdf" | awk '/^Pages/ { print $2 }')
[ "$pages" -ge 2 ] && [ "$pages" -le 25 ] || { echo "$pages pages in print"; exit 1; }
echo "$pages pages in print"
"$tools/venv/bin/python" tests/outside/workbook.py "$out/one" "$out" en-US de-DE fr-FR
