# What the browser checks and the pictures need: sourced by `run` and `pictures`, from the repository's root.
# Sets $program. Fails where a tool cannot be had.

# The program of a Debian package, installed where that may be done.
need() {
  local tool=$1 package=$2
  command -v "$tool" > /dev/null && return
  if [ "$(id -u)" = 0 ] && command -v apt-get > /dev/null; then
    apt-get update --quiet=2 > /dev/null
    DEBIAN_FRONTEND=noninteractive apt-get install --yes --quiet=2 "$package" > /dev/null
  fi
  command -v "$tool" > /dev/null || { echo "browser: $tool is missing; install it (apt-get install $package)" >&2; exit 1; }
}

need chromium chromium
need pdfinfo poppler-utils
for tool in node npm; do
  command -v "$tool" > /dev/null || { echo "browser: $tool is missing; install Node.js 20 or newer" >&2; exit 1; }
done
node -e 'const [a, b] = process.versions.node.split(".").map(Number); process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' \
  || { echo "browser: Node.js is $(node --version); 20.19 or newer is needed" >&2; exit 1; }

here=checks/browser
if ! cmp -s "$here/package-lock.json" "$here/node_modules/installed.json"; then
  npm ci --prefix "$here" --ignore-scripts --no-audit --no-fund --loglevel=error > /dev/null
  cp "$here/package-lock.json" "$here/node_modules/installed.json"
fi

# Built anew, for pages are compiled in: yesterday's program would pass for today's.
cargo build --release --quiet -p ouncewise
program=$PWD/${CARGO_TARGET_DIR:-target}/release/ouncewise
if [[ ${CARGO_TARGET_DIR:-} == /* ]]; then program=$CARGO_TARGET_DIR/release/ouncewise; fi
