# One recipe per thing; CI runs the same. Each sets up what it needs in .venv and target/.
.DEFAULT_GOAL := help
SHELL := bash
.SHELLFLAGS := -eu -o pipefail -c
.PHONY: help need demo test lint bench docs gen install clean

PYTHON ?= python3
PREFIX ?= /usr/local
VENV := .venv
PY := $(VENV)/bin/python
STAMP := $(VENV)/.ready
MODULE := $(VENV)/.module

help: ## list the recipes
	@grep -E '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

need:
	@missing=""; \
	command -v cargo >/dev/null || missing="$$missing\n  cargo: the Rust toolchain, 1.89 or later"; \
	command -v cc >/dev/null || missing="$$missing\n  cc: a C compiler"; \
	command -v $(PYTHON) >/dev/null || missing="$$missing\n  $(PYTHON): Python 3.11 or later (or set PYTHON=)"; \
	if [ -n "$$missing" ]; then printf "missing:$$missing\n" >&2; exit 1; fi; \
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "$(PYTHON) is older than 3.11; set PYTHON=" >&2; exit 1; }; \
	$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { echo "missing: the venv module of $(PYTHON)" >&2; exit 1; }

$(STAMP): requirements-dev.txt | need
	$(PYTHON) -m venv $(VENV)
	$(PY) -m pip install --quiet --disable-pip-version-check -r requirements-dev.txt
	touch $@

RUST := $(shell find core bindings -name '*.rs' -o -name Cargo.toml 2>/dev/null) Cargo.toml
$(MODULE): $(STAMP) $(RUST) pyproject.toml
	VIRTUAL_ENV=$(CURDIR)/$(VENV) $(VENV)/bin/maturin develop --release --quiet
	touch $@

demo: $(MODULE) ## from examples/*.toml to out/<name>/: sheet.html, sheet.json, the table on screen
	@for build in examples/*.toml; do \
	  name=$$(basename $$build .toml); \
	  $(VENV)/bin/swept sheet $$build --out out/$$name || [ $$? -eq 1 ]; \
	done
	@$(PY) examples/python/bore_stroke.py out/bore_stroke.svg
	@echo "sheets: $$(ls out/*/sheet.html | tr '\n' ' ')and out/bore_stroke.svg"

test: $(MODULE) ## every test, in Rust, C and Python
	cargo test --workspace --quiet
	$(MAKE) --no-print-directory install PREFIX="$(CURDIR)/target/installed"
	bash tests/c/run.sh "$(CURDIR)/target/installed"
	$(PY) -m pytest -q tests/python

lint: $(STAMP) ## formatting, lints as errors
	cargo fmt --all --check
	cargo clippy --workspace --all-targets --quiet -- -D warnings
	RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --quiet
	$(VENV)/bin/ruff check python tests/python examples benches
	$(VENV)/bin/ruff format --check python tests/python examples benches

bench: $(MODULE) ## criterion benches; ours beside the peers: benches/RESULTS.md and its picture (half an hour)
	cargo bench -p swept-benches
	$(PY) -m pip install --quiet --disable-pip-version-check -r benches/peers/requirements.txt
	PY="$(CURDIR)/$(PY)" bash benches/peers/run_all.sh
	$(PY) benches/report.py target/peers

docs: need ## the Rust documentation, in target/doc
	cargo doc -p swept --no-deps

gen: need ## rewrite what is generated and committed: the C header
	UPDATE=1 cargo test -p swept-c --test header --quiet

install: need ## C header, libraries and pkg-config file under PREFIX
	cargo build --release -p swept-c
	bash bindings/c/install.sh "$(PREFIX)"

clean: ## remove what the recipes made
	rm -rf target out $(VENV)
