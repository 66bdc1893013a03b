#!/usr/bin/env bash
# Builds for Windows on Debian and packs it: package.sh [FOLDER]. Needs installer/cross-tools windows.
#   artifacts/packages/captureproc-VERSION-setup.exe              for one user, asks for no administrator
#   artifacts/packages/captureproc-VERSION-setup-all-users.exe    for everybody
#   artifacts/packages/captureproc-VERSION-windows.zip            the same files, to unpack
# With FOLDER what was built stays there: captureproc/ and CaptureProc.vst3.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
version=$("$root/installer/version.sh")
SOURCE_DATE_EPOCH=$("$root/installer/version.sh" --epoch)
export SOURCE_DATE_EPOCH
out=$root/artifacts/packages
mkdir -p "$out"
for name in dotnet makensis zip; do
    command -v $name > /dev/null || { echo "package.sh: $name is missing; installer/cross-tools windows installs what is missing" >&2; exit 1; }
done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
built=${1:-$scratch/built}
mkdir -p "$built"
built=$(cd "$built" && pwd)

"$here/start-up/link.sh" "$scratch/link"
export LIB=$scratch/link/libs
publish() { # PROJECT KIND OUT
    dotnet publish "$root/src/$1" -c Release -r win-x64 -p:DisableUnsupportedError=true -p:IlcUseEnvironmentalTools=true \
        -p:CppLinker="$scratch/link/link-$2" -p:DebugType=none --artifacts-path "$scratch/$1" -o "$3" -v quiet -nologo
}
echo "Building the plug-ins …"
publish CaptureProc.Plugins library "$scratch/library"
"$root/installer/bundle.sh" "$scratch/library" "$built/CaptureProc.vst3" x86_64-win
echo "Building the command line; this takes some minutes …"
rm -rf "$built/captureproc"
publish CaptureProc.Cli program "$built/captureproc"
"$root/installer/papers.sh" "$scratch/CaptureProc.Cli" "$built/captureproc" .txt
cp "$root/installer/windows/start-up/NOTICE.txt" "$built/captureproc/WINDOWS-NOTICE.txt"
cp "$root/installer/CHANGELOG.md" "$built/captureproc/CHANGELOG.md"
find "$built" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +

pack() { # NAME [DEFINE]
    local exe=$out/$1
    # What the uninstaller removes from the program's folder, by name.
    (cd "$built/captureproc" && find . -type f | sort | sed 's#^\./##; s#/#\\#g; s#.*#Delete "$INSTDIR\\&"#') > "$exe.files.nsh"
    makensis -V2 -NOCD "-DVERSION=$version" "-DBUILT=$built" "-DREADME=$root/README.md" "-DOUT=$exe" ${2:+"$2"} "-X!addincludedir $here" "$here/captureproc.nsi"
    rm -f "$exe.files.nsh"
}
pack "captureproc-$version-setup.exe"
pack "captureproc-$version-setup-all-users.exe" -DALL_USERS
rm -f "$out/captureproc-$version-windows.zip"
(cd "$built" && find captureproc CaptureProc.vst3 -type f | LC_ALL=C sort | TZ=UTC zip -qX "$out/captureproc-$version-windows.zip" -@)
ls -l "$out/captureproc-$version-setup.exe" "$out/captureproc-$version-setup-all-users.exe" "$out/captureproc-$version-windows.zip"
