#!/usr/bin/env bash
# Installs the plug-ins and the command line for this user on macOS, built from this checkout. Not run yet: see README.md.
#   install.sh                 builds and installs
#   install.sh --command-line  only the command line, without plug-ins; plug-ins that are installed stay as they are
#   install.sh --uninstall     removes what it has installed; sessions and published sessions stay
set -eu
here=$(cd "$(dirname "$0")" && pwd)
plugins=$HOME/Library/Audio/Plug-Ins/VST3
programs=$HOME/Library/CaptureProc
command=$HOME/.local/bin/captureproc
manual=$HOME/.local/share/man/man1

remove_command_line() {
    rm -rf "$programs"
    rm -f "$manual"/captureproc.1 "$manual"/captureproc-*.1
    # Only a link that leads into our folder is ours.
    if [ -L "$command" ] && [ "$(readlink "$command")" = "$programs/captureproc" ]; then rm "$command"; fi
}

only=()
case ${1:-} in
    --uninstall)
        rm -rf "$plugins/CaptureProc.vst3"
        remove_command_line
        echo "CaptureProc is removed."
        exit 0
        ;;
    --command-line) only=(--command-line) ;;
    "") ;;
    *) sed -n '3,5p' "$0" >&2; exit 2 ;;
esac
if [ -e "$command" ] && [ ! -L "$command" ]; then
    echo "install.sh: $command is there already and is not ours; move it away first" >&2
    exit 1
fi
built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
"$here/build.sh" "$built" ${only[@]+"${only[@]}"}
mkdir -p "$(dirname "$programs")" "$(dirname "$command")" "$manual"
if [ ${#only[@]} -eq 0 ]; then
    mkdir -p "$plugins"
    rm -rf "$plugins/CaptureProc.vst3"
    mv "$built/CaptureProc.vst3" "$plugins/CaptureProc.vst3"
    echo "Plug-ins:     $plugins/CaptureProc.vst3"
fi
remove_command_line
mv "$built/captureproc" "$programs"
ln -sfn "$programs/captureproc" "$command"
cp "$built/manual"/*.1 "$manual"
echo "Command line: $command"
case ":$PATH:" in
    *":$(dirname "$command"):"*) ;;
    *) echo "It is not in your PATH yet: type  export PATH=\"$(dirname "$command"):\$PATH\"  now, and add it to ~/.zprofile." ;;
esac
