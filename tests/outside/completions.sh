#!/usr/bin/env bash
# Completions in bash and zsh as somebody types them, and manual pages as `man` shows them.
# Reference programs: bash, zsh, man-db (Debian packages).
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/outside/packages.bash
missing=()
for program in zsh man; do command -v "$program" >/dev/null || missing+=("${program/#man/man-db}"); done
[ ${#missing[@]} = 0 ] || get "${missing[@]}"
source tests/outside/program.bash
vestibule=$(realpath "$vestibule")
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
mkdir "$out/bin" "$out/zsh"
ln -s "$vestibule" "$out/bin/vestibule"
PATH=$out/bin:$PATH
vestibule completions bash >"$out/vestibule.bash"
vestibule completions zsh >"$out/zsh/_vestibule"
touch "$out/campaign.toml"

# What is typed | what has to be offered.
cases=("vestibule |run check changes new list" "vestibule ru|run" "vestibule run --cam|--campaigns"
  "vestibule run --p|--parquet" "vestibule list |measures systems schema keys" "vestibule list sch|schema"
  "vestibule changes --js|--json" "vestibule new --f|--from" "vestibule completions |bash zsh fish"
  "vestibule check campa|campaign.toml")

in_bash() { # words typed so far
  bash --norc -c '
    source "$1"; cd "$2"; COMP_LINE=$3; COMP_POINT=${#3}
    read -ra COMP_WORDS <<<"$3"; [[ $3 == *" " ]] && COMP_WORDS+=("")
    COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); COMPREPLY=()
    _vestibule vestibule "${COMP_WORDS[COMP_CWORD]}" "${COMP_WORDS[COMP_CWORD-1]}"
    printf "%s\n" "${COMPREPLY[@]}"' _ "$out/vestibule.bash" "$out" "$1"
}

# A zsh in a pseudo terminal of its own, in which the words and the key of a list of completions are typed; what it
# shows is read until all that is wanted has been seen, at most half a minute.
in_zsh() { # words typed so far, words wanted
  timeout 90 zsh -f -c '
    zmodload zsh/zpty zsh/datetime
    zpty shell zsh -f -i
    # What is printed until it shows all these words.
    until_said() { local all="" chunk word seen; float end=$((EPOCHREALTIME + 30))
      while ((EPOCHREALTIME < end)); do
        if zpty -r -t shell chunk; then all+=$chunk; else sleep 0.02; fi
        seen=yes; for word in "$@"; do [[ $all == *"$word"* ]] || seen=; done
        [[ -n $seen ]] && break
      done
      print -r -- "$all"; }
    zpty -w shell "PS1=; fpath=($1/zsh \$fpath); autoload -U compinit; compinit -u -d $1/dump; zstyle \":completion:*\" list-colors \"\"; LISTMAX=10000; stty cols 300 rows 100; cd $1; print rea\\dy"
    until_said ready >/dev/null
    zpty -w -n shell "$2"
    zpty -w -n shell $'"'\\004'"'
    until_said ${=3}
    zpty -d shell' _ "$out" "$1" "$2" </dev/null
}

asked=0
for case in "${cases[@]}"; do
  typed=${case%%|*} wanted=${case#*|}
  bash_said=$(in_bash "$typed")
  # Where nothing else fits bash itself goes on with files.
  if [ -z "${bash_said// /}" ] && grep -q -- "-o default" <<<"$(bash --norc -c 'source "$1"; complete -p vestibule' _ "$out/vestibule.bash")"; then
    bash_said=$(cd "$out" && compgen -f "${typed##* }")
  fi
  zsh_said=$(in_zsh "$typed" "$wanted")
  for word in $wanted; do
    grep -qxF -- "$word" <<<"${bash_said// /}" || { echo "bash: $typed: no $word in: $bash_said"; exit 1; }
    grep -qF -- "$word" <<<"$zsh_said" || { echo "zsh: $typed: no $word in: $zsh_said"; exit 1; }
    asked=$((asked + 1))
  done
done

vestibule man "$out/man" >/dev/null
for page in "$out"/man/*.1; do
  name=$(basename "$page" .1)
  MANWIDTH=80 man --warnings "$page" 2>"$out/said" | col -b >"$out/text"
  [ ! -s "$out/said" ] || { echo "$name:"; cat "$out/said"; exit 1; }
  grep -q "^NAME" "$out/text" && grep -q "$name" "$out/text" || { echo "$name is not in its page"; exit 1; }
done
for command in run check changes report new list; do [ -e "$out/man/vestibule-$command.1" ] || { echo "no page of $command"; exit 1; }; done
echo "$asked words offered in bash and in zsh; $(ls "$out"/man/*.1 | wc -l) manual pages"
