#!/usr/bin/env bash
# Opens the windows of plug-ins in Ardour 7 itself, on an X server without a screen, and takes a picture of each; see README.md.
#   windows.sh BUNDLE.vst3 FOLDER "PLUG-IN:INPUTS"...
set -eu
[ $# -ge 3 ] || { echo 'usage: windows.sh BUNDLE.vst3 FOLDER "PLUG-IN:INPUTS"...' >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
bundle=$(realpath "$1") pictures=$(mkdir -p "$2" && realpath "$2")
shift 2
ardour=${ARDOUR_LIB:-/usr/lib/ardour7}
program=$(ls "$ardour"/ardour-7.* | head -n 1)
work=$(mktemp -d)
children=()
finish() { for child in "${children[@]}"; do kill "$child" 2> /dev/null || true; done; wait 2> /dev/null || true; rm -rf "$work"; }
trap finish EXIT

# A home of its own: the user's Ardour and plug-ins are neither seen nor touched.
export HOME=$work/home
unset XDG_CONFIG_HOME XDG_CACHE_HOME XDG_DATA_HOME
mkdir -p "$HOME/.vst3" "$HOME/.config/ardour7"
cp -rL "$bundle" "$HOME/.vst3/"
find "$HOME/.vst3" -type f -exec touch -d '1 minute ago' {} +
LD_LIBRARY_PATH=$ardour "$ardour/ardour-vst3-scanner" -f -q "$HOME/.vst3/$(basename "$bundle")" > "$work/scan.log" 2>&1 || {
    cat "$work/scan.log" >&2
    exit 1
}
# It has been here before, and starts its engine without a sound card and without asking.
touch "$HOME/.config/ardour7/.a7"
cat > "$HOME/.config/ardour7/config" << 'X'
<?xml version="1.0" encoding="UTF-8"?>
<Ardour>
  <Config>
    <Option name="try-autostart-engine" value="1"/>
    <Option name="hide-dummy-backend" value="0"/>
    <Option name="check-announcements" value="0"/>
  </Config>
  <Extra>
    <AudioMIDISetup>
      <EngineStates>
        <State backend="None (Dummy)" driver="" device="Silence" input-device="" output-device="" sample-rate="48000" buffer-size="1024" n-periods="0" input-latency="0" output-latency="0" input-channels="0" output-channels="0" active="1" use-buffered-io="0" midi-option="" lru="1"><MIDIDevices/></State>
      </EngineStates>
    </AudioMIDISetup>
  </Extra>
</Ardour>
X

for attempt in 1 2 3; do
    rm -rf "$work/session"
    ardour7-new_session -s 48000 -m 4 "$work/session" windows > "$work/log" 2>&1
    timeout -k 5 90 ardour7-lua "$here/windows.lua" "$work/session" "$@" >> "$work/log" 2>&1 && break
    [ $attempt -lt 3 ] || { tail -n 8 "$work/log" >&2; exit 1; }
done

# Which windows were open stands in the session: three in a row, beside the host's own.
windows="" count=0
while read -r _ _ route processor; do
    windows="$windows<Window name=\"P-$route-$processor\" visible=\"1\" x-off=\"$((1360 + 1000 * (count % 3)))\" y-off=\"$((720 * (count / 3)))\" x-size=\"-1\" y-size=\"-1\"/>"
    count=$((count + 1))
done < <(grep '^windows:' "$work/log")
sed -i "s#<Extra/>#<Extra><UI>$windows</UI></Extra>#; t; s#</Session>#<Extra><UI>$windows</UI></Extra></Session>#" "$work/session/windows.ardour"

mkfifo "$work/display"
Xvfb -displayfd 3 -screen 0 4400x2900x24 -nolisten tcp -noreset 3> "$work/display" 2> /dev/null &
children+=($!)
read -r number < "$work/display"
export DISPLAY=:$number
GTK_PATH=/etc/ardour7:$ardour LD_LIBRARY_PATH=$ardour ARDOUR_DATA_PATH=/usr/share/ardour7 ARDOUR_CONFIG_PATH=/etc/ardour7 ARDOUR_DLL_PATH=$ardour \
    timeout -k 5 "${LIMIT:-240}" "$program" --no-splash "$work/session/windows.ardour" > "$work/host.log" 2>&1 &
children+=($!)
for second in $(seq "${LIMIT:-240}"); do
    sleep 1
    open=$(xwininfo -root -tree | grep -c '\[VST3\]' || true)
    [ "$open" -lt "$count" ] || break
done
[ "$open" -ge "$count" ] || { echo "windows.sh: Ardour shows $open of $count windows" >&2; tail -n 8 "$work/host.log" >&2; exit 1; }
# What is drawn once a window is there needs a moment.
sleep 6
xwininfo -root -tree | sed -n 's/^ *\(0x[0-9a-f]*\) "\([^":]*\): .*\[VST3\]".*/\1 \2/p' | while read -r id name; do
    import -window "$id" "$pictures/$name.png"
    echo "windows: $name.png"
done
