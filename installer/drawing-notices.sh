#!/usr/bin/env bash
# Prints the licences and notices of what the plug-ins' windows are drawn with: drawing-notices.sh REPOSITORY
# reads them from the package that was restored, and the font's from beside the font; nothing of that is kept by hand.
set -eu
[ $# -eq 1 ] || { echo "usage: drawing-notices.sh REPOSITORY" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}
version=$(sed -n 's|.*Include="SkiaSharp" Version="\([^"]*\)".*|\1|p' "$1/src/Directory.Packages.props")
case $(uname -s) in Darwin) name=skiasharp.nativeassets.macos ;; *) name=skiasharp.nativeassets.linux.nodependencies ;; esac
echo "The windows of the plug-ins are drawn with SkiaSharp $version (MIT licence) and the Skia library in it:"
echo
cat "$packages/$name/$version/LICENSE.txt"
echo
cat "$packages/$name/$version/THIRD-PARTY-NOTICES.txt"
echo
echo "Their letters are the font Manrope:"
echo
cat "$1/src/CaptureProc.Screen/Fonts/OFL.txt"
