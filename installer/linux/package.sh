#!/usr/bin/env bash
# Packs the plug-ins and the command line for other machines: artifacts/packages/captureproc_VERSION_ARCH.deb and .tar.gz.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
version=$(sed -n 's|.*<Version>\(.*\)</Version>.*|\1|p' "$root/src/Directory.Build.props")
case $(uname -m) in x86_64) arch=amd64 ;; aarch64) arch=arm64 ;; *) arch=$(uname -m) ;; esac
out=$root/artifacts/packages
name=captureproc_${version}_$arch
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
chmod 755 "$tree"
mkdir -p "$out" "$tree/usr/lib/vst3" "$tree/usr/bin" "$tree/usr/share/doc/captureproc" "$tree/DEBIAN"

built=$tree/built
"$here/build.sh" "$built"
mv "$built/CaptureProc.vst3" "$tree/usr/lib/vst3/"
mv "$built/captureproc" "$tree/usr/lib/captureproc"
mkdir -p "$tree/usr/share/man/man1" "$tree/usr/share/bash-completion/completions"
gzip -9n "$built/manual"/*.1
mv "$built/manual"/*.1.gz "$tree/usr/share/man/man1/"
mv "$built/manual/captureproc.bash" "$tree/usr/share/bash-completion/completions/captureproc"
rmdir "$built/manual" "$built"
ln -s ../lib/captureproc/captureproc "$tree/usr/bin/captureproc"
cp "$root/LICENSE" "$tree/usr/share/doc/captureproc/copyright"
cp "$root/README.md" "$tree/usr/lib/captureproc/THIRD-PARTY.txt" "$tree/usr/lib/captureproc/HRTF-NOTICE.txt" "$tree/usr/share/doc/captureproc/"

tar -C "$tree" --owner=0 --group=0 --exclude=./DEBIAN -czf "$out/$name.tar.gz" .

# The C library that the native parts were linked against is the oldest that they run on.
libc=$(ldd --version | sed -n '1s/.* //p')
cat > "$tree/DEBIAN/control" << END
Package: captureproc
Version: $version
Architecture: $arch
Maintainer: The CaptureProc developers <captureproc@localhost>
Section: sound
Priority: optional
Installed-Size: $(du -sk "$tree/usr" | cut -f 1)
Depends: libc6 (>= $libc), libstdc++6, zlib1g
Recommends: ffmpeg, libxcb1, libxcb-shm0
Description: line up, measure, convert and mix a tetrahedral microphone with its spots
 A command line that takes a slate recording to an aligned sound field, and VST 3
 effects that carry the measured session into the mix.
END
dpkg-deb --root-owner-group --build "$tree" "$out/$name.deb" > /dev/null
ls -l "$out/$name.deb" "$out/$name.tar.gz"
