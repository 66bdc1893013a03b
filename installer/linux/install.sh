#!/usr/bin/env bash
# Installs the plug-ins and the command line for this user, built from this checkout.
#   install.sh                 builds and installs
#   install.sh --command-line  only the command line, without plug-ins; plug-ins that are installed stay as they are
#   install.sh --uninstall     removes what it has installed; sessions and published sessions stay
set -eu
here=$(cd "$(dirname "$0")" && pwd)
plugins=${VST3_FOLDER:-$HOME/.vst3}
programs=$HOME/.local/lib/captureproc
command=$HOME/.local/bin/captureproc
data=${XDG_DATA_HOME:-$HOME/.local/share}
manual=$data/man/man1
completion=$data/bash-completion/completions/captureproc

remove_plugins() { rm -rf "$plugins/CaptureProc.vst3"; }

remove_command_line() {
    rm -rf "$programs"
    rm -f "$manual"/captureproc.1 "$manual"/captureproc-*.1 "$completion"
    # Only a link that leads into our folder is ours.
    if [ -L "$command" ] && [ "$(readlink "$command")" = "$programs/captureproc" ]; then rm "$command"; fi
}

only=()
case ${1:-} in
    --uninstall)
        remove_plugins
        remove_command_line
        echo "CaptureProc is removed."
        exit 0
        ;;
    --command-line) only=(--command-line) ;;
    "") ;;
    *)
        sed -n '2,5p' "$0" >&2
        exit 2
        ;;
esac

if [ -e "$command" ] && [ ! -L "$command" ]; then
    echo "install.sh: $command is there already and is not ours; move it away first" >&2
    exit 1
fi
built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
"$here/build.sh" "$built" "${only[@]}"

mkdir -p "$(dirname "$programs")" "$(dirname "$command")"
if [ ${#only[@]} -eq 0 ]; then
    # A host may have the old library mapped: replaced by a rename it goes on with the old one until it ends.
    remove_plugins
    mkdir -p "$plugins"
    mv "$built/CaptureProc.vst3" "$plugins/CaptureProc.vst3"
    echo "Plug-ins:     $plugins/CaptureProc.vst3"
fi
remove_command_line
mv "$built/captureproc" "$programs"
ln -sfn "$programs/captureproc" "$command"
mkdir -p "$manual" "$(dirname "$completion")"
mv "$built/manual"/*.1 "$manual"
mv "$built/manual/captureproc.bash" "$completion"
echo "Command line: $command"
case ":$PATH:" in
    *":$(dirname "$command"):"*) ;;
    *) echo "It is not in your PATH yet: type  export PATH=\"$(dirname "$command"):\$PATH\"  now, or log in anew where your system adds that folder." ;;
esac
