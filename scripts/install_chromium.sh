#!/bin/sh
# Installs Debian's Chromium for the browser tests; says what to do where it cannot.
set -eu
if [ "$(id -u)" = 0 ]; then as_root=""; elif command -v sudo >/dev/null 2>&1; then as_root="sudo"; else
  echo "The browser tests need Chromium. Install the package 'chromium' as root, then run make test again." >&2
  exit 1
fi
if ! command -v apt-get >/dev/null 2>&1; then
  echo "The browser tests need Chromium on the PATH; install it with your system's package manager." >&2
  exit 1
fi
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get update -q >/dev/null
$as_root apt-get install -q -y --no-install-recommends chromium >/dev/null
