#!/bin/sh
# Everything, side by side, in one run, each of ours also in turn with the best peer of its kind; 10 to 15 minutes on 2 quiet cores.
#   PY=.venv/bin/python PEERS="numpy numba" ./run_all.sh     only peers whose names start so
set -e
here=$(cd "$(dirname "$0")" && pwd)
PY=${PY:-python3}
export RESULTS="${RESULTS:-$here/../../target/peers}" REPEATS="${REPEATS:-7}"
export SWEPT_DESCRIBED=1
mkdir -p "$RESULTS"
rm -f "$RESULTS/results.jsonl"
cd "$here"
$PY bench.py --limits | tee "$RESULTS/limits.txt"
for w in w1_full w1_filter w1_grid w1_billion w2 w3; do
    $PY bench.py $w $PEERS || echo "$w: some entries failed"
    $PY bench.py $w --with swept_peer.py swept || echo "$w: no entry of ours"
    $PY bench.py $w --with swept_peer.py --pair best swept || echo "$w: no pair"
done
$PY ../curve.py | tee "$RESULTS/curve.txt"
