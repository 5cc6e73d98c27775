#!/usr/bin/env bash
# datapackage.json against the CSV files it describes, of a run, of one with parameter sets and of a sweep, by frictionless
# (PyPI, installed under target/): valid as written, and found out where a file is not what is said of it: a word for a number,
# a row twice, an architecture that is in no other table.
set -euo pipefail
cd "$(dirname "$0")/../.."
tools=$PWD/target/package
mkdir -p "$tools"
[ -d "$tools/venv" ] || python3 -m venv "$tools/venv"
"$tools/venv/bin/python" -c 'import frictionless' 2>/dev/null || "$tools/venv/bin/pip" install --quiet 'frictionless<6'
source tests/outside/program.bash
vestibule=$(realpath "$vestibule")
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
validator=$tools/venv/bin/frictionless
# Every table of a folder is described, and the description is true.
valid() {
  described=$(cd "$1" && python3 -c 'import json; print("\n".join(sorted(r["path"] for r in json.load(open("datapackage.json"))["resources"])))')
  [ "$described" = "$(cd "$1" && ls ./*.csv | sed 's|^\./||' | sort)" ] || { echo "$1: not every table is described"; exit 1; }
  grep -q "no flight rule" "$1/datapackage.json"
  (cd "$1" && "$validator" validate datapackage.json >"$out/said") || { cat "$out/said"; exit 1; }
  echo "$(wc -l <<<"$described") tables of $2 described and valid"
}
# A copy of a folder in which an edit of a table has to be found out, as such an error.
broken() {
  rm -rf "$out/copy"
  cp -r "$1" "$out/copy"
  sed -i "$3" "$out/copy/$2"
  ! cmp -s "$1/$2" "$out/copy/$2" || { echo "$2: nothing was edited by $3"; exit 1; }
  if (cd "$out/copy" && "$validator" validate datapackage.json >"$out/said" 2>&1); then
    echo "$2 was called valid with $3"
    exit 1
  fi
  grep -q "$4" "$out/said" || { cat "$out/said"; echo "$2: no $4"; exit 1; }
}
run=$out/results
"$vestibule" run runs/larkspur/campaign.toml --campaigns 64 --keep-campaigns --out "$run" >/dev/null 2>&1
valid "$run" "a run"
broken "$run" summary.csv '2s/,[0-9.e-]*,/,many,/3' type-error
broken "$run" summary.csv '3p' primary-key
broken "$run" havens.csv '2s/^[^,]*/nobody/' foreign-key
"$vestibule" run runs/larkspur/campaign.toml --outer 40 --inner 2 --drivers 0 --out "$out/sets" >/dev/null 2>&1
valid "$out/sets" "a run with parameter sets"
broken "$out/sets" value.csv '3p' primary-key
cd "$out"
"$vestibule" new base >/dev/null
cat >base/sweep.toml <<'TOML'
[sweep]
base = "campaign.toml"
design = "grid"
seed = 5
campaigns = 20
measures = ["gas_lost_kg", "campaign_haven_missed"]
[factor.recovery]
key = "access.single-lock.pump.main.recovery"
range = { low = 0.5, high = 0.9 }
levels = 3
[factor.sorties-a-week]
key = "activity.walks.per_week"
range = { low = 1, high = 4 }
levels = 3
TOML
"$vestibule" sweep base/sweep.toml --out sweep >/dev/null 2>&1
valid sweep "a sweep"
broken sweep sweep.csv '2s/^[^,]*/much/' type-error
broken sweep sweep.csv '4p' primary-key
broken sweep crossings.csv '2s/^[^,]*/nobody/' foreign-key
broken sweep sensitivity.csv '2s/lock/nobody/' foreign-key
echo "broken tables are found out: a word for a number, a row twice, an architecture of no other table"
