#!/usr/bin/env bash
# The terminal as a person has it: a pseudo terminal of 80 and of 120 columns (python3's pty, of its standard library).
# Nothing is wider than the screen, the answer stands on 40 lines, colour comes and goes as NO_COLOR and --color say.
set -euo pipefail
cd "$(dirname "$0")/../.."
if ! command -v python3 >/dev/null; then
  echo "python3 is not here; install it, this check needs it"
  exit 1
fi
. tests/outside/program.bash
python3 tests/outside/terminal.py "$vestibule"
