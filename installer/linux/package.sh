#!/usr/bin/env bash
# Packs the plug-ins and the command line for other machines: package.sh [--built FOLDER] [amd64|arm64 …], without a word for this machine's
# processor. What build.sh has built already in FOLDER is packed as it is.
#   artifacts/packages/captureproc_VERSION_ARCH.deb       for Debian 12 and newer, and its kin
#   artifacts/packages/captureproc_VERSION_ARCH.tar.gz    for any Linux with that C library or a newer one; install.sh inside
# The same commit gives the same bytes twice: every date in them is that of the commit.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
version=$("$root/installer/version.sh")
SOURCE_DATE_EPOCH=$("$root/installer/version.sh" --epoch)
export SOURCE_DATE_EPOCH
out=$root/artifacts/packages
mkdir -p "$out"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# Sorted, owned by nobody in particular, and of the commit's day.
pack() { # FOLDER NAME.tar.gz
    tar -C "$1" --sort=name --mtime="@$SOURCE_DATE_EPOCH" --owner=0 --group=0 --numeric-owner -cf - . | gzip -9n > "$2"
}

# The newest C library whose functions the native parts ask for is the oldest that they run on.
oldest_libc() {
    find "$@" -type f \( -name captureproc -o -name '*.so' \) -exec readelf -VW {} + | grep -oE 'GLIBC_[0-9.]+' | sed 's/GLIBC_//' | sort -uV | tail -n 1
}

package() { # ARCH
    local arch=$1 processor tree built
    case $arch in amd64) processor=x64 ;; arm64) processor=arm64 ;; *) echo "package.sh: no package for $arch" >&2; exit 2 ;; esac
    built=${ready:-$scratch/$arch/built} tree=$scratch/$arch/tree
    [ -n "$ready" ] || "$here/build.sh" "$built" --for $processor
    mkdir -p "$tree/usr/lib/vst3" "$tree/usr/bin" "$tree/DEBIAN"
    local share=$tree/usr/share
    mkdir -p "$share/man/man1" "$share/bash-completion/completions" "$share/doc/captureproc" "$share/applications" "$share/metainfo" \
        "$share/icons/hicolor/scalable/apps"
    cp -R "$built/CaptureProc.vst3" "$tree/usr/lib/vst3/"
    cp -R "$built/captureproc" "$tree/usr/lib/captureproc"
    ln -s ../lib/captureproc/captureproc "$tree/usr/bin/captureproc"
    for page in "$built/manual"/*.1; do gzip -9n < "$page" > "$share/man/man1/$(basename "$page").gz"; done
    cp "$built/manual/captureproc.bash" "$share/bash-completion/completions/captureproc"
    cp "$here/org.captureproc.captureproc.desktop" "$share/applications/"
    "$root/installer/version.sh" "$here/org.captureproc.captureproc.metainfo.xml" > "$share/metainfo/org.captureproc.captureproc.metainfo.xml"
    cp "$root/src/CaptureProc.Desk/Page/mark.svg" "$share/icons/hicolor/scalable/apps/org.captureproc.captureproc.svg"
    cp "$root/LICENSE" "$share/doc/captureproc/copyright"
    cp "$root/README.md" "$share/doc/captureproc/README.md"
    cp "$built/captureproc/THIRD-PARTY.txt" "$built/captureproc/HRTF-NOTICE.txt" "$share/doc/captureproc/"
    gzip -9n < "$root/installer/CHANGELOG.md" > "$share/doc/captureproc/changelog.gz"
    chmod -R a+rX,u+w,go-w "$tree"
    find "$tree" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +

    # libssl is what the runtime computes SHA-256 with; it is loaded when a session notes what it has read.
    cat > "$tree/DEBIAN/control" << END
Package: captureproc
Version: $version
Architecture: $arch
Maintainer: The CaptureProc developers <captureproc@localhost>
Section: sound
Priority: optional
Installed-Size: $(du -sk --apparent-size "$tree/usr" | cut -f 1)
Depends: libc6 (>= $(oldest_libc "$tree/usr")), libgcc-s1, libstdc++6, zlib1g, libssl3t64 | libssl3
Recommends: ffmpeg, libxcb1, libxcb-shm0
Description: line up, measure, convert and mix a tetrahedral microphone with its spots
 A command line that takes a slate recording to an aligned sound field, the same
 work on a page of the browser, and VST 3 effects that carry the measured session
 into the mix.
END
    (cd "$tree" && find usr -type f -print0 | sort -z | xargs -0 md5sum) > "$tree/DEBIAN/md5sums"
    dpkg-deb --root-owner-group -Zxz --build "$tree" "$out/captureproc_${version}_$arch.deb" > /dev/null

    mkdir -p "$scratch/$arch/tarball"
    mv "$tree/usr" "$scratch/$arch/tarball/captureproc-$version"
    install -m 755 "$here/install-built.sh" "$scratch/$arch/tarball/captureproc-$version/install.sh"
    pack "$scratch/$arch/tarball" "$out/captureproc_${version}_$arch.tar.gz"
    ls -l "$out/captureproc_${version}_$arch".*
}

ready=""
if [ "${1:-}" = --built ]; then
    ready=$(cd "$2" && pwd)
    shift 2
fi
[ $# -gt 0 ] || set -- "$(case $(uname -m) in x86_64) echo amd64 ;; aarch64) echo arm64 ;; *) uname -m ;; esac)"
for arch in "$@"; do package "$arch"; done
