#!/usr/bin/env bash
# Prints the notices of the .NET runtime that is compiled into our programs, from the package that they were compiled with:
# runtime-notices.sh REPOSITORY. Nothing of that is kept by hand.
set -eu
[ $# -eq 1 ] || { echo "usage: runtime-notices.sh REPOSITORY" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}
notices=$(ls "$packages"/runtime.*.microsoft.dotnet.ilcompiler/*/THIRD-PARTY-NOTICES.TXT 2> /dev/null | sort -V | tail -n 1)
[ -n "$notices" ] || { echo "runtime-notices.sh: the compiler's package is not restored; build first" >&2; exit 1; }
echo
echo "The runtime that is compiled in is that of .NET (https://dot.net), under the MIT licence:"
echo
sed -n 's|.*<copyright>\(.*\)</copyright>.*|\1|p' "$(dirname "$notices")"/*.nuspec
echo "The text of the MIT licence is that of CaptureProc's own LICENSE file."
echo
cat "$notices"
