#!/usr/bin/env bash
# The result files of a run are valid by a reader that is not ours: python3's csv and json (general-purpose library).
# Every row is as wide as its header, every number reads as a number, no cell runs as a formula, no NaN or inf.
set -euo pipefail
cd "$(dirname "$0")/../.."
if ! command -v python3 >/dev/null; then
  echo "python3 is not here; install it, this check needs it"
  exit 1
fi
source tests/outside/program.bash
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
"$vestibule" run runs/larkspur/campaign.toml --campaigns 64 --keep-campaigns --out "$out/results" >/dev/null 2>&1
python3 - "$out/results" <<'PY'
import csv, json, pathlib, sys
folder = pathlib.Path(sys.argv[1])
names = sorted(p.name for p in folder.iterdir())
assert names == sorted(["summary.csv", "compare.csv", "havens.csv", "breakdown.csv", "findings.csv",
                        "distribution.csv", "assumptions.csv", "drivers.csv", "paths.csv", "campaigns.csv", "manifest.json", "report.html",
                        "requirements.csv", "ranking.csv", "mass.csv", "breakeven.csv", "complexity.csv",
                        "summary.xlsx", "datapackage.json", "README.txt"]), names
manifest = json.loads((folder / "manifest.json").read_text())
assert manifest["campaigns"] == 64 and set(manifest["run"]) >= {"command", "threads", "wall_seconds"}
cells = 0
for path in folder.glob("*.csv"):
    raw = path.read_bytes()
    assert not raw.startswith(b"\xef\xbb\xbf") and b"\r" not in raw, path
    with open(path, newline="", encoding="utf-8") as f:
        rows = list(csv.reader(f, strict=True))
    for row in rows:
        assert len(row) == len(rows[0]), (path, row)
        for cell in row:
            cells += 1
            assert cell[:1] not in ("=", "@", "+"), (path, cell)
            assert cell.lower() not in ("nan", "inf", "-inf"), (path, cell)
    numbers = [i for i, name in enumerate(rows[0]) if name in ("mean", "sd", "p50", "difference", "share")]
    for row in rows[1:]:
        for i in numbers:
            assert row[i] == "" or float(row[i]) == float(row[i]), (path, row)
        if rows[0][-1] == "note":
            empty = any(row[i] == "" for i in numbers)
            assert not empty or row[-1] != "", (path, row)
print(f"{len(names)} files, {cells} cells read")
PY
