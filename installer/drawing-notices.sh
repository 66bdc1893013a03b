#!/usr/bin/env bash
# Prints the licences and notices of what the plug-ins' windows are drawn with: drawing-notices.sh REPOSITORY linux|macos|win32
# reads them from the package that was restored, and the font's from beside the font; nothing of that is kept by hand.
set -eu
[ $# -eq 2 ] || { echo "usage: drawing-notices.sh REPOSITORY linux|macos|win32" >&2; exit 2; }
packages=${NUGET_PACKAGES:-$HOME/.nuget/packages}
version=$(sed -n 's|.*Include="SkiaSharp" Version="\([^"]*\)".*|\1|p' "$1/src/Directory.Packages.props")
case $2 in linux) name=skiasharp.nativeassets.linux.nodependencies ;; *) name=skiasharp.nativeassets.$2 ;; esac
echo "The windows of the plug-ins are drawn with SkiaSharp $version (MIT licence) and the Skia library in it:"
echo
cat "$packages/$name/$version/LICENSE.txt"
echo
cat "$packages/$name/$version/THIRD-PARTY-NOTICES.txt"
echo
echo "Their letters are the font Manrope:"
echo
cat "$1/src/CaptureProc.Screen/Fonts/OFL.txt"
