#!/usr/bin/env bash
# Builds for macOS, on a Mac with the .NET 10 SDK and the command line tools of Xcode. Not run yet: see README.md.
#   build.sh FOLDER [--command-line] [--universal] [--sign IDENTITY]
#   FOLDER/captureproc/      the command line
#   FOLDER/CaptureProc.vst3  the plug-ins; not with --command-line
# --universal builds for both processors and joins them. Without --sign the code is signed ad hoc, which serves the machine it was made on;
# with an identity ("Developer ID Application: …") it is signed as notarisation asks (hardened runtime, time stamp).
set -eu
usage() { sed -n '3,7p' "$0" >&2; exit 2; }
target="" with_plugins=yes universal=no identity=-
while [ $# -gt 0 ]; do
    case $1 in
        --command-line) with_plugins=no ;;
        --universal) universal=yes ;;
        --sign) identity=${2:?}; shift ;;
        -*) usage ;;
        *) [ -z "$target" ] || usage; target=$1 ;;
    esac
    shift
done
[ -n "$target" ] || usage
[ "$(uname -s)" = Darwin ] || { echo "build.sh: linking for macOS needs a Mac; command-line.sh publishes the command line elsewhere" >&2; exit 1; }
root=$(cd "$(dirname "$0")/../.." && pwd)
target=$(mkdir -p "$target" && cd "$target" && pwd)
for name in dotnet codesign lipo; do
    command -v $name > /dev/null || { echo "build.sh: $name is missing" >&2; exit 1; }
done
case $(uname -m) in arm64) here=osx-arm64 ;; *) here=osx-x64 ;; esac
rids=("$here")
[ $universal = no ] || rids=(osx-arm64 osx-x64)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
# The oldest system that the .NET runtime supports, the same as in Info.plist.
export MACOSX_DEPLOYMENT_TARGET=12.0

publish() { # PROJECT
    local rid
    for rid in "${rids[@]}"; do
        dotnet publish "$root/src/$1" -c Release -r "$rid" -p:DebugType=none -p:AppleMinOSVersion=12.0 \
            --artifacts-path "$scratch/artifacts-$1-$rid" -o "$scratch/$1/$rid" -v quiet -nologo
    done
    # What is machine code of one processor is joined; the drawing library comes for both already, and everything else is alike.
    mkdir -p "$scratch/$1/joined"
    cp -R "$scratch/$1/${rids[0]}/." "$scratch/$1/joined/"
    [ $universal = yes ] || return 0
    local file
    for file in "${@:2}"; do
        lipo -create "$scratch/$1/osx-arm64/$file" "$scratch/$1/osx-x64/$file" -output "$scratch/$1/joined/$file"
    done
}
sign() {
    if [ "$identity" = - ]; then codesign --force --sign - "$@"; else codesign --force --options runtime --timestamp --sign "$identity" "$@"; fi
}

if [ $with_plugins = yes ]; then
    echo "Building the plug-ins …"
    publish CaptureProc.Plugins CaptureProc.Plugins.dylib
    "$root/installer/bundle.sh" "$scratch/CaptureProc.Plugins/joined" "$target/CaptureProc.vst3" MacOS
    printf 'BNDLCpPr' > "$target/CaptureProc.vst3/Contents/PkgInfo"
    # From the inside out: the bundle's seal covers what is in it.
    sign "$target/CaptureProc.vst3/Contents/MacOS/libSkiaSharp.dylib"
    sign "$target/CaptureProc.vst3"
    codesign --verify --deep --strict "$target/CaptureProc.vst3"
fi
echo "Building the command line; the first time this takes some minutes …"
publish CaptureProc.Cli captureproc
rm -rf "$target/captureproc" "$target/manual"
mv "$scratch/CaptureProc.Cli/joined" "$target/captureproc"
"$root/installer/papers.sh" "$scratch/artifacts-CaptureProc.Cli-${rids[0]}" "$target/captureproc"
sign "$target/captureproc/captureproc"
"$target/captureproc/captureproc" manual "$target/manual" --replace > /dev/null
