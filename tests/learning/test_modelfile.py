"""Model files: whole or not at all, no pickle ever, each fault its own sentence."""

import json

import numpy as np
import pytest

from recommender.errors import ModelFileDamaged, ModelFileForeign, ModelFileMissing, ModelFileOutdated
from recommender.learning.modelfile import ModelFile, load, save

CONTENT = ModelFile({"b": np.arange(3.0), "a": np.eye(2)}, {"trials": 3, "name": "Grüne Stube"})


@pytest.fixture
def path(tmp_path):
    save(tmp_path / "model", CONTENT)
    return tmp_path / "model"


def test_what_was_saved_is_loaded(path):
    found = load(path)
    assert found.facts == CONTENT.facts
    assert sorted(found.arrays) == ["a", "b"]
    assert np.array_equal(found.arrays["b"], CONTENT.arrays["b"])


def test_the_same_content_gives_the_same_bytes(path, tmp_path):
    save(tmp_path / "again", CONTENT)
    assert path.with_suffix(".npz").read_bytes() == (tmp_path / "again.npz").read_bytes()
    assert path.with_suffix(".json").read_bytes() == (tmp_path / "again.json").read_bytes()
    assert sorted(file.name for file in tmp_path.iterdir()) == ["again.json", "again.npz", "model.json", "model.npz"]


def test_a_name_with_dots_keeps_them(tmp_path):
    save(tmp_path / "our.room-model", CONTENT)
    save(tmp_path / "our.shed-model", CONTENT)
    assert len(list(tmp_path.iterdir())) == 4
    assert load(tmp_path / "our.room-model").facts == CONTENT.facts


def test_a_missing_file(path, tmp_path):
    with pytest.raises(ModelFileMissing, match=r"nothing\.json: there is none; it is rebuilt from the log"):
        load(tmp_path / "nothing")
    path.with_suffix(".npz").unlink()
    with pytest.raises(ModelFileMissing, match=r"model\.npz"):
        load(path)


def test_a_damaged_file(path):
    packed = bytearray(path.with_suffix(".npz").read_bytes())
    packed[60] ^= 1
    path.with_suffix(".npz").write_bytes(packed)
    with pytest.raises(ModelFileDamaged, match="bytes are not those that were written"):
        load(path)
    path.with_suffix(".json").write_bytes(b"\xff{")
    with pytest.raises(ModelFileDamaged, match="not json"):
        load(path)


def test_another_layout_and_another_kind_of_file(path):
    facts = json.loads(path.with_suffix(".json").read_text())
    path.with_suffix(".json").write_text(json.dumps(facts | {"schema": 99}))
    with pytest.raises(ModelFileOutdated, match="got layout 99, expected 1"):
        load(path)
    path.with_suffix(".json").write_text(json.dumps(["a list"]))
    with pytest.raises(ModelFileForeign, match="another kind"):
        load(path)


def test_a_pickle_in_the_arrays_is_never_run(path, tmp_path):
    """A file with the right checksum still cannot run code: object arrays are refused by numpy itself."""

    class Bomb:
        def __reduce__(self):
            return (tmp_path.joinpath("exploded").write_text, ("boom",))

    import hashlib

    np.savez(path.with_suffix(".npz"), a=np.array([Bomb()], dtype=object), allow_pickle=True)
    facts = json.loads(path.with_suffix(".json").read_text())
    digest = hashlib.sha256(path.with_suffix(".npz").read_bytes()).hexdigest()
    path.with_suffix(".json").write_text(json.dumps(facts | {"sha256": digest}))
    with pytest.raises(ModelFileDamaged):
        load(path)
    assert not tmp_path.joinpath("exploded").exists()
