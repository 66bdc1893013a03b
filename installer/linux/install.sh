#!/usr/bin/env bash
# Installs the plug-ins and the command line for this user, built from this checkout.
#   install.sh              builds and installs
#   install.sh --uninstall  removes what it has installed; sessions and published sessions stay
set -eu
here=$(cd "$(dirname "$0")" && pwd)
plugins=${VST3_FOLDER:-$HOME/.vst3}
programs=$HOME/.local/lib/captureproc
command=$HOME/.local/bin/captureproc

remove() {
    rm -rf "$plugins/CaptureProc.vst3" "$programs"
    # Only a link that leads into our folder is ours.
    if [ -L "$command" ] && [ "$(readlink "$command")" = "$programs/captureproc" ]; then rm "$command"; fi
}

case ${1:-} in
    --uninstall)
        remove
        echo "CaptureProc is removed."
        exit 0
        ;;
    "") ;;
    *)
        sed -n '2,4p' "$0" >&2
        exit 2
        ;;
esac

if [ -e "$command" ] && [ ! -L "$command" ]; then
    echo "install.sh: $command is there already and is not ours; move it away first" >&2
    exit 1
fi
built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
"$here/build.sh" "$built"

# A host may have the old library mapped: replaced by a rename it goes on with the old one until it ends.
remove
mkdir -p "$plugins" "$(dirname "$programs")" "$(dirname "$command")"
mv "$built/CaptureProc.vst3" "$plugins/CaptureProc.vst3"
mv "$built/captureproc" "$programs"
ln -sfn "$programs/captureproc" "$command"
echo "Plug-ins:     $plugins/CaptureProc.vst3"
echo "Command line: $command"
case ":$PATH:" in
    *":$(dirname "$command"):"*) ;;
    *) echo "$(dirname "$command") is not in your PATH yet." ;;
esac
