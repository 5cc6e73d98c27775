#!/usr/bin/env bash
# datapackage.json against the CSV files it describes, by frictionless (PyPI, installed under target/): valid as written, and
# found out where a file is not what is said of it.
set -euo pipefail
cd "$(dirname "$0")/../.."
tools=$PWD/target/package
mkdir -p "$tools"
[ -d "$tools/venv" ] || python3 -m venv "$tools/venv"
"$tools/venv/bin/python" -c 'import frictionless' 2>/dev/null || "$tools/venv/bin/pip" install --quiet 'frictionless<6'
source tests/outside/program.bash
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
"$vestibule" run runs/larkspur/campaign.toml --campaigns 64 --keep-campaigns --out "$out/results" >/dev/null 2>&1
cd "$out/results"
described=$(python3 -c 'import json; print("\n".join(sorted(r["path"] for r in json.load(open("datapackage.json"))["resources"])))')
[ "$described" = "$(ls ./*.csv | sed 's|^\./||' | sort)" ] || { echo "not every table is described"; exit 1; }
grep -q "no flight rule" datapackage.json
"$tools/venv/bin/frictionless" validate datapackage.json >"$out/said" || { cat "$out/said"; exit 1; }
# A word where a number is said to stand.
sed -i '2s/,[0-9.e-]*,/,many,/3' summary.csv
if "$tools/venv/bin/frictionless" validate datapackage.json >"$out/said" 2>&1; then
  echo "a broken table was called valid"
  exit 1
fi
echo "$(wc -l <<<"$described") tables described and valid; a broken one is found out"
