"""What was said by other code, or from other tables, is not taken for what this code would say."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from recommender.advice.scoring import ledger_file, sources
from recommender.advice.scoring.ledger import Ledger
from recommender.advice.scoring.sources import MODULES, TABLES, digest
from recommender.errors import ModelFileOutdated

SPARED = {
    "advice.words",  # how controls are spoken of
    "errors",
    "swatches.trial",  # what a trial may be; what the model reads of it is in the row that is part of the fingerprint
    "trade.names",  # what is said of an unknown name
    "trade.tables",  # where the tables are found
}
LOOK = """
import sys
from pathlib import Path
import recommender.advice.scoring.replay
names = sorted(name for name in sys.modules if name.startswith("recommender."))
print(*(name.removeprefix("recommender.") for name in names if Path(sys.modules[name].__file__).name != "__init__.py"))
"""


def test_every_module_that_the_replay_imports_is_in_the_digest_or_is_spared_for_a_reason():
    run = subprocess.run([sys.executable, "-c", LOOK], capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2])
    assert set(run.stdout.split()) == {*MODULES, *SPARED}, "name a new module in MODULES of scoring/sources.py, or spare it here"


def test_every_table_that_the_model_reads_is_in_the_digest():
    package = Path(sources.__file__).parents[2]
    texts = [package.joinpath(*name.split(".")).with_suffix(".py").read_text(encoding="utf-8") for name in MODULES]
    asked = [argument for text in texts for argument in re.findall(r"\btable\((.*?)\)", text)]
    assert sorted(asked) == sorted(f'"{name}"' for name in TABLES)


def test_a_change_of_one_letter_changes_the_digest_and_the_ends_of_lines_do_not(tmp_path):
    one, other = tmp_path / "a.py", tmp_path / "b.py"
    one.write_bytes(b"x = 1\ny = 2\n")
    other.write_bytes(b"z = 3\n")
    before = digest((one, other))
    one.write_bytes(b"x = 1\r\ny = 2\r\n")
    assert digest((one, other)) == before
    one.write_bytes(b"x = 1\ny = 3\n")
    assert digest((one, other)) != before
    one.write_bytes(b"x = 1\ny = 2\n")
    assert digest((one, other)) == before
    assert digest((other, one)) != before


def test_a_score_kept_by_other_code_is_not_used(tmp_path, monkeypatch):
    whole = Ledger()
    ledger_file.keep_ledger(tmp_path / "score", whole, {})
    kept = ledger_file.load(tmp_path / "score")
    ledger_file.known_ledger(kept, (), {})
    monkeypatch.setattr(ledger_file, "model_version", lambda: "another")
    with pytest.raises(ModelFileOutdated, match="another log or model"):
        ledger_file.known_ledger(kept, (), {})


def test_the_sources_are_there_and_the_digest_is_one_of_all_of_them():
    assert len(sources.model_version()) == 64
    assert len(set(MODULES)) == len(MODULES)
