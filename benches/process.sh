#!/usr/bin/env bash
# Wall time and peak memory of whole processes, release build: `ask` warm, and `stream`.
# Usage: benches/process.sh [lines of the long stream, default 1000000]
set -euo pipefail
cd "$(dirname "$0")/.."
lines=${1:-1000000}
cargo build --release --quiet
program=target/release/brumal
message="pump at the back pool died about 4, its 19 out and windy, breaker keeps tripping"
python3 - "$program" "$message" "$lines" <<'PY'
import json, os, resource, statistics, subprocess, sys, tempfile, time

program, message, lines = sys.argv[1], sys.argv[2], int(sys.argv[3])

def run(arguments, stdin):
    """Seconds of wall time, seconds of processor time, and peak MiB of one process."""
    began = time.perf_counter()
    child = subprocess.Popen([program, *arguments], stdin=stdin, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    seconds = time.perf_counter() - began
    assert status == 0, status
    return seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024

asked = [run(["ask", message], subprocess.DEVNULL) for _ in range(30)][3:]
wall = sorted(seconds * 1000 for seconds, _, _ in asked)
print(f"ask, warm, {len(wall)} runs: median {statistics.median(wall):.1f} ms, "
      f"90th percentile {wall[int(len(wall) * 0.9)]:.1f} ms, peak {max(mib for _, _, mib in asked):.1f} MiB")

texts = [message, "ph 7.2 alk 90 ch 180 cya 20 fc .5, water 44, plaster", "low of 12 tonight, no freeze sensor",
         "filter 24 psi, clean is 15, weak returns"]
for count, jobs in [(lines // 100, 1), (lines, 1), (lines // 10, 2)]:
    with tempfile.TemporaryFile() as source:
        for number in range(count):
            row = {"id": number, "text": texts[number % len(texts)], "facts": {"pool.volume": 40000 + number % 50000}}
            source.write(json.dumps(row).encode() + b"\n")
        source.seek(0)
        seconds, busy, mib = run(["stream", "--jobs", str(jobs), "--at", "2026-01-14T06:40:00-05:00"], source)
    print(f"stream, {count} lines, {jobs} at a time: {count / seconds:.0f} answers/s, "
          f"{count / busy:.0f} a second of processor time, peak {mib:.1f} MiB")
PY
