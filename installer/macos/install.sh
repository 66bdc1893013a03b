#!/usr/bin/env bash
# Installs the plug-ins and the command line for this user on macOS. Not run yet: see README.md.
#   install.sh                 builds and installs
#   install.sh --command-line  only the command line
#   install.sh --uninstall     removes what it has installed
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
bundle=$HOME/Library/Audio/Plug-Ins/VST3/CaptureProc.vst3
programs=$HOME/Library/CaptureProc
command=/usr/local/bin/captureproc

if [ "${1:-}" = --uninstall ]; then
    rm -rf "$bundle" "$programs"
    [ -L "$command" ] && rm -f "$command"
    echo "CaptureProc is removed."
    exit 0
fi

case $(uname -m) in arm64) rid=osx-arm64 ;; *) rid=osx-x64 ;; esac
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
with_plugins=yes
[ "${1:-}" = --command-line ] && with_plugins=no
echo "Building; the first time this takes some minutes …"
[ $with_plugins = no ] || dotnet publish "$root/src/CaptureProc.Plugins" -c Release -r "$rid" --artifacts-path "$scratch/plugins" -o "$scratch/library" -v quiet -nologo
dotnet publish "$root/src/CaptureProc.Cli" -c Release -r "$rid" --self-contained -p:PublishReadyToRun=true -p:DebugType=none \
    --artifacts-path "$scratch/cli" -o "$scratch/captureproc" -v quiet -nologo

rm -rf "$programs"
mkdir -p "$(dirname "$programs")"
if [ $with_plugins = yes ]; then
    rm -rf "$bundle"
    mkdir -p "$bundle/Contents/MacOS" "$bundle/Contents/Resources"
    cp "$scratch/library/CaptureProc.Plugins.dylib" "$bundle/Contents/MacOS/CaptureProc"
    cp "$scratch/library/libSkiaSharp.dylib" "$bundle/Contents/MacOS/libSkiaSharp.dylib"
    "$root/installer/drawing-notices.sh" "$root" > "$bundle/Contents/Resources/THIRD-PARTY.txt"
    cp "$root/LICENSE" "$bundle/Contents/Resources/LICENSE"
    cp "$here/Info.plist" "$bundle/Contents/Info.plist"
    cp "$root/installer/moduleinfo.json" "$bundle/Contents/Resources/moduleinfo.json"
    # Hosts refuse unsigned code; an ad-hoc signature serves the machine it was made on.
    codesign --force --sign - "$bundle"
    echo "Plug-ins:     $bundle"
fi
mv "$scratch/captureproc" "$programs"
ln -sfn "$programs/captureproc" "$command" || echo "Link $programs/captureproc into your PATH."
echo "Command line: $programs/captureproc"
