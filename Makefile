# Everything a person or CI does here. `make help` lists it.
.DEFAULT_GOAL := help
PYTHON ?= python3
BIN := .venv/bin
HOST ?= 127.0.0.1
PORT ?= 8420
FUZZ ?= 100000

.PHONY: help setup demo test lint bench fuzz docs dist lock chromium fit

help:  ## list what can be made
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/  make \1|\2/p' $(MAKEFILE_LIST) | column -t -s '|' 2>/dev/null || grep '##' $(MAKEFILE_LIST)

# The environment, rebuilt when the lock or the front-end lock changes.
.venv/ready: requirements/lock.txt pyproject.toml hatch_build.py frontend/package-lock.json
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Ullage needs Python 3.11 or newer; try make PYTHON=python3.12 …")'
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/lock.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@

setup: .venv/ready  ## make the environment (.venv) with locked packages and the front-end assets

demo: .venv/ready  ## the whole answer for the demo system, then its page on a loopback address
	$(BIN)/ullage demo --host $(HOST) --port $(PORT)

test: .venv/ready chromium  ## every test, browser included, on every core
	$(BIN)/python -m pytest --numprocesses=auto --dist=worksteal

lint: .venv/ready  ## style, types, and which module may import which
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: .venv/ready  ## speeds as ratios within one run, against the bars
	$(BIN)/python benchmarks/run.py

# Of the cases four fifths go to files and messages, shared by some sixteen tests, and a fifth to
# some seventy addresses of the API.
fuzz: .venv/ready  ## FUZZ=100000 made-up files, messages and requests: an hour or more, by night
	ULLAGE_FUZZ=$$(($(FUZZ) * 4 / 5 / 16 + 1)) $(BIN)/python -m pytest -q tests/test_fuzz_files.py tests/system/test_fuzz.py tests/test_payload.py
	ULLAGE_FUZZ=$$(($(FUZZ) / 5 / 70 + 9)) $(BIN)/python -m pytest -q tests/web/test_schemathesis.py

docs: .venv/ready  ## what the program writes of docs/ and the README, made anew, and the site in build/docs
	$(BIN)/python -m ullage.system.schema > docs/system.schema.json
	$(BIN)/python scripts/write_models_page.py
	$(BIN)/python scripts/write_system_page.py
	$(BIN)/python scripts/write_log_format.py
	$(BIN)/python scripts/write_commands_page.py
	$(BIN)/python scripts/write_api_page.py
	$(BIN)/python scripts/write_readme_outputs.py
	$(BIN)/python scripts/write_guide_outputs.py
	$(BIN)/python scripts/draw_guide_pictures.py
	$(BIN)/python scripts/draw_readme_picture.py
	$(BIN)/python -m sphinx -q -W --keep-going -c docs -d build/doctrees . build/docs

dist: .venv/ready  ## the wheel and the source archive in dist/, and their SHA-256: the same wherever they are made
	rm -rf dist
	$(BIN)/python -m hatchling build -d dist
	@cd dist && { sha256sum * 2>/dev/null || shasum -a 256 *; }

fit: .venv/ready  ## fit the beer factor to the published chart and write it down
	$(BIN)/python scripts/fit_beer_factor.py

lock: .venv/ready  ## choose package versions anew
	UV_NO_CONFIG=1 $(BIN)/uv pip compile --universal --python-version 3.11 --generate-hashes \
	  --no-emit-index-url --no-emit-find-links --no-header --group dev --all-extras pyproject.toml -o requirements/lock.txt
	cd frontend && ../$(BIN)/npm install --package-lock-only

# The browser for the browser tests: Debian's, installed when missing.
chromium:
	@command -v chromium >/dev/null 2>&1 || command -v chromium-browser >/dev/null 2>&1 || sh scripts/install_chromium.sh
