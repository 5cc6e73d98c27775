#!/usr/bin/env bash
# report.html as a reader's browser shows it (tests/outside/page.mjs says what is looked for), of a campaign of several
# architectures, of one alone and of one with people who are late, of a choice with parameter sets, and of sweeps of every
# kind that has a figure; and its bytes: the same for equal results on any number of threads, and the same when
# `vestibule report` makes it again from the files.
# Reference programs: Chromium (Debian package), axe-core and playwright-core (npm), installed under target/.
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/outside/packages.bash
command -v chromium >/dev/null || get chromium
for tool in chromium node npm; do
  command -v "$tool" >/dev/null || { echo "$tool is not here; install it, this check needs it"; exit 1; }
done
tools=$PWD/target/page
mkdir -p "$tools/views"
[ -d "$tools/node_modules/axe-core" ] && [ -d "$tools/node_modules/playwright-core" ] || npm install --silent --no-audit --no-fund --prefix "$tools" axe-core playwright-core
source tests/outside/program.bash
vestibule=$(realpath "$vestibule")
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
# What the browser is to open, all at the end: a name, a folder of results, figures unless those of a campaign.
reports=()
open() { reports+=("$1=$out/$2/report.html${3:+=$3}"); }
# Four blocks of 64: enough for threads to share them, and for every figure to have what it shows of 600 campaigns.
play() { "$vestibule" run runs/larkspur/campaign.toml --campaigns 200 --threads "$1" --out "$out/$2" >/dev/null 2>&1; }
play 1 one
play 2 two
cmp "$out/one/report.html" "$out/two/report.html"
cp "$out/one/report.html" "$out/first.html"
"$vestibule" report "$out/one" >/dev/null
cmp "$out/first.html" "$out/one/report.html"
open larkspur one
# One architecture alone, and one with people who are late or missed: thin life support, hatches that stick.
"$vestibule" run tests/small/base.toml --campaigns 200 --out "$out/alone" >/dev/null 2>&1
open alone alone
cp -r runs/catalogue runs/larkspur "$out"
sed -i 's/^secondary = "30 min"/secondary = "3 min"/; s/^primary = "7 h"/primary = "5.6 h"/' "$out/catalogue/suit/suits.toml"
sed -i 's/failures = 1, demands = 956/failures = 12, demands = 956/; s/success = 0.85/success = 0.2/' "$out/catalogue/failure/hatches.toml"
"$vestibule" run "$out/larkspur/campaign.toml" --campaigns 300 --out "$out/late" >/dev/null 2>&1
grep -q 'too few to rank' "$out/late/report.html"
open late late
# What is worth knowing before a choice by a limit: free volumes of two locks that are not known.
browse=$PWD/tests/outside/page.mjs
cd "$out"
"$vestibule" new base >/dev/null
sed -i '/^# The same lock at a lower cabin pressure/,$d; s/^ports = \["main"\]/ports = ["main", "side"]/; s/^below = "40 kg"/below = "12.5 kg"/' base/campaign.toml
cat >>base/campaign.toml <<'TOML'
[architecture.lock.port.main.volume.lock]
free = { low = "3.75 m3", high = "5.25 m3" }
[architecture.other]
ways_back = ["free-the-outer-hatch", "clean-the-outer-seal"]
suits = [{ suit = "soft", count = 3, at = "side.lock" }]
port.side = { element = "habitat", access = "single-lock", volume.lock.free = { low = "3.5 m3", high = "5.5 m3" } }
[decision]
limit = "gas"
groups = { hatches = ["failure"] }
TOML
"$vestibule" run base/campaign.toml --outer 300 --inner 4 --drivers 0 --out value >/dev/null 2>&1
grep -q 'the limit is met by lock in' value/report.html
open value value value
# Sweeps of a starter campaign of two architectures. Nobody is late often enough to be drawn.
"$vestibule" new swept >/dev/null
sweep() {
  local name=$1 design=$2 keys=$3 factors=$4
  {
    printf '[sweep]\nbase = "campaign.toml"\ndesign = "%s"\n%bseed = 2\ncampaigns = 64\n' "$design" "$keys"
    printf 'measures = ["gas_lost_kg", "dust_average_max_mg_m3", "campaign_haven_missed"]\n%s\n' "$factors"
  } >"swept/$name.toml"
  "$vestibule" sweep "swept/$name.toml" --out "$name" >/dev/null 2>&1
}
recovery=$'[factor.recovery]\nkey = "access.single-lock.pump.main.recovery"\nrange = { low = 0.5, high = 0.9 }\n'
often=$'[factor.sorties-a-week]\nkey = "activity.walks.per_week"\nrange = { low = 1, high = 4 }\n'
more=$'[factor.free-volume-of-the-lock]\nkey = "access.single-lock.volume.lock.free"\nrange = { low = "3.5 m3", high = "6 m3" }
[factor.dust]\nkey = "activity.walks.dust"\nown = true\n'
of() { local all=""; for m in gas-lost-kg dust-average-max-mg-m3 campaign-haven-missed; do all+="${all:+,}$1-$m${2:-}"; done; echo "$all"; }
sweep grid grid "" "$recovery"$'levels = 4\n'"$often"$'levels = 3\n'
open sweep-grid grid "$(of curve),$(of map -1),$(of ranks)"
grep -q 'figure id="fig-map-campaign-haven-missed-1"' grid/report.html
grep -qE 'too few to draw|Not seen in any campaign' grid/report.html
sweep tornado "one at a time" "" "$recovery$often$more"
open sweep-tornado tornado "$(of tornado)"
sweep effects "elementary effects" 'trajectories = 6\nlevels = 4\n' "$recovery$often$more"
open sweep-effects effects "$(of effects)"
sweep sobol saltelli 'rows = 32\nluck = "own"\n' "$recovery$often"
open sweep-sobol sobol "$(of sobol)"
node "$browse" "$tools" "$tools/views" "${reports[@]}"
