#!/usr/bin/env bash
# Prints whose work the command line carries: notices.sh FOLDER reads FOLDER/captureproc.deps.json and the packages that it was
# restored from, which state their licence and copyright; nothing of that is kept by hand.
set -eu
[ $# -eq 1 ] || { echo "usage: notices.sh FOLDER" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}

tag() { sed -n "s|.*<$1[^>]*>\(.*\)</$1>.*|\1|p" "$2" | head -n 1; }

echo "CaptureProc is built on these libraries, each under the licence that it names."
echo
grep -oE '"[A-Za-z0-9.]+/[0-9][0-9A-Za-z.-]*": \{' "$1/captureproc.deps.json" | tr -d '": {' | sort -u | while IFS=/ read -r id version; do
    folder=$packages/$(echo "$id" | tr '[:upper:]' '[:lower:]')/$version
    [ -d "$folder" ] || continue    # one of our own projects
    spec=$(ls "$folder"/*.nuspec)
    licence=$(tag license "$spec")
    [ -n "$licence" ] || { echo "notices.sh: $id $version states no licence" >&2; exit 1; }
    printf '%s %s\n  Licence: %s\n  %s\n  %s\n\n' "$id" "$version" "$licence" "$(tag copyright "$spec")" "$(tag projectUrl "$spec")"
done
echo "The .NET runtime travels along under the MIT licence (https://dot.net)."
echo "The text of the MIT licence is that of CaptureProc's own LICENSE file."
