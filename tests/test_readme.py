"""The README's examples run as they stand: each block of a kind in order, in one folder."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def in_folder(folder: Path) -> dict[str, str]:
    here = str(Path(sys.executable).parent)
    return {**os.environ, "PATH": f"{here}{os.pathsep}{os.environ['PATH']}", "HOME": str(folder), "XDG_DATA_HOME": str(folder / "data")}


def test_there_is_one_python_example_and_one_shell_example_of_about_ten_lines() -> None:
    for kind in ("python", "sh"):
        [block] = blocks(kind)
        assert 8 <= len(block.splitlines()) <= 14


def test_the_python_example_runs(tmp_path: Path) -> None:
    [block] = blocks("python")
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", block], cwd=tmp_path, env=in_folder(tmp_path), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip()


def test_the_shell_example_runs(tmp_path: Path) -> None:
    [block] = blocks("sh")
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", block], cwd=tmp_path, env=in_folder(tmp_path), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_make_target_and_file_named_exists(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), flags=re.MULTILINE))
    assert set(re.findall(r"\bmake ([a-z]+)\b(?=`|$| {2})", text, flags=re.MULTILINE)) <= targets
    linked = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    assert [link for link in linked if not (ROOT / link).exists()] == []
