#!/usr/bin/env bash
# Submits what is missing of N shards as an array, and a merge that waits for it.
# usage: submit.sh run|sweep FILE N SHARDS RESULTS [options of the command]
set -euo pipefail
if [ $# -lt 5 ]; then
  sed -n 3p "$0"
  exit 2
fi
command=$1 file=$2 n=$3 shards=$4 results=$5
shift 5
here=$(cd "$(dirname "$0")" && pwd)
program=${VESTIBULE:-vestibule}
wanted=0-$((n - 1))
if compgen -G "$shards/*.shard" >/dev/null; then
  # Nothing that is whole: everything is wanted, and merge has said why.
  wanted=$("$program" merge --missing "$shards") || wanted=0-$((n - 1))
fi
mkdir -p "$shards"
read -ra more <<<"${SBATCH_OPTIONS:-}"
after=()
if [ -n "$wanted" ]; then
  array=$(sbatch --parsable "${more[@]}" --array="$wanted" "$here/shard.sbatch" "$command" "$file" "$n" "$shards" "$@")
  after=(--dependency="afterany:${array%%;*}")
  echo "shards $wanted: job ${array%%;*}"
fi
merge=$(sbatch --parsable "${more[@]}" "${after[@]}" "$here/merge.sbatch" "$shards" "$results")
echo "merge: job ${merge%%;*}"
