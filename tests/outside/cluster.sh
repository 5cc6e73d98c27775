#!/usr/bin/env bash
# The job scripts of runs/cluster with the programs they are for. Reference programs: Slurm and GNU parallel (Debian
# packages), installed here; of PBS only the variables of its jobs, set by hand, and a `qsub` that plays at once.
# A real Slurm with two virtual nodes on this machine, everything of it in one folder, started and stopped here:
# an array of 8 of which two tasks are killed, the merge that says so, just these two again, and a node that is lost in
# the middle while its task goes on. Each time the bytes of one run on one machine.
set -euo pipefail
cd "$(dirname "$0")/../.."
source tests/outside/packages.bash
if ! command -v slurmctld >/dev/null || ! command -v munged >/dev/null || ! command -v parallel >/dev/null; then
  get slurm-wlm munge parallel
fi
source tests/outside/program.bash
VESTIBULE=$(realpath "$vestibule")
export VESTIBULE
work=$(mktemp -d)
cluster=$work/cluster
scripts=$PWD/runs/cluster
campaign=$PWD/runs/larkspur/campaign.toml
mkdir -p "$cluster"/{munge,state,spool-n1,spool-n2} "$work/jobs"

# Ends the process of a pid file, if it is still the program it was written by.
end() {
  local pid
  pid=$(cat "$1" 2>/dev/null) || return 0
  [ "$(cat "/proc/$pid/comm" 2>/dev/null)" = "$2" ] || return 0
  kill "-${3:-TERM}" "$pid"
  # What nobody has waited for (no init in a container) is as good as gone.
  for _ in $(seq 50); do if grep -qs "^State:.[^Z]" "/proc/$pid/status"; then sleep 0.1; fi; done
}
stop() {
  end "$cluster/slurmd-n1.pid" slurmd
  end "$cluster/slurmd-n2.pid" slurmd
  end "$cluster/slurmctld.pid" slurmctld
  end "$cluster/munge/munged.pid" munged
  rm -rf "$work"
}
trap stop EXIT

