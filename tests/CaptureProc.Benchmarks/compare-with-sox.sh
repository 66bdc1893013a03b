#!/usr/bin/env bash
# Compares whole commands, start-up and disk included, on ten minutes of audio made for the purpose:
#   convert   captureproc convert --correction full   against   sox remix with four terms a channel, on the same 4-channel file
#   measure   captureproc measure on a 9-channel slate of ten minutes   against   1.5 times that sox run
# Usage: compare-with-sox.sh [path of the captureproc program]      default: the Release build beside these sources
# RUNS=7 sets the number of runs (default 5); KEEP=1 keeps the files. Needs sox; hyperfine is used where it is installed.
# Prints, asserts nothing: run it on a machine that has nothing else to do.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
program=${1:-$here/../../src/CaptureProc.Cli/bin/Release/net10.0/captureproc}
runs=${RUNS:-5}
program=$(realpath "$program")
command -v sox > /dev/null || { echo "sox is not installed: run tests/install-tools" >&2; exit 2; }
[ -x "$program" ] || { echo "$program is not there: build first (dotnet build -c Release src/CaptureProc.Cli)" >&2; exit 2; }

work=$(mktemp -d)
[ "${KEEP:-0}" = 1 ] || trap 'rm -rf "$work"' EXIT
cd "$work"

# Median wall time of a command in seconds; output files are removed before every run, so that each run makes them anew.
median() {
    if command -v hyperfine > /dev/null; then
        hyperfine --runs "$runs" --warmup 1 --prepare 'rm -f out-*.wav' --ignore-failure --export-json times.json "$1" > /dev/null 2>&1
        tr ',{' '\n' < times.json | sed -n 's/.*"median": *\([0-9.]*\).*/\1/p' | head -n 1 | awk '{ printf "%.2f\n", $1 }'
    else
        for _ in $(seq "$runs"); do
            rm -f out-*.wav
            start=$(date +%s.%N)
            bash -c "$1" > /dev/null 2>&1 || true
            echo "$(date +%s.%N) $start" | awk '{ printf "%.3f\n", $1 - $2 }'
        done | sort -n | awk '{ t[NR] = $1 } END { printf "%.2f\n", t[int((NR + 1) / 2)] }'
    fi
}

# A command that is refused is fast: exit code 2 ends the comparison, 1 (out of tolerance, too uncertain) is a full run.
tried() {
    local code=0
    bash -c "$1" > tried.txt 2>&1 || code=$?
    [ "$code" -lt 2 ] || { echo "refused: $1" >&2; cat tried.txt >&2; exit 1; }
}

ratio() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.2f", a / b }'; }

echo "processor: $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1), $(nproc) cores; $(dotnet --version) .NET SDK; $(sox --version | sed 's/.*SoX/SoX/')"

sox -n -r 48000 -b 24 -c 4 take.wav synth 600 pinknoise pinknoise pinknoise pinknoise gain -12
"$program" start session.json --array main=1-4 --preset tetra-15mm-cardioid --rate 48000 > /dev/null 2>&1
sox_seconds=$(median "sox take.wav out-sox.wav remix 1v.25,2v.25,3v.25,4v.25 1v.25,2v.25,3v-.25,4v-.25 1v.25,2v-.25,3v.25,4v-.25 1v.25,2v-.25,3v-.25,4v.25")
tried "$program convert session.json take.wav out-full.wav --correction full"
full_seconds=$(median "$program convert session.json take.wav out-full.wav --correction full")
echo "sox remix, 10 min x 4 channels x 24 bit        $sox_seconds s"
echo "captureproc convert --correction full          $full_seconds s   $(ratio "$full_seconds" "$sox_seconds") of sox"

# A slate: five spots around the array, a clap every two minutes at each in turn, over the noise of a quiet hall. Claps are 2 ms
# of decaying noise; every channel hears every clap, later and softer than the clap's own spot.
sox -n -r 48000 -b 24 -c 1 clap.wav synth 0.002 whitenoise fade l 0 0.002 0.0018 gain -6
channel() { # name, then delay in seconds and level of each of the five claps
    local name=$1; shift
    local inputs=() i=0
    while [ $# -gt 0 ]; do
        sox clap.wav -b 24 "part-$name-$i.wav" gain "$2" pad "$(awk -v i=$i -v d="$1" 'BEGIN { printf "%.6f", 10 + 120 * i + d }')" 0
        inputs+=("part-$name-$i.wav"); i=$((i + 1)); shift 2
    done
    sox -n -r 48000 -b 24 -c 1 noise.wav synth 600 pinknoise gain -60
    sox -m -v 1 noise.wav $(printf -- '-v 1 %s ' "${inputs[@]}") -b 24 "channel-$name.wav" trim 0 600
    rm -f "part-$name-"*.wav
}
for capsule in 1 2 3 4; do
    channel "$capsule" .00900 -18 .00950 -18 .01000 -19 .01050 -19 .01100 -20
done
channel 5 .00150 -3 .01200 -20 .01400 -21 .01600 -22 .01800 -23
channel 6 .01200 -20 .00150 -3 .01200 -20 .01400 -21 .01600 -22
channel 7 .01400 -21 .01200 -20 .00150 -3 .01200 -20 .01400 -21
channel 8 .01600 -22 .01400 -21 .01200 -20 .00150 -3 .01200 -20
channel 9 .01800 -23 .01600 -22 .01400 -21 .01200 -20 .00150 -3
sox -M channel-[1-9].wav -b 24 slate.wav
"$program" start slate.json --array main=1-4 --preset tetra-15mm-cardioid --rate 48000 \
    --spot one=5 --spot two=6 --spot three=7 --spot four=8 --spot five=9 > /dev/null 2>&1
tried "$program measure slate.json slate.wav"
measure_seconds=$(median "$program measure slate.json slate.wav")
echo "captureproc measure, 10 min x 9 channels       $measure_seconds s   $(ratio "$measure_seconds" "$sox_seconds") of sox (bar: 1.50)"
