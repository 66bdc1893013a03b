#!/usr/bin/env bash
# Prints the version, which stands in src/Directory.Build.props and nowhere else.
#   version.sh            the version
#   version.sh FILE       the file, with the version in the place of @VERSION@ and the day of the commit in that of @DATE@
#   version.sh --epoch    seconds of the commit that is built, for files that carry a date: the same commit gives the same bytes
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
version=$(sed -n 's|.*<Version>\(.*\)</Version>.*|\1|p' "$root/src/Directory.Build.props")
[ -n "$version" ] || { echo "version.sh: src/Directory.Build.props names no version" >&2; exit 1; }
case ${1:-} in
    "") echo "$version" ;;
    # A tree without git has no commit; it gets the day that zip files begin with.
    --epoch) git -C "$root" log -1 --format=%ct 2> /dev/null || echo 315532800 ;;
    *) sed "s|@VERSION@|$version|g; s|@DATE@|$(date -u -d "@$("$0" --epoch)" +%F 2> /dev/null || date -u -r "$("$0" --epoch)" +%F)|g" "$1" ;;
esac
