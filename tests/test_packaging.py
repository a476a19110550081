"""The wheel, in an environment that holds it and its run-time requirements and nothing else."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
import venv
from collections.abc import Iterator
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]


def runtime_distributions() -> list[Distribution]:
    """What the package needs to run, directly or not, as it is installed here."""
    found: dict[str, Distribution] = {}
    waiting = [Requirement("overedge")]
    while waiting:
        wanted = waiting.pop()
        if (key := f"{canonicalize_name(wanted.name)}{sorted(wanted.extras)}") in found:
            continue
        found[key] = distribution(wanted.name)
        inner = [Requirement(text) for text in found[key].requires or ()]
        waiting += [r for r in inner if r.marker is None or any(r.marker.evaluate({"extra": extra}) for extra in ("", *wanted.extras))]
    return [needed for key, needed in found.items() if key != "overedge[]"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "--no-index",
        "-w",
        str(folder),
        str(ROOT),
    ]
    subprocess.run(command, check=True)
    [built] = folder.glob("overedge-*.whl")
    return built


@pytest.fixture(scope="module")
def environment(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A virtual environment with the wheel and links to the run-time requirements; neither the checkout nor a test tool is in it."""
    folder = tmp_path_factory.mktemp("clean")
    venv.create(folder, with_pip=False, symlinks=True)
    [site] = folder.glob("lib/python*/site-packages")
    for needed in runtime_distributions():
        roots = {Path(file.parts[0]) for file in needed.files or () if file.parts[0] != ".." and file.suffix != ".pth"}
        for root in roots - {Path("__pycache__")}:
            if not (link := site / root).exists():
                link.symlink_to(Path(str(needed.locate_file(root))))
    python = folder / "bin" / "python"
    install = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", "--no-deps", "--no-index", str(wheel)]
    subprocess.run(install, check=True)
    return folder


def quiet_home(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "OVEREDGE", "XDG"))}
    return {**kept, "HOME": str(folder)}


def test_the_environment_holds_the_wheel_and_not_the_checkout(environment: Path, tmp_path: Path) -> None:
    code = "import recommender, importlib.util as u; print(recommender.__file__, u.find_spec('pytest'), u.find_spec('hypothesis'))"
    told = subprocess.run(
        [environment / "bin/python", "-c", code], cwd=tmp_path, env=quiet_home(tmp_path), capture_output=True, text=True, check=True
    )
    file, *others = told.stdout.split()
    assert Path(file).is_relative_to(environment)
    assert others == ["None", "None"]


def test_the_wheel_carries_tables_model_and_dashboard(environment: Path) -> None:
    [package] = environment.glob("lib/python*/site-packages/recommender/_share")
    for folder in ("data", "models", "dashboard"):
        kept = {path.relative_to(ROOT) for path in (ROOT / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts}
        packed = {path.relative_to(package) for path in (package / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts}
        assert packed == {path for path in kept if (folder == "dashboard" or path.suffix != ".py") and path.parent.name != "pictures"}
        assert packed


def test_the_command_helps(environment: Path, tmp_path: Path) -> None:
    told = subprocess.run(
        [environment / "bin/overedge", "--help"], cwd=tmp_path, env=quiet_home(tmp_path), capture_output=True, text=True, check=False
    )
    assert told.returncode == 0, told.stderr
    assert "propose" in told.stdout


def test_the_first_page_is_drawn_from_the_wheel(environment: Path, tmp_path: Path) -> None:
    code = """
from streamlit import config
from streamlit.testing.v1 import AppTest
from recommender.trade.tables import share
config.set_option("client.showErrorDetails", "full")
page = AppTest.from_file(str(share("dashboard") / "app.py"), default_timeout=60).run()
assert not page.exception, page.exception
print([title.value for title in page.title])
"""
    studio = {"OVEREDGE_STUDIO": str(tmp_path / "studio.sqlite"), "PYTHONPATH": ""}
    command = [environment / "bin/python", "-c", code]
    told = subprocess.run(command, cwd=tmp_path, env=quiet_home(tmp_path) | studio, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert "New fabric" in told.stdout


@pytest.fixture
def demo(environment: Path, tmp_path: Path, free_port: int) -> Iterator[tuple[str, subprocess.Popen[bytes], Path]]:
    log = tmp_path / "log"
    with log.open("wb") as output:
        command = [environment / "bin/overedge", "demo", "--port", str(free_port)]
        process = subprocess.Popen(command, cwd=tmp_path, env=quiet_home(tmp_path), stdout=output, stderr=subprocess.STDOUT)
        yield f"http://127.0.0.1:{free_port}/_stcore/health", process, log
        process.terminate()
        process.wait(timeout=20)


def test_the_demo_answers_on_its_health_address(demo: tuple[str, subprocess.Popen[bytes], Path]) -> None:
    address, process, log = demo
    end = time.monotonic() + 90
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                assert answer.status == 200
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    pytest.fail(f"no answer from {address}; the demo said:\n{log.read_text(errors='replace')}")
