"""Runs the program, built in release, and reads its JSON."""

import json
import os
import subprocess
from pathlib import Path


def program():
    root = Path(__file__).resolve().parents[2]
    target = Path(os.environ.get("CARGO_TARGET_DIR", root / "target"))
    return target / "release" / "cavigram"


def told(folder, *line):
    """What a command says in a folder, whatever settings the person at this machine has."""
    env = dict(os.environ, XDG_CONFIG_HOME=str(folder / "no-settings"))
    line = [program(), *line, "--json"]
    done = subprocess.run(line, check=True, capture_output=True, cwd=folder, env=env)
    return json.loads(done.stdout)
