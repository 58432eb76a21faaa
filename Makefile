PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
.PHONY: demo test test-all
demo: ; @echo set-up comes with the command line
test: ; $(BIN)/pytest
