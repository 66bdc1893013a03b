#!/usr/bin/env bash
# Lays out the plug-ins' bundle of one system: bundle.sh PUBLISHED BUNDLE SYSTEM
#   PUBLISHED  the folder that 'dotnet publish' of CaptureProc.Plugins wrote
#   BUNDLE     the folder to make, CaptureProc.vst3
#   SYSTEM     x86_64-linux, aarch64-linux, x86_64-win or MacOS: the folder's name in Contents (VST 3 documentation, "Plug-in format structure")
set -eu
[ $# -eq 3 ] || { sed -n '2,5p' "$0" >&2; exit 2; }
root=$(cd "$(dirname "$0")/.." && pwd)
published=$1 bundle=$2 system=$3
case $system in
    *-linux) library=CaptureProc.Plugins.so name=CaptureProc.so drawing=libSkiaSharp.so of=linux ;;
    *-win) library=CaptureProc.Plugins.dll name=CaptureProc.vst3 drawing=libSkiaSharp.dll of=win32 ;;
    MacOS) library=CaptureProc.Plugins.dylib name=CaptureProc drawing=libSkiaSharp.dylib of=macos ;;
    *) echo "bundle.sh: '$system' is no system that a bundle has a folder for" >&2; exit 2 ;;
esac
rm -rf "$bundle"
mkdir -p "$bundle/Contents/$system" "$bundle/Contents/Resources"
install -m 644 "$published/$library" "$bundle/Contents/$system/$name"
install -m 644 "$published/$drawing" "$bundle/Contents/$system/$drawing"
{ "$root/installer/drawing-notices.sh" "$root" "$of"; "$root/installer/runtime-notices.sh" "$root"; } > "$bundle/Contents/Resources/THIRD-PARTY.txt"
install -m 644 "$root/LICENSE" "$bundle/Contents/Resources/LICENSE"
"$root/installer/version.sh" "$root/installer/moduleinfo.json" > "$bundle/Contents/Resources/moduleinfo.json"
[ "$system" != MacOS ] || "$root/installer/version.sh" "$root/installer/macos/Info.plist" > "$bundle/Contents/Info.plist"
