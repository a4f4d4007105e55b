#!/usr/bin/env bash
# Takes the README's pictures of the real window anew. Needs xvfb, xdotool, imagemagick, and what the window itself needs.
set -euo pipefail
cd "$(dirname "$0")/.."
cargo build --release --locked
program="${CARGO_TARGET_DIR:-target}/release/sparkloft"
pictures=assets/screenshots
folder="$(mktemp -d)"
export XDG_RUNTIME_DIR="$folder" DISPLAY="${SCREENSHOT_DISPLAY:-:97}"
chmod 700 "$folder"
Xvfb "$DISPLAY" -screen 0 1280x800x24 >/dev/null 2>&1 &
server=$!
trap 'kill "$server"; rm -r "$folder"' EXIT
sleep 2
mkdir -p "$pictures"

# picture NAME SAMPLE LOOK KEYS…: opens a sample, presses the keys in turn, keeps what the window shows.
picture() {
    local name=$1 sample=$2 look=$3
    shift 3
    SPARKLOFT_DATA="$folder/data-$name" "$program" "sample-projects/$sample.ron" &
    local window=$!
    sleep 4
    xdotool search --sync --onlyvisible --name Sparkloft windowmove 0 0 windowsize 1280 800 windowfocus
    sleep 1
    # The caution has been read; the look comes from the palette.
    xdotool mousemove 1221 757 click 1 mousemove 46 640
    sleep 1
    xdotool key ctrl+k
    sleep 1
    xdotool type --delay 80 "Look: $look"
    sleep 1
    xdotool key Return
    sleep 1
    for key in "$@"; do
        xdotool key "$key"
        sleep 0.5
    done
    sleep 3
    import -window root -crop 1280x800+0+0 +repage -strip -colors 200 "png8:$pictures/$name.png"
    kill "$window"
    wait "$window" 2>/dev/null || true
}

picture advance tarn-special light alt+2
picture engine larch-six light alt+1
picture rig tarn-special light alt+5
picture compare tarn-special dark alt+6
picture checks wren-four light alt+7
picture export copse-eight light alt+8
