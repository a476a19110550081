"""What a look at the command costs, and what it says of itself."""

import subprocess
import sys

import pytest

from tests.cli.conftest import Run

COMMANDS = (
    "propose",
    "record",
    "next",
    "pending",
    "card",
    "import",
    "template",
    "fit",
    "matters",
    "score",
    "drift",
    "care",
    "translate",
    "trials",
    "history",
    "correct",
    "withdraw",
    "export",
    "copy",
    "check",
    "machine",
    "demo",
    "serve",
)
HEAVY = {"pandas", "streamlit", "great_expectations", "sklearn", "scipy", "numpy", "sqlalchemy", "altair", "fpdf", "fontTools"}


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys\nfrom recommender.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "print('imported:', *{name.partition('.')[0] for name in sys.modules})"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    imported = set(told.stdout.rpartition("imported:")[2].split())
    assert "typer" in imported
    assert imported & HEAVY == set()


def test_help_lists_exactly_the_promised_commands(run: Run) -> None:
    from recommender.cli.app import app

    named = {command.name for command in app.registered_commands} | {group.name for group in app.registered_groups}
    assert named == set(COMMANDS)
    assert all(command in run("--help").out for command in COMMANDS)


@pytest.mark.parametrize("command", [*COMMANDS, "machine add", "machine list", "machine show"])
def test_every_command_explains_itself_with_an_example(run: Run, command: str) -> None:
    told = run(*command.split(), "--help")
    assert told.status == 0
    assert f"Example: overedge {command}" in " ".join(told.out.split())


@pytest.mark.parametrize("command", [*(c for c in COMMANDS if c != "machine"), "machine add", "machine list", "machine show"])
def test_every_command_takes_json(run: Run, command: str) -> None:
    assert "--json" in run(*command.split(), "--help").out


@pytest.mark.parametrize("arguments", [["bogus"], ["propose"], ["propose", "--bogus"], ["record", "--stitch"], []])
def test_wrong_usage_ends_with_status_2(run: Run, arguments: list[str]) -> None:
    assert run(*arguments).status == 2


def test_the_module_is_the_command() -> None:
    told = subprocess.run([sys.executable, "-m", "recommender", "--help"], capture_output=True, text=True, check=True)
    assert "Usage: overedge" in told.stdout
