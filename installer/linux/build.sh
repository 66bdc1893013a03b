#!/usr/bin/env bash
# Builds what is installed: build.sh FOLDER makes FOLDER/captureproc/ (the command line) and FOLDER/CaptureProc.vst3 (the plug-ins);
# with --command-line only the former, which needs no compiler of C.
set -eu
with_plugins=yes
[ "${2:-}" = --command-line ] && with_plugins=no
[ $# -eq 1 ] || { [ $# -eq 2 ] && [ $with_plugins = no ]; } || { echo "usage: build.sh FOLDER [--command-line]" >&2; exit 2; }
root=$(cd "$(dirname "$0")/../.." && pwd)
target=$(mkdir -p "$1" && cd "$1" && pwd)
machine=$(uname -m)
case $machine in
    x86_64) rid=linux-x64 ;;
    aarch64) rid=linux-arm64 ;;
    *) echo "build.sh: no build for $machine" >&2; exit 1 ;;
esac
command -v dotnet > /dev/null || { echo "build.sh: the .NET 10 SDK is missing" >&2; exit 1; }
[ $with_plugins = no ] || command -v clang > /dev/null || command -v gcc > /dev/null || { echo "build.sh: native compilation needs clang or gcc, and zlib's headers" >&2; exit 1; }

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

if [ $with_plugins = yes ]; then
    echo "Building the plug-ins …"
    # The tools that compile natively expect clang; gcc links as well.
    linker=()
    command -v clang > /dev/null || linker=(-p:CppCompilerAndLinker=gcc)
    dotnet publish "$root/src/CaptureProc.Plugins" -c Release -r "$rid" "${linker[@]}" --artifacts-path "$scratch/plugins" -o "$scratch/library" -v quiet -nologo
fi
echo "Building the command line; the first time this takes a minute or two …"
dotnet publish "$root/src/CaptureProc.Cli" -c Release -r "$rid" --self-contained -p:PublishReadyToRun=true -p:DebugType=none \
    --artifacts-path "$scratch/cli" -o "$scratch/captureproc" -v quiet -nologo

rm -rf "$target/CaptureProc.vst3" "$target/captureproc"
if [ $with_plugins = yes ]; then
    mkdir -p "$target/CaptureProc.vst3/Contents/$machine-linux" "$target/CaptureProc.vst3/Contents/Resources"
    install -m 644 "$scratch/library/CaptureProc.Plugins.so" "$target/CaptureProc.vst3/Contents/$machine-linux/CaptureProc.so"
    install -m 644 "$scratch/library/libSkiaSharp.so" "$target/CaptureProc.vst3/Contents/$machine-linux/libSkiaSharp.so"
    "$root/installer/drawing-notices.sh" "$root" > "$target/CaptureProc.vst3/Contents/Resources/THIRD-PARTY.txt"
    install -m 644 "$root/LICENSE" "$target/CaptureProc.vst3/Contents/Resources/LICENSE"
    install -m 644 "$root/installer/moduleinfo.json" "$target/CaptureProc.vst3/Contents/Resources/moduleinfo.json"
fi
mv "$scratch/captureproc" "$target/captureproc"
install -m 644 "$root/LICENSE" "$target/captureproc/LICENSE"
# Who made what is in there, and the notice that goes with the measured head.
"$root/installer/linux/notices.sh" "$target/captureproc" > "$target/captureproc/THIRD-PARTY.txt"
install -m 644 "$root/presets/heads/NOTICE.txt" "$target/captureproc/HRTF-NOTICE.txt"
# The runtime's files come as their package has them, not readable alike for everybody.
chmod -R a+rX,go-w "$target/captureproc"
# Out of the program's own help; --replace, since the folder may hold those of an earlier build.
"$target/captureproc/captureproc" manual "$target/manual" --replace > /dev/null
