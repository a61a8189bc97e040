"""Set everything up and run every check: `python3 tests/run.py [arguments for pytest]`.

Needs Python 3.11 and nothing else: packages go into .venv; a browser, a spreadsheet and a compiler
of C come from the system.
"""

import hashlib
import os
import re
import shutil
import subprocess
import sys
from ctypes.util import find_library
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "set-up-for-tests"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
SPREADSHEETS = ("soffice", "libreoffice")
COMPILERS = ("cc", "gcc")
ADDRESS = re.compile(r"\w+://\S+|host='[^']*'")


def main(pytest_arguments: list[str]) -> int:
    if sys.version_info < (3, 11):  # noqa: UP036  so that an older Python is told why
        sys.exit(f"Python 3.11 or later is needed; this is {sys.version.split()[0]}.")
    set_up_packages()
    set_up_program("browser", BROWSERS, "chromium")
    set_up_program("spreadsheet", SPREADSHEETS, "libreoffice-calc-nogui", "--no-install-recommends")
    set_up_program("power cut", COMPILERS, "gcc", "libc6-dev")
    set_up_library("PDF", "pango-1.0", "libpango-1.0-0", "libpangoft2-1.0-0")
    checks = [
        ["ruff", "check", "."],
        ["mypy"],
        ["pytest", *pytest_arguments],
    ]
    codes = [check(arguments) for arguments in checks]
    return next((code for code in codes if code), 0)


def set_up_packages() -> None:
    """Install the project and what its tests use, unless that was done for this pyproject.toml."""
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    if STAMP.is_file() and STAMP.read_text() == wanted:
        return
    print("Setting up .venv; the first time this takes a minute or two …", flush=True)
    if not PYTHON.exists() or not _has_pip():
        quietly(
            [sys.executable, "-m", "venv", str(VENV)],
            "Python could not make .venv. On Debian: apt-get install python3-venv",
        )
    quietly(
        [
            str(PYTHON),
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "-e",
            ".[test]",
        ],
        "The packages could not be installed. Is the machine online, or pip told of a folder "
        "of wheels (PIP_NO_INDEX=1 PIP_FIND_LINKS=FOLDER)?",
    )
    STAMP.write_text(wanted)


def _has_pip() -> bool:
    return subprocess.run([PYTHON, "-m", "pip", "--version"], capture_output=True).returncode == 0


def find_browser() -> str:
    """Return the path of the system's Chromium, or nothing where it has none."""
    return find(BROWSERS)


def find_spreadsheet() -> str:
    """Return the path of a spreadsheet that works without a screen, or nothing."""
    return find(SPREADSHEETS)


def find_compiler() -> str:
    """Return the path of a compiler of C, or nothing."""
    return find(COMPILERS)


def find(names: tuple[str, ...]) -> str:
    return next(filter(None, map(shutil.which, names)), "")


def set_up_program(what: str, names: tuple[str, ...], package: str, *options: str) -> None:
    """Make sure of a program of the system, installing Debian's where that is possible."""
    if find(names):
        return
    install(what, *options, package)
    if not find(names):
        sys.exit(
            f"The {what} tests need one of these, and none was found: {', '.join(names)}.\n"
            f"Install it (on Debian, as root: apt-get install {package}), then run this again."
        )


def set_up_library(what: str, name: str, *packages: str) -> None:
    """Make sure of a library of the system, installing Debian's where that is possible."""
    if find_library(name):
        return
    install(what, *packages)
    if not find_library(name):
        sys.exit(
            f"The {what} tests need the library {name}, which was not found.\n"
            f"Install it (on Debian, as root: apt-get install {' '.join(packages)}), then run "
            "this again."
        )


def install(what: str, *packages: str) -> None:
    """Install packages of Debian, where that is possible."""
    apt = shutil.which("apt-get")
    if not apt or not hasattr(os, "geteuid") or os.geteuid() != 0:
        return
    print(f"Installing {packages[-1]} for the {what} tests …", flush=True)
    os.environ["DEBIAN_FRONTEND"] = "noninteractive"
    trouble = f"apt-get could not install {packages[-1]}."
    quietly([apt, "-qq", "update"], trouble)
    quietly([apt, "-qq", "install", "-y", *packages], trouble)


def quietly(command: list[str], trouble: str) -> None:
    """Run a command; where it fails, show what it said, without addresses, and stop."""
    ran = subprocess.run(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    if ran.returncode:
        print(ADDRESS.sub("(address)", ran.stdout))
        sys.exit(trouble)


def check(arguments: list[str]) -> int:
    print(f"\n$ {' '.join(arguments)}", flush=True)
    return subprocess.run([PYTHON, "-m", *arguments], cwd=ROOT).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
