"""Small invented circuits for the entries' samples, as element lines of a rubric file, by name."""

import tomllib
from pathlib import Path

CIRCUITS: dict[str, str] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
