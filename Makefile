# Treenail's commands. `make bench` builds the example; `make test` runs every check.
#
# The virtual environment is made once and brought up to date only when pyproject.toml or
# constraints.txt changes (the two stamps inside it say when that was last done).

PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
JOBS   ?= 2

PIP_INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt
# Without isolation, so that the build too uses the pinned setuptools. Setuptools warns at every
# editable install that a folder may have the name of the package: here none has.
EDITABLE    := PYTHONWARNINGS=ignore $(PIP_INSTALL) --no-build-isolation --editable

.PHONY: help bench test lint types pytest deep format constraints wheel clean distclean

help:
	@echo "make bench   install, and build examples/skerry-point.yaml into out/"
	@echo "make test    lint, types and tests (what CI runs)"
	@echo "make lint | types | pytest   one of the three"
	@echo "make deep    the long tests that 'make test' leaves out"
	@echo "make format  lay out the code and mend what ruff can mend"
	@echo "make wheel   build dist/treenail-*.whl"
	@echo "make clean   remove what was built (distclean: the virtual environment too)"

bench: $(VENV)/.installed
	$(BIN)/treenail build examples/skerry-point.yaml -o out

test: lint types pytest

lint: $(VENV)/.installed-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(VENV)/.installed-test
	$(BIN)/python scripts/typetree.py
	$(BIN)/mypy -n $(JOBS) -p treenail -p tests -p scripts

pytest: $(VENV)/.installed-test
	$(BIN)/python -m pytest -n $(JOBS) --dist worksteal

deep: $(VENV)/.installed-test
	TREENAIL_HYPOTHESIS=deep $(BIN)/python -m pytest -n $(JOBS) --dist worksteal -m "deep or not deep"

format: $(VENV)/.installed-test
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

wheel: $(VENV)/.installed-test
	$(BIN)/python -m build --wheel --no-isolation

# Pin what is installed now, after a deliberate upgrade.
constraints: $(VENV)/.installed-test
	{ sed -n '/^#/p' constraints.txt; \
	  $(BIN)/python -m pip freeze --all --exclude-editable --exclude treenail; } > constraints.new
	mv constraints.new constraints.txt
	touch $(VENV)/.installed $(VENV)/.installed-test

$(BIN)/python:
	@$(PYTHON) scripts/system_needs.py
	$(PYTHON) -m venv $(VENV)

$(VENV)/.installed: pyproject.toml constraints.txt | $(BIN)/python
	@$(BIN)/python scripts/system_needs.py
	$(PIP_INSTALL) pip setuptools wheel
	$(EDITABLE) .
	@touch $@

$(VENV)/.installed-test: pyproject.toml constraints.txt | $(BIN)/python
	@$(BIN)/python scripts/system_needs.py
	$(PIP_INSTALL) pip setuptools wheel
	$(EDITABLE) ".[test]"
	@touch $(VENV)/.installed $@

clean:
	rm -rf build dist out *.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis
	find . -name __pycache__ -not -path './$(VENV)/*' -prune -exec rm -rf {} +

distclean: clean
	rm -rf $(VENV)
