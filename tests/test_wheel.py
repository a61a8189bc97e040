"""The wheel, installed elsewhere, has all it needs: pages, static files, migrations, demo data."""

import json
import os
import socket
import subprocess
import sys
import sysconfig
import time
import urllib.request
import venv
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of commands of a new environment that holds the wheel."""
    folder = tmp_path_factory.mktemp("wheel")
    _run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT)
    (wheel,) = folder.glob("*.whl")
    home = folder / "environment"
    venv.create(home)
    commands = home / "bin"
    _run(sys.executable, "-m", "pip", f"--python={commands / 'python'}", "install",
         "--quiet", "--no-deps", wheel)  # fmt: skip
    # Dependencies are borrowed from the environment of this test, so that nothing is downloaded.
    # A .pth file adds the folder alone: the link to the checkout in it is itself a .pth file,
    # which is not read there, so `app` can only be the wheel's.
    (site,) = home.glob("lib/python*/site-packages")
    (site / "dependencies.pth").write_text(sysconfig.get_path("purelib"))
    return commands


def _run(*command: str | Path, **options: object) -> str:
    ran = subprocess.run(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **options
    )
    assert ran.returncode == 0, ran.stdout
    return ran.stdout


def _alone(**settings: str) -> dict[str, str]:
    """The environment without what could lead back to the checkout."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("LEDGER_", "PYTHON"))
    }
    return kept | settings


@pytest.fixture(scope="module")
def address(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the installed command serves its demonstration, from a folder of its own."""
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = elsewhere / "log"
    with log.open("w") as output:
        server = subprocess.Popen(
            [installed / "mill-ledger", "demo"],
            cwd=elsewhere, env=_alone(LEDGER_PORT=str(port)), stdout=output, stderr=output,
        )  # fmt: skip
    try:
        _wait_for(f"http://127.0.0.1:{port}/health", server, log)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(10)


def _wait_for(address: str, server: subprocess.Popen[bytes], log: Path) -> None:
    deadline = time.monotonic() + 90
    while time.monotonic() < deadline and server.poll() is None:
        try:
            urllib.request.urlopen(address, timeout=5).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"the installed ledger does not answer: {log.read_text()}")


def _fetched(address: str) -> str:
    with urllib.request.urlopen(address, timeout=10) as answer:
        return answer.read().decode()


@pytest.mark.parametrize("name", ["templates", "static", "migrations", "demo_data"])
def test_files_come_from_the_wheel(installed: Path, tmp_path: Path, name: str) -> None:
    asked = f"from app.settings import shared; print(shared('{name}'))"
    said = _run(installed / "python", "-c", asked, cwd=tmp_path, env=_alone()).strip()
    assert Path(said).is_relative_to(installed.parent)
    assert said.endswith(f"/app/_shared/{name}")


def test_it_serves_a_page(address: str) -> None:
    assert 'name="password"' in _fetched(f"{address}/sign-in")


def test_it_serves_static_files(address: str) -> None:
    (script,) = (ROOT / "static").glob("words.js")
    assert _fetched(f"{address}/static/{script.name}") == script.read_text()


def test_it_draws_pictures(installed: Path, tmp_path: Path) -> None:
    asked = "from app.pictures.lines import *; print(lines('ab', [Series('s', [1, 2])], 't').wide)"
    said = _run(installed / "python", "-c", asked, cwd=tmp_path, env=_alone())
    assert said.startswith("<svg ")
    assert "</svg>" in said


def test_it_computes_without_a_database(installed: Path, tmp_path: Path) -> None:
    document = '{"measures": {"mixed_juice_brix": 14, "mixed_juice_pol": "11,9"}}'
    answer = _run(
        installed / "mill-ledger", "compute", "-", input=document, cwd=tmp_path, env=_alone()
    )
    purity = json.loads(answer)["figures"]["mixed_juice_purity"]
    assert purity["value"] == pytest.approx(85)
    assert not list(tmp_path.iterdir())
