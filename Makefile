# Everything a fresh machine needs is Python 3.11 or newer and make.
# Each target first makes the virtual environment .venv when it is missing, and says so.

PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin

.PHONY: demo page test test-all test-ci fuzz samples benchmarks docs clean

demo: $(VENV)/.ready
	@echo "Making the main sample into output/ ..."
	$(BIN)/cutplan demo -o output

page: $(VENV)/.ready
	@echo "Opening the page in the browser; jobs are kept in output/ ..."
	$(BIN)/cutplan page --folder output

test: $(VENV)/.ready-test
	@echo "Style, types, then the fast tests (about three minutes on two cores) ..."
	$(BIN)/ruff check cutplan tests benchmarks
	$(BIN)/ruff format --check cutplan tests benchmarks
	$(BIN)/mypy
	$(BIN)/python -m pytest -m "not slow" -n 2 -rs

test-all: $(VENV)/.ready-test
	@echo "All tests, slow ones too (up to about an hour) ..."
	$(BIN)/ruff check cutplan tests benchmarks
	$(BIN)/ruff format --check cutplan tests benchmarks
	$(BIN)/mypy
	$(BIN)/python -m pytest -n 2 --durations=15 -rs

# Rooms whose slow tests fit into the half hour of a run on every change; `make test-all` runs those of all rooms.
SLOW_ROOMS := tests/meta tests/browser tests/roundtrip tests/published tests/unit/geometry tests/unit/cutting tests/unit/templates

test-ci: test
	@echo "Slow tests of $(SLOW_ROOMS) ..."
	$(BIN)/python -m pytest -m slow -n 2 --durations=15 -rs $(SLOW_ROOMS)

MINUTES ?= 10
SEED    ?= 100000

fuzz: $(VENV)/.ready-test
	@echo "Damaged drawings for $(MINUTES) minutes from seed $(SEED) ..."
	CUTPLAN_FUZZ_MINUTES=$(MINUTES) CUTPLAN_FUZZ_SEED=$(SEED) $(BIN)/python -m pytest -s -k as_long_as_is_asked tests/fuzz

docs: $(VENV)/.ready-test
	$(BIN)/python -m mkdocs build --site-dir output/site

samples: $(VENV)/.ready
	@for job in sample_parts/*/job.toml; do \
	  name=$$(basename $$(dirname $$job)); $(BIN)/cutplan make $$job -o output/$$name || exit 1; done

benchmarks: $(VENV)/.ready-test
	@for b in benchmarks/*.py; do echo "== $$b"; $(BIN)/python $$b || exit 1; done

$(VENV)/.ready: pyproject.toml
	@echo "Making a virtual environment in $(VENV) and installing cutplan with what it runs on (once) ..."
	$(PYTHON) -c "import sys; sys.exit(0 if sys.version_info >= (3, 11) else 'cutplan needs Python 3.11 or newer; call: make PYTHON=python3.11')"
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	@touch $@

$(VENV)/.ready-test: $(VENV)/.ready pyproject.toml
	@echo "Adding the tools that the tests need (once) ..."
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e ".[test]"
	@touch $@

clean:
	rm -rf $(VENV) build *.egg-info .pytest_cache .mypy_cache .ruff_cache
