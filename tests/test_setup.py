"""Setting up from nothing, where something is missing."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def run_script(name: str, tmp_path: Path, tools: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Run a copy of a script of .ci with nothing on the path but these tools and `dirname`."""
    (tmp_path / ".ci").mkdir()
    script = shutil.copy(ROOT / ".ci" / name, tmp_path / ".ci")
    folder = tmp_path / "bin"
    folder.mkdir()
    (folder / "dirname").symlink_to(shutil.which("dirname") or "")
    for tool, answer in tools.items():
        (folder / tool).write_text(f"#!/bin/sh\n{answer}\n")
        (folder / tool).chmod(0o755)
    bash = shutil.which("bash") or "bash"
    return subprocess.run([bash, script], env={"PATH": str(folder)}, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("tools", [{}, {"python3.12": "exit 1", "python3": "exit 1"}], ids=["none", "too old, or a shim for none"])
def test_without_a_usable_python_setting_up_ends_in_a_sentence(tmp_path: Path, tools: dict[str, str]) -> None:
    done = run_script("setup", tmp_path, tools)
    assert done.returncode == 1
    assert done.stderr.startswith("Overedge needs Python 3.11 or newer with venv")
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / ".venv").exists()


def test_what_only_root_can_install_is_named_and_left_to_the_tests(tmp_path: Path) -> None:
    done = run_script("services", tmp_path, {"id": "echo 1000"})
    assert done.returncode == 0
    assert "chromium" in done.stderr
    assert "the tests that need them will fail" in done.stderr


def test_what_cannot_be_installed_is_named_and_left_to_the_tests(tmp_path: Path) -> None:
    done = run_script("services", tmp_path, {"id": "echo 0", "apt-get": "exit 100"})
    assert done.returncode == 0
    assert done.stderr.startswith("Could not install: chromium")


def test_the_lock_names_no_address() -> None:
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert not any(word in text for word in ("http://", "https://", "file://", "index-url", "find-links"))


@pytest.mark.parametrize("name", ["run", "setup", "services"])
def test_the_scripts_can_be_run(name: str) -> None:
    assert os.access(ROOT / ".ci" / name, os.X_OK)
