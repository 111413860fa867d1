#!/usr/bin/env bash
# A private PostgreSQL for tests, reached by a socket only; nothing of it outlives `stop`.
#
# usage: postgres.sh start          prints FOLDER and the address of a database, on two lines
#        postgres.sh stop FOLDER
#
# Run by root it hands the server to the user postgres, since the server refuses root.  Ends with 3
# when there is no PostgreSQL on this machine.
set -euo pipefail

bin=$(pg_config --bindir 2>/dev/null || true)
[ -n "$bin" ] && [ -x "$bin/initdb" ] || bin=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | tail -n 1)
[ -n "$bin" ] && [ -x "$bin/initdb" ] || exit 3

as_server() {
  if [ "$(id -u)" -eq 0 ]; then
    runuser -u postgres -- "$@"
  else
    "$@"
  fi
}

case "${1:-}" in
  start)
    # The path is short: the name of a socket ends at 107 bytes.
    folder=$(mktemp -d /tmp/pl-pg.XXXXXX)
    trap 'rm -rf "$folder"' ERR
    mkdir "$folder/s"
    [ "$(id -u)" -ne 0 ] || chown -R postgres "$folder"
    chmod 755 "$folder" "$folder/s"
    cd "$folder"
    as_server "$bin/initdb" -D "$folder/data" -U plumbline -A trust -E UTF8 --locale=C.UTF-8 \
      --no-sync >/dev/null 2>&1
    as_server "$bin/pg_ctl" -D "$folder/data" -w -t 30 -l "$folder/log" -o "-c listen_addresses='' \
      -c unix_socket_directories=$folder/s -c fsync=off -c synchronous_commit=off \
      -c full_page_writes=off" start >/dev/null 2>&1
    echo "$folder"
    echo "postgresql:///postgres?host=$folder/s&user=plumbline" ;;
  stop)
    case "${2:-}" in /tmp/pl-pg.*) ;; *) echo "postgres.sh: stop which folder?" >&2; exit 2 ;; esac
    cd /
    as_server "$bin/pg_ctl" -D "$2/data" -m fast -w stop >/dev/null 2>&1 || true
    rm -rf "$2" ;;
  *)
    echo "usage: postgres.sh start | stop FOLDER" >&2
    exit 2 ;;
esac
