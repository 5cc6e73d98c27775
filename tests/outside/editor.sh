#!/usr/bin/env bash
# Files of `vestibule new` in a TOML language server, asked as an editor asks: keys and words are completed, a slip is marked,
# hover gives the meaning; and by its linter. The folder alone says which schema goes with which file.
# Reference programs: taplo (its language server from npm, its linter from PyPI), installed under target/.
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/outside/packages.bash
command -v node >/dev/null || get nodejs npm
tools=$PWD/target/editor
mkdir -p "$tools"
[ -d "$tools/node_modules/@taplo/lsp" ] || (cd "$tools" && npm install --silent --no-save @taplo/lsp@0.8.0 >/dev/null)
[ -d "$tools/venv" ] || python3 -m venv "$tools/venv"
[ -x "$tools/venv/bin/taplo" ] || "$tools/venv/bin/python" -m pip install --quiet taplo==0.9.3
source tests/outside/program.bash
vestibule=$(realpath "$vestibule")
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
"$vestibule" new "$out/base" >/dev/null
for campaign in larkspur ochre teasel; do "$vestibule" new "$out/$campaign" --from "$campaign" >/dev/null; done
node tests/outside/editor.mjs "$tools" "$out/base"
for folder in base larkspur ochre teasel; do
  (cd "$out/$folder" && "$tools/venv/bin/taplo" lint 2>"$out/said") || { cat "$out/said"; exit 1; }
done
sed -i 's/^duty_day =/duty_days =/' "$out/larkspur/campaign.toml"
if (cd "$out/larkspur" && "$tools/venv/bin/taplo" lint 2>"$out/said"); then
  echo "a slip was not found"
  exit 1
fi
grep -q duty_days "$out/said"
echo "four folders keep their schemas by the linter, a slip does not"
