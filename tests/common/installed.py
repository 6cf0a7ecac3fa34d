"""The program as an installer leaves it: with its modules and those of its libraries compiled, whatever this process was told."""

import os
from pathlib import Path


def installed(folder: Path) -> dict[str, str]:
    """The environment of a process that finds compiled modules in `folder`, where the first one puts them."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(folder)}
