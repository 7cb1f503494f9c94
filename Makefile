# The same few commands here and in CI. Needs make and Python 3.11 or newer with venv; never asks for root.
# Works in a path with spaces and on GNU make 3.81: every path is relative, no .ONESHELL.

SHELL = /bin/sh
.DEFAULT_GOAL = help
.PHONY: demo serve test test-all check bench docs format fits strings screenshots pages lock clean help

PYTHONS = python3.13 python3.12 python3.14 python3.11 python3
PY = .venv/bin/python
UV = $(PY) -m uv
WORKERS = 2
BENCH = full
SHEETS = sheets
PORT = 8000

export UV_PYTHON_DOWNLOADS = never
export UV_LINK_MODE = copy
export PIP_DISABLE_PIP_VERSION_CHECK = 1

# ---- what a crew and a developer type ------------------------------------------------------------------------------

demo: .venv/run.stamp ## one shift from morning to noon, ending in printed sheets (the first time: set up what that needs)
	@echo "A shift, and what must not be done on it"
	@echo
	@.venv/bin/jetwright plan --short examples/shift/job.toml
	@echo
	@echo "The same noon with an old hose, a bigger tip, a gun that shuts"
	@echo
	@.venv/bin/jetwright plan --short examples/shift/not-allowed.toml; test $$? -eq 3
	@echo
	@echo "From morning to noon: what must not be left on"
	@echo
	@.venv/bin/jetwright change examples/shift/job.toml 1 2 | sed -n '1,11p'
	@echo
	@echo "At noon the gauge shows 560 bar at the proving point: what that says"
	@echo
	@.venv/bin/jetwright fit examples/shift/job.toml --task "Noon: pump footings by gun" --speed "110 rpm" --gauge "560 bar" \
		| sed -n '/^Reading/,/^What follows/{/^What follows/!p;}'
	@echo "How far its figures may be off, with what nobody measured"
	@echo
	@.venv/bin/jetwright draws examples/shift/job.toml --task "Noon: pump footings by gun" | sed -n '/^Drawn/,/^$$/p'
	@echo "Morning and afternoon side by side"
	@echo
	@.venv/bin/jetwright compare examples/shift/job.toml 1 3 | sed -n '/^A  1/,/^Engine/{/^Engine/!p;}'
	@echo
	@echo "Another yard: which tips out of its box, the most jet power first"
	@echo
	@.venv/bin/jetwright tips examples/tip-box.toml --task Culvert | sed -n '/^Most jet power/,/^   3/p'
	@echo
	@echo "A sheet a task, the shift's with a back, to print and to carry:"
	@.venv/bin/jetwright sheet examples/shift/job.toml --back --into $(SHEETS)/shift --format pdf --format png --overwrite
	@.venv/bin/jetwright sheet examples/shift/not-allowed.toml --into $(SHEETS)/not-allowed --format pdf --format png --overwrite; test $$? -eq 3
	@echo
	@echo "They lie in the folders $(SHEETS)/shift and $(SHEETS)/not-allowed."

serve: .venv/serve.stamp ## the pages, on this machine at PORT=8000 (the first time: set up what they need)
	@.venv/bin/jetwright serve --port $(PORT)

test: .venv/dev.stamp ## set up everything and run the tests (minutes), those of the pages on PostgreSQL too
	@$(PY) -m pytest -q -n $(WORKERS)
	@$(PY) -m tests.postgres $(PY) -m pytest -q -n $(WORKERS) -m "not slow and not any_database" tests/web

test-all: .venv/dev.stamp ## every test, with the large random profiles; writes docs/proof/test-all.md
	@JETWRIGHT_TIER=all JETWRIGHT_REPORT=docs/proof/test-all.md $(PY) -m pytest -q -n $(WORKERS) -m ""
	@JETWRIGHT_TIER=all $(PY) -m tests.postgres $(PY) -m pytest -q -n $(WORKERS) -m "not any_database" tests/web

check: .venv/dev.stamp ## style, types, floors, catalogues
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(PY) -m mypy
	$(PY) -c "from importlinter.cli import lint_imports_command as main; main()"
	$(PY) -m pytest -q tests/contract/test_catalogues.py

bench: .venv/bench.stamp ## benchmarks beside their peers (BENCH=quick: only prove that they run)
	@$(PY) -m benchmarks $(if $(filter quick,$(BENCH)),--quick)
	@$(PY) -m benchmarks.crowd $(if $(filter quick,$(BENCH)),--quick)

docs: .venv/dev.stamp ## build the handbook into docs/_build/html
	$(PY) -m sphinx -W -q -b html docs docs/_build/html
	@echo "docs/_build/html/index.html"

# ---- what keeps the house in order ---------------------------------------------------------------------------------

format: .venv/dev.stamp ## rewrite the code in the house style
	$(PY) -m ruff check --fix .
	$(PY) -m ruff format .

