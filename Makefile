# Everything runs in .venv, made here; nothing is installed outside this folder.
PYTHON ?= python3
BIN := .venv/bin
DEMO := routes/cape-town-st-helena

.PHONY: demo test quick check lint types bench golden mutants fuzz lowest clean

demo: .venv/installed            ## install, sail the demo voyage, write the printed plan
	$(BIN)/passage plan $(DEMO) --out demo-plan.pdf

test: .venv/tested               ## install what the tests need and run them
	PYTHONDONTWRITEBYTECODE= $(BIN)/python -m pytest --numprocesses auto --dist worksteal

quick: .venv/tested             ## a verdict on what differs from the last commit, in under 40 seconds
	$(BIN)/python -m tests.quick

check: lint types test           ## what CI runs

lint: .venv/tested
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: .venv/tested
	$(BIN)/mypy

bench: .venv/tested              ## benchmarks with their peers; never part of the tests
	$(BIN)/python -m pytest --benchmark-only --benchmark-columns=min,median,max,rounds
	$(BIN)/python -m benchmarks.speeds

mutants: .venv/tested           ## break the models in 200 places, one by one, and see what no test notices; hours
	$(BIN)/python -m tests.mutants

fuzz: .venv/tested              ## 1,500 broken voyages, every file and every command, each in a process with bounds
	$(BIN)/python -m tests.fuzz --cases 1500

lowest:                         ## the demonstration with the lowest of everything, and with the newest on every Python there is
	$(PYTHON) -m tests.lowest
	$(PYTHON) -m tests.lowest --newest

golden: .venv/tested             ## rewrite the golden plans; read the diff before committing
	$(BIN)/python -m tests.golden

clean:
	rm -rf .venv demo-plan.pdf

.venv/installed: pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	touch $@

.venv/tested: pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[test]'
	touch $@ .venv/installed
