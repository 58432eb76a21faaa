PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
WORKERS ?= 2

.PHONY: help demo test test-all check clean
help:
	@echo "make demo      set up, then run the bundled scenario and print the path of its page"
	@echo "make test      set up, then check the code and run the tests (at most eight minutes on two cores)"
	@echo "make test-all  the same with full counts"
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || echo "First: '$(PYTHON) -m venv' does not work here; install it (Debian and Ubuntu: python3-venv; elsewhere a complete Python 3.11 or newer)."

$(VENV)/.ready-demo: pyproject.toml constraints.txt scripts/set-up
	@scripts/set-up $(PYTHON) $(VENV)
	@touch $@

$(VENV)/.ready-test: pyproject.toml constraints.txt scripts/set-up
	@scripts/set-up $(PYTHON) $(VENV) '[test]'
	@touch $@ $(VENV)/.ready-demo

demo: $(VENV)/.ready-demo
	@$(BIN)/ramstill demo

check: $(VENV)/.ready-test
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy

# One run first: it fills the cache of compiled code, which the test workers then share.
test: check
	@$(BIN)/ramstill demo --out $(VENV)/demo >/dev/null
	$(BIN)/pytest -n $(WORKERS) --dist loadfile

test-all: check
	@$(BIN)/ramstill demo --out $(VENV)/demo >/dev/null
	RAMSTILL_FULL=1 $(BIN)/pytest -n $(WORKERS) --dist loadfile

clean:
	rm -rf $(VENV) ramstill-demo