# The same files with the same bytes; of the manifest all but `run`.
same() {
  python3 - "$1" "$2" <<'PY'
import json, pathlib, sys
a, b = (pathlib.Path(p) for p in sys.argv[1:])
names = [sorted(p.name for p in f.iterdir()) for f in (a, b)]
assert names[0] == names[1] and len(names[0]) > 5, names
for name in names[0]:
    one, two = ((f / name).read_bytes() for f in (a, b))
    if name == "manifest.json":
        one, two = ({k: v for k, v in json.loads(t).items() if k != "run"} for t in (one, two))
    assert one == two, name
PY
  echo "$2: the bytes of a single run"
}
# Waits at most $1 seconds for a command to succeed.
wait_for() {
  local end=$((SECONDS + $1))
  shift
  until "$@"; do
    if [ $SECONDS -gt $end ]; then
      echo "waited too long for: $*"
      tail -n 20 "$cluster"/*.log "$work"/jobs/*.log || true
      exit 1
    fi
    sleep 0.1
  done
}

say() { printf '   %s\n' "$*"; }
options=(--campaigns 1024 --seed 7)
started=$SECONDS
before=$(date +%s.%N)
"$VESTIBULE" run "$campaign" --drivers 0 "${options[@]}" --out "$work/single" >/dev/null 2>&1
half=$(awk -v now="$(date +%s.%N)" -v then="$before" 'BEGIN { print (now - then) / 2 }')
say "one run: $((SECONDS - started)) s"
cd "$work/jobs"

say "GNU parallel: interrupted, then again"
JOBS=2 timeout --signal=TERM "$half" "$scripts/parallel/shards.sh" run "$campaign" 8 par par-results "${options[@]}" \
  >/dev/null 2>&1 && { echo "it was not interrupted"; exit 1; }
[ "$(find par -name '*.shard' | wc -l)" -lt 8 ] || { echo "nothing was left to do"; exit 1; }
JOBS=2 "$scripts/parallel/shards.sh" run "$campaign" 8 par par-results "${options[@]}" >/dev/null 2>&1
same "$work/single" par-results

say "GNU parallel: a sweep"
"$VESTIBULE" new base >/dev/null
cat >base/sweep.toml <<'TOML'
[sweep]
base = "campaign.toml"
design = "grid"
seed = 5
campaigns = 130
measures = ["gas_lost_kg", "eva_done_fraction"]

[factor.recovery]
key = "access.single-lock.pump.main.recovery"
range = { low = 0.5, high = 0.9 }
levels = 3
TOML
"$VESTIBULE" sweep base/sweep.toml --out sweep-single >/dev/null 2>&1
"$scripts/parallel/shards.sh" sweep base/sweep.toml 5 sweep-shards sweep-results >/dev/null 2>&1
same sweep-single sweep-results

say "PBS: its array variable by hand"
(
  export COMMAND=run FILE=$campaign N=3 SHARDS=pbs RESULTS=pbs-results OPTIONS="${options[*]}"
  for k in 0 2; do PBS_ARRAY_INDEX=$k PBS_O_WORKDIR=$PWD bash "$scripts/pbs/shard.pbs" >/dev/null 2>&1; done
  bash "$scripts/pbs/merge.pbs" >merge.log 2>&1 && { echo "merged without a shard"; exit 1; }
  grep -q "1 of 3 shards are missing: 1" merge.log
)
mkdir bin
cat >bin/qsub <<'SH'
#!/usr/bin/env bash
# Plays at once what is submitted: every number of an array, or the job.
echo "$@" >>qsub.log
script=${!#}
range=""
while [ $# -gt 1 ]; do [ "$1" = -J ] && range=$2; shift; done
export PBS_O_WORKDIR=$PWD
if [ -n "$range" ]; then
  for k in $(seq "${range%-*}" "${range#*-}"); do PBS_ARRAY_INDEX=$k bash "$script" >&2; done
else
  bash "$script" >&2
fi
echo 1.server
SH
chmod +x bin/qsub
PATH=$PWD/bin:$PATH "$scripts/pbs/submit.sh" run "$campaign" 3 pbs pbs-results "${options[@]}" 2>/dev/null | grep "shards 1:"
[ "$(grep -c shard.pbs qsub.log)" = 1 ] || { echo "more than the missing shard was submitted"; exit 1; }
same "$work/single" pbs-results

say "Slurm starts"
host=$(hostname -s)
head -c 1024 /dev/urandom >"$cluster/munge/munge.key"
chmod 700 "$cluster/munge"
chmod 600 "$cluster/munge/munge.key"
chown -R "$(id -u):$(id -g)" "$cluster"
# The way to the socket must be open to others.
chmod 711 "$work" "$cluster"
chmod 711 "$cluster/munge"
munged --force --socket="$cluster/munge/munge.socket" --key-file="$cluster/munge/munge.key" \
  --pid-file="$cluster/munge/munged.pid" --log-file="$cluster/munge/munged.log" --seed-file="$cluster/munge/munged.seed"
memory=$(awk '/MemTotal/ { print int($2 / 1024 * 0.4) }' /proc/meminfo)
port=$((20000 + RANDOM % 10000))
cat >"$cluster/slurm.conf" <<CONF
ClusterName=vestibule
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=$cluster/munge/munge.socket
CredType=cred/munge
StateSaveLocation=$cluster/state
SlurmdSpoolDir=$cluster/spool-%n
SlurmctldPidFile=$cluster/slurmctld.pid
SlurmdPidFile=$cluster/slurmd-%n.pid
SlurmctldLogFile=$cluster/slurmctld.log
SlurmdLogFile=$cluster/slurmd-%n.log
SlurmctldPort=$port
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
SchedulerParameters=sched_interval=1,bf_interval=1,sched_min_interval=10000,batch_sched_delay=0
SlurmdParameters=config_overrides
AccountingStorageType=accounting_storage/none
JobCompType=jobcomp/none
MpiDefault=none
SwitchType=switch/none
ReturnToService=2
JobRequeue=1
RequeueExit=75
MinJobAge=3600
MaxArraySize=10001
NodeName=n1 NodeHostname=$host NodeAddr=127.0.0.1 Port=$((port + 1)) CPUs=1 RealMemory=$memory State=UNKNOWN
NodeName=n2 NodeHostname=$host NodeAddr=127.0.0.1 Port=$((port + 2)) CPUs=1 RealMemory=$memory State=UNKNOWN
PartitionName=debug Nodes=n1,n2 Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$cluster/slurm.conf
slurmctld -f "$SLURM_CONF"
slurmd -f "$SLURM_CONF" -N n1
slurmd -f "$SLURM_CONF" -N n2
idle() { [ "$(sinfo -h -N -o %T 2>/dev/null | sort -u)" = idle ]; }
wait_for 60 idle

running() { [ "$(squeue -h -j "$1" -o %T 2>/dev/null)" = RUNNING ]; }
gone() { [ -z "$(squeue -h -j "$1" -t pending,running,completing,configuring -o %T 2>/dev/null)" ]; }
submit() { "$scripts/slurm/submit.sh" run "$campaign" 8 "$1" "$1-results" "${options[@]}" >submitted; cat submitted; }
job() { sed -n "s/^$1.*: job //p" submitted; }

say "an array of 8, two tasks killed"
# These two stop in the middle, so that they are there when they are killed.
cat >stops <<SH
#!/usr/bin/env bash
case "\${SLURM_ARRAY_TASK_ID:-}" in
3 | 6)
  "$VESTIBULE" "\$@" &
  sleep 0.2
  kill -STOP \$!
  wait
  exit 1
  ;;
esac
exec "$VESTIBULE" "\$@"
SH
chmod +x stops
VESTIBULE=$PWD/stops submit killed
array=$(job shards) merge=$(job merge)
for k in 3 6; do
  wait_for 120 running "${array}_$k"
  scancel "${array}_$k"
done
wait_for 180 gone "$merge"
grep -q "2 of 8 shards are missing: 3,6" "vestibule-merge-$merge.log"
[ ! -e killed-results ] || { echo "results of six shards"; exit 1; }
say "just these two again"
submit killed | grep "^shards 3,6: "
wait_for 120 gone "$(job merge)"
same "$work/single" killed-results

say "a node is lost in the middle"
# A task on the second node waits before it begins, so that it is there when its node is lost.
cat >waits <<SH
#!/usr/bin/env bash
while [ "\${SLURMD_NODENAME:-}" = n2 ] && [ -e "$work/hold" ]; do sleep 0.1; done
exec "$VESTIBULE" "\$@"
SH
chmod +x waits
touch "$work/hold"
VESTIBULE=$PWD/waits submit lost
array=$(job shards) merge=$(job merge)
there() { lost=$(squeue -h -r -j "$array" -t running -o "%K %N" | sed -n 's/ n2$//p'); [ -n "$lost" ]; }
wait_for 120 there
end "$cluster/slurmd-n2.pid" slurmd KILL
scontrol update NodeName=n2 State=DOWN Reason=lost
# Its task is put back, and waits two minutes of its own accord.
pending() { [ "$(squeue -h -r -j "${array}_$lost" -o %T)" = PENDING ]; }
wait_for 60 pending
# The lost task goes on beside the one that is put in its place.
rm "$work/hold"
scontrol update JobId="${array}_$lost" StartTime=now
wait_for 180 gone "$merge"
same "$work/single" lost-results
say "$((SECONDS - started)) s in all"
