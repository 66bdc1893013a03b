#!/usr/bin/env bash
# Renders the tracks of a plan through the plug-ins of a bundle in Ardour 7; see README.md.
set -eu
[ $# -eq 3 ] || { echo "usage: render.sh BUNDLE.vst3 TRACKS OUT.wav" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
bundle=$(realpath "$1") plan=$(realpath "$2") out=$(realpath -m "$3")
ardour=${ARDOUR_LIB:-/usr/lib/ardour7}
export CAPTUREPROC_SESSIONS=${CAPTUREPROC_SESSIONS:-}

first=$(awk '$1 == "track" { print $4; exit }' "$plan")
rate=$(od -An -t u4 -j 24 -N 4 "$first" | tr -d ' ')

work=${KEEP:-$(mktemp -d)}
[ -n "${KEEP:-}" ] || trap 'rm -rf "$work"' EXIT
# A home of its own: the user's Ardour and plug-ins are neither seen nor touched.
export HOME=$work/home
unset XDG_CONFIG_HOME XDG_CACHE_HOME XDG_DATA_HOME
mkdir -p "$HOME/.vst3" "$HOME/.config/ardour7/export"
cp -rL "$bundle" "$HOME/.vst3/"
cp "$here/export.format" "$here/export.preset" "$HOME/.config/ardour7/export/"

# The host offers what its scanner has cached, and trusts an entry only if the library is older by whole seconds.
find "$HOME/.vst3" -type f -exec touch -d '1 minute ago' {} +
if ! LD_LIBRARY_PATH=$ardour "$ardour/ardour-vst3-scanner" -f -q "$HOME/.vst3/$(basename "$bundle")" > "$work/scan.log" 2>&1; then
    cat "$work/scan.log" >&2
    echo "render.sh: the scanner failed on $bundle" >&2
    exit 1
fi

# Ardour 7.3 stalls now and then while it starts, and on a busy machine it aborts now and then while it frees the buffers of its own
# export, also without a single plug-in in the session: a limit of time, and six tries.
for attempt in 1 2 3 4 5 6; do
    rm -rf "$work/session"
    ardour7-new_session -s "$rate" -m 4 "$work/session" render > "$work/log" 2>&1
    if timeout -k 5 "${LIMIT:-90}" ardour7-lua "$here/render.lua" "$work/session" "$plan" >> "$work/log" 2>&1; then
        grep '^render:' "$work/log" || true
        mv "$work/session/export/render.wav" "$out"
        exit 0
    fi
    echo "render.sh: attempt $attempt failed" >&2
    tail -n 8 "$work/log" >&2
done
exit 1
