# Two commands matter: `make demo` runs the main job, `make test` proves it.
# Both set up their own environment in .venv first.

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin

.PHONY: demo test check trial bench clean

demo: $(VENV)/ready
	$(BIN)/linkwright demo --out demo-plan --force

test: $(VENV)/ready check
	$(BIN)/python -m pytest -n 2

check: $(VENV)/ready
	$(BIN)/ruff check src tests benchmarks scripts
	$(BIN)/ruff format --check src tests benchmarks scripts
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python scripts/check_links.py
	$(BIN)/python scripts/write_command_pages.py --check
	$(BIN)/python scripts/write_nomenclature.py --check
	$(BIN)/python scripts/write_messages.py --check
	$(BIN)/python scripts/write_lives.py --check

trial: $(VENV)/ready
	$(BIN)/python scripts/trial.py

bench: $(VENV)/ready
	$(BIN)/python benchmarks/run.py

$(VENV)/ready: requirements/all.txt pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/all.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

clean:
	rm -rf $(VENV) demo-plan .trial .pytest_cache .mypy_cache .ruff_cache
