# Everything runs from a fresh clone: each target first makes what it needs.

SHELL := bash
BIN := .venv/bin
PORT := 8501

# Small fits run many times slower when every one of them starts a thread per core.
export OMP_NUM_THREADS := 1
export OPENBLAS_NUM_THREADS := 1

# Hundreds of short processes start here: each would compile the whole package for itself.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: help test check demo pictures slow bench race lock clean services
.DELETE_ON_ERROR:

help:  ## list the targets
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "make %-8s %s\n", $$1, $$2 }' $(MAKEFILE_LIST)

.make/setup: requirements.lock pyproject.toml .ci/setup
	.ci/setup
	@mkdir -p .make && touch $@

services:
	.ci/services

check: .make/setup  ## linters, types and floors
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

test: check services  ## the whole test run: checks, doctests, README, unit, browser and database tests
	$(BIN)/pytest --numprocesses auto --maxprocesses 4 --dist loadfile

slow: .make/setup  ## statistical claims by simulation, minutes long
	$(BIN)/pytest -m slow

bench: .make/setup services  ## median times: the studio with 2000 trials logged, every page in the browser with 5000
	$(BIN)/python -m tests.benchmarks.bench_studio
	$(BIN)/python -m tests.benchmarks.bench_pages

race: .make/setup  ## our model against six rivals on two simulated studios, 30 minutes at most; its tables go into models/README.md
	$(BIN)/python -m tests.benchmarks.race

demo: .make/setup  ## the dashboard with the invented demo studio on 127.0.0.1:8501
	$(BIN)/overedge demo --port $(PORT)

pictures: .make/setup services  ## the dashboard's screens anew, into dashboard/pictures, minutes long
	$(BIN)/python -m tests.dashboard.pictures

lock: .make/setup  ## write requirements.lock anew from pyproject.toml
	python=$$(readlink -f $(BIN)/python) && "$$python" -m venv .make/uv && .make/uv/bin/pip install --quiet uv
	.make/uv/bin/uv pip compile --quiet --universal --generate-hashes --python-version 3.11 --no-annotate --no-header \
	  --extra dev --extra postgres --output-file requirements.lock pyproject.toml

clean:  ## remove everything that make made
	rm -rf .venv .make build dist test-results .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
