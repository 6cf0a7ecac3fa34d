"""Where Python looks for modules: never in the current folder, nor in one that a user named.

Python puts the current folder, or the script's, before its own library, and a child process inherits that.  A file that
was handed in and has a library's name would be run there.  So the command line cleans its own path before it imports
anything else, and children start with a path that was cleaned.  The folder that holds this program, where nothing else
leads to it, comes last of all.
"""

import os
import sys

_PROGRAM = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))  # noqa: PTH100, PTH120
# pathlib is not used here: importing it is what must not happen before the path is clean.


def secure(*folders: str) -> None:
    """Clean this process's path and what its children inherit.

    Parameters
    ----------
    *folders : str
        Folders of users besides the current one.
    """
    os.environ["PYTHONSAFEPATH"] = "1"  # children, the fork server among them, leave out the current folder
    inherited = trusted(os.environ.pop("PYTHONPATH", "").split(os.pathsep), *folders)
    if inherited:  # an empty entry would mean the current folder
        os.environ["PYTHONPATH"] = os.pathsep.join(inherited)
    own = _PROGRAM in sys.path
    sys.path[:] = trusted(sys.path, *folders)
    if own or not any(finder.find_spec("grader", None) for finder in sys.meta_path):
        sys.path.append(_PROGRAM)


def trusted(path: list[str], *folders: str) -> list[str]:
    """The entries of a search path that are neither folders of users nor the program's own."""
    left_out = {os.path.realpath(folder) for folder in (os.getcwd(), _PROGRAM, *folders)}  # noqa: PTH109
    return [entry for entry in path if os.path.isabs(entry) and os.path.realpath(entry) not in left_out]  # noqa: PTH117


def command(module: str) -> list[str]:
    """The command that runs `main` of a module of this program in a new process, which can import what this one can."""
    path = [*trusted(sys.path), _PROGRAM]
    code = f"import sys; sys.path[:] = {path!r}; from {module} import main; main()"
    return [sys.executable, "-P", "-c", code]
