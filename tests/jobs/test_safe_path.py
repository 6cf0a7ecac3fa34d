"""Nothing that lies in a folder of users is ever run, whatever library it is named after."""

import os
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
RUBRIC = ROOT / "rubrics" / "lock_valve.toml"
OLD_WORKBOOK = ROOT / "tests" / "uploads" / "saved" / "answers.xls"
PROGRAM = f"""import sys
sys.path.append({str(ROOT)!r})
from grader.cli.main import main
if __name__ == "__main__":
    sys.exit(main())
"""
"""As an installed command begins; kept in a folder of its own."""

FEW = ("grade", "try", "serve")
"""Commands that between them start every kind of process."""

LISTENING = """
import os, sys
seen = set()
def heard(event, arguments):
    if event == "import" and arguments[0] not in seen:
        seen.add(arguments[0])
        with open(os.environ["IMPORTED"], "a") as file:
            file.write(arguments[0].partition(".")[0] + "\\n")
sys.addaudithook(heard)
"""
"""Put where Python looks at its start, it writes down what every process tries to import, found or not."""


class Place:
    """Folders of an instructor: uploads, a rubric, results, and one to work in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.uploads, self.here = folder / "uploads", folder / "here"
        (folder / "bin").mkdir(parents=True)
        (folder / "bin" / "grader").write_text(PROGRAM)
        for one in (self.uploads, self.here, folder / "rubric", folder / "results", folder / "data"):
            one.mkdir(parents=True)
        self.rubric = Path(shutil.copy(RUBRIC, folder / "rubric"))
        self.roster = folder / "rubric" / "roster.csv"
        self.roster.write_text("id,name,section\nS0001,Ada,A\nS0012,Bo,A\n")
        (self.uploads / "S0001.txt").write_text("valve.current: 24/(4/(1-(2/3)e^(-100t))) A\nvalve.tau: 2 ms\n")
        shutil.copy(OLD_WORKBOOK, self.uploads / "S0012.xls")

    def commands(self) -> list[tuple[str, ...]]:
        """One call or more of every command; the first one makes what the later ones need."""
        rubric, results = str(self.rubric), str(self.folder / "results")
        return [
            ("grade", rubric, str(self.uploads), "-o", results, "--roster", str(self.roster), "--workers", "2"),
            ("try", rubric, str(self.uploads / "S0012.xls")),
            ("solve", rubric, "--html", str(self.here / "solved.html")),
            ("vet", rubric),
            ("sheet", rubric, "-o", str(self.here / "sheet.xlsx")),
            ("codes", str(self.roster), "-o", str(self.here / "codes.csv"), "--data", str(self.folder / "data")),
            ("serve", rubric, "--roster", str(self.roster), "--data", str(self.folder / "data"), "--port", "0"),
            ("audit", results),
        ]

    def run(self, *words: str, cwd: Path, **environment: str) -> None:
        """Run one command; the server is stopped when it says that it listens."""
        surroundings = {
            **os.environ,
            "XDG_CACHE_HOME": str(self.folder / "cache"),
            "GRADER_PASSPHRASE": "a long enough one",
        }
        surroundings.pop("PYTHONPATH", None)
        process = subprocess.Popen(
            [sys.executable, str(self.folder / "bin" / "grader"), *words],
            cwd=cwd, env={**surroundings, **environment}, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        if words[0] == "serve":
            assert any(line.startswith("Ctrl-C") for line in process.stdout), process.stderr.read()
            process.terminate()
        _, told = process.communicate(timeout=120)
        assert words[0] == "serve" or process.returncode == 0, (words, told)


@pytest.fixture(scope="module")
def imported(tmp_path_factory) -> set[str]:
    """The names of all modules that any process of any command looks for."""
    place = Place(tmp_path_factory.mktemp("honest"))
    library = place.folder / "library"
    library.mkdir()
    (library / "sitecustomize.py").write_text(LISTENING)
    names = place.folder / "imported"
    for words in place.commands():
        if words[0] in FEW:
            place.run(*words, cwd=place.here, PYTHONPATH=str(library), IMPORTED=str(names))
    return {name for name in names.read_text().split() if name.isidentifier()} - {"grader"}


def plant(folder: Path, names: set[str], marker: Path) -> None:
    for name in names:
        (folder / f"{name}.py").write_text(f"open({str(marker)!r}, 'a').write('{name} in {folder.name}\\n')\n")


def all_planted(imported: set[str], folder: Path) -> tuple[Place, Path]:
    """Every name that is imported as a file in each of the folders, and the file that any of these would write."""
    assert {"selectors", "numpy", "sympy", "multiprocessing", "python_calamine", "uvicorn", "flint"} <= imported
    place, marker = Place(folder), folder / "marker"
    for one in ("here", "uploads", "rubric", "results"):
        plant(place.folder / one, {*imported, "sitecustomize", "usercustomize"}, marker)
    return place, marker


def test_a_file_named_like_a_library_is_not_run(imported, tmp_path):
    place, marker = all_planted(imported, tmp_path)
    for words in place.commands():
        if words[0] in FEW:
            place.run(*words, cwd=place.uploads)
    assert not marker.exists(), marker.read_text()


@pytest.mark.nightly
@pytest.mark.parametrize("where", ["here", "uploads", "rubric", "results"])
def test_nor_by_any_command_from_any_folder(imported, where, tmp_path):
    place, marker = all_planted(imported, tmp_path)
    for words in place.commands():
        place.run(*words, cwd=place.folder / where)
    assert not marker.exists(), marker.read_text()


@pytest.mark.parametrize("entry", ["", "{here}"])
def test_nor_where_the_search_path_names_the_current_folder(imported, entry, tmp_path):
    """What Python itself loads, or looks for, before any program begins is not ours to keep out."""
    place, marker = Place(tmp_path), tmp_path / "marker"
    plant(place.here, {name for name in imported - early_names() if find_spec(name)}, marker)
    path = f"{entry.format(here=place.here)}{os.pathsep}{place.folder / 'other'}"
    place.run(*place.commands()[1], cwd=place.here, PYTHONPATH=path)
    assert not marker.exists(), marker.read_text()


def early_names() -> set[str]:
    """What Python loads before the first line of a program."""
    program = "import sys; print(*sys.modules)"
    told = subprocess.run([sys.executable, "-P", "-c", program], capture_output=True, text=True, check=True)
    return {name.partition(".")[0] for name in told.stdout.split()} | {"sitecustomize", "usercustomize"}


def test_the_workers_of_another_program_find_what_it_finds():
    """The path that a program gave itself is passed on; what is relative in it is not."""
    code = (
        "import sys; sys.path += ['', 'here', '/somewhere']\n"
        "from grader.jobs.safe_path import command; print(command('x')[-1])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT).stdout
    assert "'/somewhere'" in told
    assert "''" not in told
    assert "'here'" not in told
