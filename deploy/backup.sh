#!/bin/sh
# Nightly: a proved copy in a folder named for the day, the last fourteen kept. For cron or a systemd timer, which
# know neither the settings nor where the program is: both are found here.
#   deploy/backup.sh /var/backups/temperward
# TEMPERWARD_ENVIRONMENT  file with the server's settings  [/etc/temperward/environment]
# TEMPERWARD_PROGRAM      the command                      [/opt/temperward/bin/temperward, else temperward]
set -eu
umask 077
folder=${1:?where to}
settings=${TEMPERWARD_ENVIRONMENT:-/etc/temperward/environment}
program=${TEMPERWARD_PROGRAM:-/opt/temperward/bin/temperward}
[ -x "$program" ] || program=temperward

# As systemd reads it: NAME=VALUE a line, in quotes or not, nothing expanded. What is set already stands before it.
if [ -r "$settings" ]; then
    while IFS= read -r line || [ -n "$line" ]; do
        name=${line%%=*}
        case $line in '#'* | ';'* | '') continue ;; *=*) ;; *) continue ;; esac
        case $name in *[!A-Za-z0-9_]* | '' | [0-9]*) continue ;; esac
        value=${line#*=}
        case $value in
            \"*\") value=${value#\"} value=${value%\"} ;;
            \'*\') value=${value#\'} value=${value%\'} ;;
        esac
        eval "[ -n \"\${$name+set}\" ]" || export "$name=$value"
    done <"$settings"
fi
if [ -z "${TEMPERWARD_DATA-}${TEMPERWARD_DATABASE_URL-}" ]; then
    echo "backup.sh: neither TEMPERWARD_DATA nor TEMPERWARD_DATABASE_URL is set, here or in $settings" >&2
    exit 1
fi

mkdir -p "$folder"
"$program" backup "$folder/$(date -u +%Y-%m-%d)"
"$program" tidy
# Only after a copy that was proved: older ones go, and what a killed run left.
find "$folder" -mindepth 1 -maxdepth 1 -type d -name '????-??-??' | sort | head -n -14 |
    while IFS= read -r old; do rm -r -- "$old"; done
find "$folder" -mindepth 1 -maxdepth 1 -type d -name '????-??-??.*.new' -mtime +0 -exec rm -r -- {} +
