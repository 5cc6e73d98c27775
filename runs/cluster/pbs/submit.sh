#!/usr/bin/env bash
# Submits what is missing of N shards, and a merge that waits for it.
# usage: submit.sh run|sweep FILE N SHARDS RESULTS [options of the command]
set -euo pipefail
if [ $# -lt 5 ]; then
  sed -n 3p "$0"
  exit 2
fi
export COMMAND=$1 FILE=$2 N=$3 SHARDS=$4 RESULTS=$5
shift 5
export OPTIONS="$*"
here=$(cd "$(dirname "$0")" && pwd)
program=${VESTIBULE:-vestibule}
read -ra more <<<"${QSUB_OPTIONS:-}"
wanted=0-$((N - 1))
if compgen -G "$SHARDS/*.shard" >/dev/null; then
  # Nothing that is whole: everything is wanted, and merge has said why.
  wanted=$("$program" merge --missing "$SHARDS") || wanted=0-$((N - 1))
fi
mkdir -p "$SHARDS"
jobs=()
if [ "$wanted" = "0-$((N - 1))" ] && [ "$N" -gt 1 ]; then
  jobs+=("$(qsub -V "${more[@]}" -J "$wanted" "$here/shard.pbs")")
else
  for part in ${wanted//,/ }; do
    for k in $(seq "${part%-*}" "${part#*-}"); do
      jobs+=("$(SHARD=$k qsub -V "${more[@]}" "$here/shard.pbs")")
    done
  done
fi
after=()
if [ ${#jobs[@]} -gt 0 ]; then
  all=$(IFS=:; echo "${jobs[*]}")
  after=(-W "depend=afterany:$all")
  echo "shards $wanted: ${jobs[*]}"
fi
echo "merge: $(qsub -V "${more[@]}" "${after[@]}" "$here/merge.pbs")"
