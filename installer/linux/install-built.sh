#!/usr/bin/env bash
# Installs CaptureProc from this unpacked folder; nothing is built.
#   install.sh                 for this user: ~/.vst3, ~/.local
#   install.sh --for-all       for everybody: /usr/local (as root)
#   install.sh --uninstall     removes what it has installed (with --for-all, there); sessions and published sessions stay
set -eu
here=$(cd "$(dirname "$0")" && pwd)
for_all=no uninstall=no
for word in "$@"; do
    case $word in
        --for-all) for_all=yes ;;
        --uninstall) uninstall=yes ;;
        *) sed -n '3,5p' "$0" >&2; exit 2 ;;
    esac
done
if [ $for_all = yes ]; then
    prefix=/usr/local plugins=/usr/local/lib/vst3 share=/usr/local/share
else
    prefix=$HOME/.local plugins=${VST3_FOLDER:-$HOME/.vst3} share=${XDG_DATA_HOME:-$HOME/.local/share}
fi
programs=$prefix/lib/captureproc command=$prefix/bin/captureproc

remove() {
    rm -rf "$plugins/CaptureProc.vst3" "$programs"
    rm -f "$share"/man/man1/captureproc.1.gz "$share"/man/man1/captureproc-*.1.gz "$share/bash-completion/completions/captureproc" \
        "$share/applications/org.captureproc.captureproc.desktop" "$share/metainfo/org.captureproc.captureproc.metainfo.xml" \
        "$share/icons/hicolor/scalable/apps/org.captureproc.captureproc.svg"
    # Only a link that leads into our folder is ours.
    if [ -L "$command" ] && [ "$(readlink "$command")" = "$programs/captureproc" ]; then rm "$command"; fi
}

if [ $uninstall = yes ]; then
    remove
    echo "CaptureProc is removed."
    exit 0
fi
[ -x "$here/lib/captureproc/captureproc" ] || { echo "install.sh: lib/captureproc is not beside it; unpack the whole tarball" >&2; exit 1; }
"$here/lib/captureproc/captureproc" --version > /dev/null || { echo "install.sh: the program does not run here, and nothing was installed" >&2; exit 1; }
if [ -e "$command" ] && [ ! -L "$command" ]; then
    echo "install.sh: $command is there already and is not ours; move it away first" >&2
    exit 1
fi
remove
mkdir -p "$plugins" "$prefix/lib" "$prefix/bin" "$share"
cp -R "$here/lib/vst3/CaptureProc.vst3" "$plugins/"
cp -R "$here/lib/captureproc" "$programs"
ln -sfn "$programs/captureproc" "$command"
for folder in man/man1 bash-completion/completions applications metainfo icons/hicolor/scalable/apps; do
    mkdir -p "$share/$folder"
    cp "$here/share/$folder"/* "$share/$folder/"
done
echo "Plug-ins:     $plugins/CaptureProc.vst3"
echo "Command line: $command"
case ":$PATH:" in
    *":$(dirname "$command"):"*) ;;
    *) echo "It is not in your PATH yet: type  export PATH=\"$(dirname "$command"):\$PATH\"  now, or log in anew where your system adds that folder." ;;
esac
