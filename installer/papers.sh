#!/usr/bin/env bash
# Puts beside the command line what has to travel with it: papers.sh ARTIFACTS FOLDER [ENDING]
# our licence, whose libraries and runtime are in it, and the notice that goes with the measured head. On Windows the ending is .txt.
set -eu
[ $# -ge 2 ] || { echo "usage: papers.sh ARTIFACTS FOLDER [ENDING]" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/.." && pwd)
install -m 644 "$root/LICENSE" "$2/LICENSE${3:-}"
{ "$here/library-notices.sh" "$1"; "$here/runtime-notices.sh" "$root"; } > "$2/THIRD-PARTY.txt"
install -m 644 "$root/presets/heads/NOTICE.txt" "$2/HRTF-NOTICE.txt"
