# Sourced by make and check: the folder, the throw-away Python environment, and $python in it.
here="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)"
python="$here/.venv/bin/python"
stamp="$here/.venv/requirements.txt"

if ! cmp -s "$here/requirements.txt" "$stamp"; then
  echo "building $(basename "$here")/.venv" >&2
  rm -rf "$here/.venv"
  python3 -m venv "$here/.venv"
  "$python" -m pip install --quiet --disable-pip-version-check -r "$here/requirements.txt"
  cp "$here/requirements.txt" "$stamp"
fi
