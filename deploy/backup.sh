#!/bin/sh
# Nightly: a proved copy in a folder named for the day, the last fourteen kept. Use with cron or a systemd timer:
#   deploy/backup.sh /var/backups/temperward
set -eu
folder=${1:?where to}
mkdir -p "$folder"
temperward backup "$folder/$(date -u +%Y-%m-%d)"
find "$folder" -mindepth 1 -maxdepth 1 -type d -name '????-??-??' | sort | head -n -14 | xargs -r rm -r
