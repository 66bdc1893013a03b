#!/usr/bin/env bash
# Builds what is installed: build.sh FOLDER [--command-line] [--for x64|arm64]
#   FOLDER/captureproc/      the command line
#   FOLDER/manual/           its manual pages and the completion for bash
#   FOLDER/CaptureProc.vst3  the plug-ins; not with --command-line
# Compiled natively, which needs clang or gcc, and zlib's headers. Without a compiler the command line alone can still be built: it then
# carries the .NET runtime with it and takes some tenths of a second to start; CAPTUREPROC_BUILD=managed asks for that, which is built sooner. --for builds for the other processor (see installer/cross-tools).
set -eu
usage() { sed -n '2,7p' "$0" >&2; exit 2; }
target="" with_plugins=yes processor=""
while [ $# -gt 0 ]; do
    case $1 in
        --command-line) with_plugins=no ;;
        --for) processor=${2:-}; shift ;;
        -*) usage ;;
        *) [ -z "$target" ] || usage; target=$1 ;;
    esac
    shift
done
[ -n "$target" ] || usage
root=$(cd "$(dirname "$0")/../.." && pwd)
target=$(mkdir -p "$target" && cd "$target" && pwd)
case $(uname -m) in x86_64) here=x64 ;; aarch64) here=arm64 ;; *) here=other ;; esac
processor=${processor:-$here}
case $processor in
    x64) system=x86_64-linux ;;
    arm64) system=aarch64-linux ;;
    *) echo "build.sh: no build for $(uname -m)" >&2; exit 1 ;;
esac
rid=linux-$processor
command -v dotnet > /dev/null || { echo "build.sh: the .NET 10 SDK is missing" >&2; exit 1; }

native=(-p:DebugType=none)
if [ "${CAPTUREPROC_BUILD:-native}" = managed ] && [ $with_plugins = no ]; then
    native+=(-p:PublishAot=false --self-contained)
elif [ "$processor" != "$here" ]; then
    # clang links for another processor when the other's gcc and binutils lend it their libraries; gcc does not know --target.
    other=$([ "$processor" = arm64 ] && echo aarch64 || echo x86_64)-linux-gnu
    for name in clang-19 $other-gcc $other-objcopy; do
        command -v "$name" > /dev/null || { echo "build.sh: $name is missing; installer/cross-tools installs it" >&2; exit 1; }
    done
    native+=(-p:CppCompilerAndLinker=clang-19 "-p:ObjCopyName=$other-objcopy")
elif ! command -v clang > /dev/null; then
    if command -v gcc > /dev/null; then
        native+=(-p:CppCompilerAndLinker=gcc)
    elif [ $with_plugins = yes ]; then
        echo "build.sh: native compilation needs clang or gcc, and zlib's headers" >&2
        exit 1
    else
        native+=(-p:PublishAot=false --self-contained)
    fi
fi

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
publish() { # PROJECT OUT
    dotnet publish "$root/src/$1" -c Release -r "$rid" "${native[@]}" --artifacts-path "$scratch/$1" -o "$2" -v quiet -nologo
}

if [ $with_plugins = yes ]; then
    echo "Building the plug-ins …"
    publish CaptureProc.Plugins "$scratch/library"
    "$root/installer/bundle.sh" "$scratch/library" "$target/CaptureProc.vst3" $system
fi
echo "Building the command line; the first time this takes some minutes …"
publish CaptureProc.Cli "$scratch/captureproc"
rm -rf "$target/captureproc" "$target/manual"
mv "$scratch/captureproc" "$target/captureproc"
"$root/installer/papers.sh" "$scratch/CaptureProc.Cli" "$target/captureproc"
# The runtime's files come as their package has them, not readable alike for everybody.
chmod -R a+rX,go-w "$target/captureproc"
# Out of the program's own help. What was built for another processor runs where the emulator of qemu is installed.
run=()
[ "$processor" = "$here" ] || run=("qemu-$([ "$processor" = arm64 ] && echo aarch64 || echo x86_64)-static" -L "/usr/$other")
"${run[@]}" "$target/captureproc/captureproc" manual "$target/manual" --replace > /dev/null
