#!/usr/bin/env bash
# Draws sparkloft.png and sparkloft.ico anew from sparkloft.svg. Needs rsvg-convert (librsvg2-bin) and convert (imagemagick).
set -euo pipefail
cd "$(dirname "$0")"
folder="$(mktemp -d)"
trap 'rm -r "$folder"' EXIT
for size in 16 32 48 64 128 256; do
    rsvg-convert -w "$size" -h "$size" sparkloft.svg -o "$folder/$size.png"
done
cp "$folder/256.png" sparkloft.png
convert "$folder"/{16,32,48,64,128,256}.png sparkloft.ico