fits: .venv/dev.stamp ## make the fits of water again, from the reference equation of state
	$(PY) tools/fit_water.py

strings: .venv/dev.stamp ## collect the strings a person reads, merge and compile the catalogues
	$(PY) tests/contract/catalogues.py

screenshots: .venv/dev.stamp ## a picture of every page, as a phone, a tablet and a desk show it, into screenshots/
	$(PY) -m tools.screenshots

pages: .venv/dev.stamp ## rewrite the parts of the docs that follow from the code
	$(PY) tests/contract/pages.py

lock: .venv/.made ## choose and hash every dependency again
	$(UV) pip compile -q --universal --generate-hashes --no-header --no-annotate --python-version 3.11 --upgrade \
		pyproject.toml --extra fast --extra sheets --extra web --extra postgres --group build --group test --group check --group docs --group bench -o requirements/bench.lock
	$(UV) pip compile -q --universal --generate-hashes --no-header --no-annotate --python-version 3.11 --upgrade \
		pyproject.toml --extra fast --extra sheets --extra web --extra postgres --group build --group test --group check --group docs -c requirements/bench.lock -o requirements/dev.lock
	$(UV) pip compile -q --universal --generate-hashes --no-header --no-annotate --python-version 3.11 --upgrade \
		pyproject.toml --extra sheets --group build -c requirements/bench.lock -o requirements/run.lock
	$(UV) pip compile -q --universal --generate-hashes --no-header --no-annotate --python-version 3.11 --upgrade \
		pyproject.toml --extra sheets --extra web --group build -c requirements/bench.lock -o requirements/serve.lock
	echo uv | $(UV) pip compile -q --universal --generate-hashes --no-header --no-annotate --python-version 3.11 --upgrade - -o requirements/uv.lock

clean: ## remove everything that was set up or built
	rm -rf .venv build dist docs/_build .hypothesis .mypy_cache .pytest_cache .ruff_cache .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

help: ## this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "make %-11s %s\n", $$1, $$2 }' Makefile

# ---- setting up ----------------------------------------------------------------------------------------------------

# A Python counts only if it runs (a shim may not), is new enough and has venv with pip inside.
.venv/.made:
	@for candidate in $(PYTHON) $(PYTHONS); do \
		if "$$candidate" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; \
		then found=$$candidate; break; fi; \
	done; \
	if [ -z "$$found" ]; then \
		echo "Python 3.11 or newer with venv is needed. Type:" >&2; \
		if [ "$$(uname)" = Darwin ]; then echo "    brew install python@3.13" >&2; \
		elif grep -qs 'VERSION_ID="22.04"' /etc/os-release; then echo "    sudo apt-get install python3.11-venv" >&2; \
		elif command -v apt-get >/dev/null; then echo "    sudo apt-get install python3-venv" >&2; \
		elif command -v dnf >/dev/null; then echo "    sudo dnf install python3.12" >&2; \
		else echo "    open https://www.python.org/downloads/" >&2; fi; \
		exit 1; \
	fi; \
	echo "Setting up .venv with $$("$$found" --version) (an installer of about 20 MB is fetched first)"; \
	rm -rf .venv; "$$found" -m venv .venv || { rm -rf .venv; exit 1; }; \
	$(PY) -m pip install -q --require-hashes -r requirements/uv.lock || echo "No uv here: pip will do, only slower."; \
	touch $@

# $(call install,LOCK): the lock with its hashes, then this checkout itself; pip where uv cannot be had
install = \
	if $(UV) --version >/dev/null 2>&1 \
		&& $(UV) pip install -q --python $(PY) --require-hashes -r requirements/$(1).lock; then :; \
	else $(PY) -m pip install -q --require-hashes -r requirements/$(1).lock; fi \
	&& $(PY) -m pip install -q --no-deps --no-build-isolation --no-index -e .

.venv/run.stamp: requirements/run.lock pyproject.toml | .venv/.made
	@echo "Installing what the demo needs (about 40 MB to download, most of it for the job sheets)"
	@$(call install,run)
	@touch $@

.venv/serve.stamp: requirements/serve.lock pyproject.toml | .venv/.made
	@echo "Installing what the pages need (about 60 MB to download, half of it for the job sheets)"
	@$(call install,serve)
	@touch $@ .venv/run.stamp

.venv/dev.stamp: requirements/dev.lock pyproject.toml | .venv/.made
	@echo "Installing what the tests and checks need (about 215 MB to download)"
	@$(call install,dev)
	@touch $@ .venv/run.stamp .venv/serve.stamp

.venv/bench.stamp: requirements/bench.lock pyproject.toml | .venv/dev.stamp
	@echo "Installing what the benchmarks compare with (about 40 MB to download)"
	@$(call install,bench)
	@touch $@
