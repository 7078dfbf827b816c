# Two commands set everything up on a machine with Python 3.11 or newer and nothing else:
#   make demo    make test
# The environment is made in .venv from the hashed locks in requirements/.

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
DEMO := examples/bracken-bank/job.toml

.PHONY: demo serve page page-types test lint lock bench docs clean

demo: $(VENV)/run.stamp
	$(BIN)/hillwright plan $(DEMO)
	$(BIN)/hillwright sheets $(DEMO) --out out/demo

# The page on this machine's own address, with the demo hillside open.
serve: page
	$(BIN)/hillwright serve $(DEMO)

# The page into the package, if its sources changed since; brings its own Node where there is none.
page: $(VENV)/run.stamp
	$(BIN)/python setup/page.py build

test: $(VENV)/dev.stamp lint
	$(BIN)/python setup/page.py check
	sh setup/browser.sh
	$(BIN)/pytest -n auto

lint: $(VENV)/dev.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/dev.stamp
	for each in benchmarks/bench_*.py; do $(BIN)/python $$each; done

# The page's types from the service's schema.
page-types: $(VENV)/run.stamp
	$(BIN)/python setup/apitypes.py > frontend/src/service/api.new
	mv frontend/src/service/api.new frontend/src/service/api.ts

docs: $(VENV)/run.stamp
	$(BIN)/hillwright methods --markdown > docs/methods.new && mv docs/methods.new docs/methods.md
	$(BIN)/hillwright schema > docs/plan-schema.new && mv docs/plan-schema.new docs/plan-schema.json

$(VENV)/run.stamp: requirements/run.txt requirements/node.txt pyproject.toml setup/install.sh
	sh setup/install.sh $(PYTHON) $(VENV) requirements/run.txt
	touch $@

$(VENV)/dev.stamp: requirements/dev.txt requirements/node.txt pyproject.toml setup/install.sh
	sh setup/install.sh $(PYTHON) $(VENV) requirements/dev.txt
	touch $@ $(VENV)/run.stamp

# Write the locks again after a change of dependencies: hashes, no addresses.
lock: $(VENV)/run.stamp
	$(BIN)/uv pip compile -q --universal --generate-hashes --no-header --no-annotate \
	  --no-emit-index-url --no-emit-find-links --group build -o requirements/run.txt pyproject.toml
	$(BIN)/uv pip compile -q --universal --generate-hashes --no-header --no-annotate \
	  --no-emit-index-url --no-emit-find-links --group build --group dev -o requirements/dev.txt pyproject.toml
	$(BIN)/uv pip compile -q --universal --generate-hashes --no-header --no-annotate \
	  --no-emit-index-url --no-emit-find-links --group node -o requirements/node.txt

clean:
	rm -rf $(VENV) out build dist frontend/node_modules src/hillwright/web/page
