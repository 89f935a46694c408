# Other names for `python3 start.py …`, for those who like make. Nothing lives only here.
PYTHON ?= python3

.PHONY: run test check bench shots
run:
	$(PYTHON) start.py
test:
	$(PYTHON) start.py test
check:
	$(PYTHON) start.py check
bench:
	$(PYTHON) start.py bench
shots:
	$(PYTHON) start.py shots
