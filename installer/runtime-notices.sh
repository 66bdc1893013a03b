#!/usr/bin/env bash
# Prints the notices of the .NET runtime that is in our programs, from the package that they were built with:
# runtime-notices.sh REPOSITORY. Nothing of that is kept by hand.
set -eu
[ $# -eq 1 ] || { echo "usage: runtime-notices.sh REPOSITORY" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}
# The compiler's package; where it was not needed, that of the runtime which travels along.
notices=$(ls "$packages"/runtime.*.microsoft.dotnet.ilcompiler/*/THIRD-PARTY-NOTICES.TXT 2> /dev/null | sort -V | tail -n 1)
[ -n "$notices" ] || notices=$(ls "$packages"/microsoft.netcore.app.runtime.*/*/THIRD-PARTY-NOTICES.TXT 2> /dev/null | sort -V | tail -n 1)
[ -n "$notices" ] || { echo "runtime-notices.sh: neither the compiler's package nor the runtime's is restored; build first" >&2; exit 1; }
echo
echo "The runtime that is in it is that of .NET (https://dot.net), under the MIT licence:"
echo
sed -n 's|.*<copyright>\(.*\)</copyright>.*|\1|p' "$(dirname "$notices")"/*.nuspec
echo "The text of the MIT licence is that of CaptureProc's own LICENSE file."
echo
cat "$notices"
