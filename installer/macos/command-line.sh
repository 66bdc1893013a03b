#!/usr/bin/env bash
# Publishes the command line for macOS on any system: command-line.sh osx-arm64|osx-x64 …
# compiled ahead for the .NET runtime that travels along, since native linking needs a Mac; artifacts/packages/captureproc-VERSION-RID.tar.gz.
set -eu
[ $# -gt 0 ] || { sed -n '2,3p' "$0" >&2; exit 2; }
root=$(cd "$(dirname "$0")/../.." && pwd)
version=$("$root/installer/version.sh")
epoch=$("$root/installer/version.sh" --epoch)
out=$root/artifacts/packages
mkdir -p "$out"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
for rid in "$@"; do
    case $rid in osx-arm64 | osx-x64) ;; *) echo "command-line.sh: '$rid' is neither osx-arm64 nor osx-x64" >&2; exit 2 ;; esac
    folder=$scratch/$rid/captureproc-$version
    dotnet publish "$root/src/CaptureProc.Cli" -c Release -r "$rid" --self-contained -p:PublishAot=false -p:DebugType=none \
        --artifacts-path "$scratch/artifacts-$rid" -o "$folder" -v quiet -nologo
    "$root/installer/papers.sh" "$scratch/artifacts-$rid" "$folder"
    chmod -R a+rX,u+w,go-w "$folder"
    tar -C "$scratch/$rid" --sort=name --mtime="@$epoch" --owner=0 --group=0 --numeric-owner -cf - . | gzip -9n > "$out/captureproc-$version-$rid.tar.gz"
    ls -l "$out/captureproc-$version-$rid.tar.gz"
done
