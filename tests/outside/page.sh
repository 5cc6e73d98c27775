#!/usr/bin/env bash
# report.html as a reader's browser shows it (tests/outside/page.mjs says what is looked for), of a campaign of several
# architectures, of one alone and of one with people who are late; and its bytes: the same for
# equal results on any number of threads, and the same when `vestibule report` makes it again from the files.
# Reference programs: Chromium (Debian package), axe-core and playwright-core (npm), installed under target/.
set -euo pipefail
cd "$(dirname "$0")/../.."
if ! command -v chromium >/dev/null; then
  apt-get install -y --no-install-recommends chromium >/dev/null || { apt-get update >/dev/null && apt-get install -y --no-install-recommends chromium >/dev/null; }
fi
for tool in chromium node npm; do
  command -v "$tool" >/dev/null || { echo "$tool is not here; install it, this check needs it"; exit 1; }
done
tools=$PWD/target/page
mkdir -p "$tools/views"
[ -d "$tools/node_modules/axe-core" ] && [ -d "$tools/node_modules/playwright-core" ] || npm install --silent --no-audit --no-fund --prefix "$tools" axe-core playwright-core
source tests/outside/program.bash
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
# Four blocks of 64: enough for threads to share them, and for every figure to have what it shows of 600 campaigns.
play() { "$vestibule" run runs/larkspur/campaign.toml --campaigns 200 --threads "$1" --out "$out/$2" >/dev/null 2>&1; }
play 1 one
play 2 two
cmp "$out/one/report.html" "$out/two/report.html"
cp "$out/one/report.html" "$out/first.html"
"$vestibule" report "$out/one" >/dev/null
cmp "$out/first.html" "$out/one/report.html"
node tests/outside/page.mjs "$tools" "$out/one/report.html" "$tools/views" larkspur
# One architecture alone, and one with people who are late or missed: thin life support, hatches that stick.
"$vestibule" run tests/small/base.toml --campaigns 200 --out "$out/alone" >/dev/null 2>&1
node tests/outside/page.mjs "$tools" "$out/alone/report.html" "$tools/views" alone
cp -r runs/catalogue runs/larkspur "$out"
sed -i 's/^secondary = "30 min"/secondary = "3 min"/; s/^primary = "7 h"/primary = "5.6 h"/' "$out/catalogue/suit/suits.toml"
sed -i 's/failures = 1, demands = 956/failures = 12, demands = 956/; s/success = 0.85/success = 0.2/' "$out/catalogue/failure/hatches.toml"
"$vestibule" run "$out/larkspur/campaign.toml" --campaigns 300 --out "$out/late" >/dev/null 2>&1
grep -q 'too few to rank' "$out/late/report.html"
node tests/outside/page.mjs "$tools" "$out/late/report.html" "$tools/views" late
