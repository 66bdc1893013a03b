#!/usr/bin/env bash
# Prints whose work the command line carries: library-notices.sh ARTIFACTS looks into captureproc.deps.json of a publish's --artifacts-path and
# the packages that it was restored from, which state their licence and copyright; nothing of that is kept by hand.
set -eu
[ $# -eq 1 ] || { echo "usage: library-notices.sh ARTIFACTS" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}
list=$(find "$1" -name captureproc.deps.json | sort | head -n 1)
[ -n "$list" ] || { echo "library-notices.sh: $1 holds no captureproc.deps.json" >&2; exit 1; }

tag() { sed -n "s|.*<$1[^>]*>\(.*\)</$1>.*|\1|p" "$2" | head -n 1; }

echo "CaptureProc is built on these libraries, each under the licence that it names."
echo
grep -oE '"[A-Za-z0-9.]+/[0-9][0-9A-Za-z.-]*": \{' "$list" | tr -d '": {' | sort -u | while IFS=/ read -r id version; do
    folder=$packages/$(echo "$id" | tr '[:upper:]' '[:lower:]')/$version
    [ -d "$folder" ] || continue    # one of our own projects
    spec=$(ls "$folder"/*.nuspec)
    licence=$(tag license "$spec")
    [ -n "$licence" ] || { echo "library-notices.sh: $id $version states no licence" >&2; exit 1; }
    printf '%s %s\n  Licence: %s\n  %s\n  %s\n\n' "$id" "$version" "$licence" "$(tag copyright "$spec")" "$(tag projectUrl "$spec")"
done
