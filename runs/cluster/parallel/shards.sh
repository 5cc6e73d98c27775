#!/usr/bin/env bash
# Plays what is missing of N shards with GNU parallel, then merges.
# usage: shards.sh run|sweep FILE N SHARDS RESULTS [options of the command]
set -euo pipefail
if [ $# -lt 5 ]; then
  sed -n 3p "$0"
  exit 2
fi
command=$1 file=$2 n=$3 shards=$4 results=$5
shift 5
program=${VESTIBULE:-vestibule}
mkdir -p "$shards"
# Shards that are whole end at once; --termseq: a block of campaigns may take a while.
seq 0 $((n - 1)) | parallel --quote --jobs "${JOBS:-100%}" --joblog "$shards/joblog" --termseq TERM,60000,KILL \
  "$program" "$command" "$file" --shard "{}/$n" --out "$shards" --threads 1 "$@" ||
  echo "some shards failed; merge says which are missing" >&2
exec "$program" merge --out "$results" "$shards"
