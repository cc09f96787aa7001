# Rodbook -- `make help` lists the targets.
.DEFAULT_GOAL := all
SHELL := /bin/bash

ifeq ($(origin CC),default)
CC       := gcc
endif
WARN     := -Wall -Wextra -Wshadow -Wconversion -Wstrict-prototypes \
            -Wmissing-prototypes -Wswitch-enum -Wno-missing-field-initializers
OPT      ?= -O2 -g
CFLAGS   := -std=c11 -D_GNU_SOURCE $(OPT) $(WARN) -ffp-contract=off -Isrc \
            -DFONT_DIR='"$(CURDIR)/fonts"' \
            -DTEMPLATE_DIR='"$(CURDIR)/templates"'
LIBS     := -lhpdf -lqpdf -lcjson -lharfbuzz -lharfbuzz-subset -lgeos_c -lcairo -lz -lm
B        ?= build

# What Debian 12 must have; `make setup` installs what is missing.
PACKAGES := gcc make libc6-dev libhpdf-dev libqpdf-dev libcjson-dev \
            libharfbuzz-dev libcairo2-dev libgeos-dev libcmocka-dev zlib1g-dev \
            qpdf poppler-utils python3 python3-jsonschema python3-ezdxf python3-svgelements admesh

STAGES   := base design eval geom model plan press print proof
LIB_SRC  := $(foreach s,$(STAGES),$(wildcard src/$(s)/*.c))
LIB_OBJ  := $(LIB_SRC:src/%.c=$(B)/obj/%.o)
MAIN_SRC := $(wildcard src/rodbook/*.c)
MAIN_OBJ := $(MAIN_SRC:src/%.c=$(B)/obj/%.o)
UNIT     := $(patsubst tests/unit/%.c,$(B)/unit/%,$(wildcard tests/unit/*_test.c))
DEMOS    := $(notdir $(wildcard plans-demo/*))
JOBS     := -j2

all: $(B)/rodbook   ## build build/rodbook (packages must be there)

$(B)/rodbook: $(MAIN_OBJ) $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(B)/librod.a: $(LIB_OBJ)
	@rm -f $@
	@ar rcs $@ $^

$(B)/obj/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) -MMD -MP -c -o $@ $<

$(B)/unit/%: tests/unit/%.c $(B)/librod.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -Itests -MMD -MP -o $@ $< $(B)/librod.a $(LIBS) -lcmocka

## ---- for everybody

setup:   ## install missing Debian packages (apt-get, sudo if not root)
	@tests/tools/setup.sh $(PACKAGES)

demo: setup   ## press every design in plans-demo/ to build/demo/
	@$(MAKE) --no-print-directory $(JOBS) $(B)/rodbook
	@mkdir -p $(B)/demo
	@for d in $(DEMOS); do \
	    for e in "letter inch" "a4 mm"; do set -- $$e; \
	        out=$(B)/demo/$$d.$$1-$$2; \
	        $(B)/rodbook press plans-demo/$$d/$$d.json -o $$out.pdf \
	            --paper $$1 --units $$2 --ledger $$out.ledger.csv \
	            && echo "$$out.pdf" || exit 1; \
	    done; \
	done

test: setup   ## every test but the slow suites (under 5 minutes)
	@$(MAKE) --no-print-directory $(JOBS) $(B)/rodbook $(UNIT)
	@$(MAKE) --no-print-directory --output-sync=target $(JOBS) \
	    unit golden wrong commands worked schema machine mutants spoil booklet

## ---- single suites

unit: $(UNIT)   ## unit tests (cmocka)
	@for t in $(UNIT); do $$t || exit 1; done

golden: $(B)/rodbook   ## stages of small designs against recorded dumps
	@ROD=$(B)/rodbook tests/tools/golden.sh

bless: $(B)/rodbook   ## record the golden dumps anew
	@ROD=$(B)/rodbook tests/tools/golden.sh bless

wrong: $(B)/rodbook   ## every message has a design that trips it
	@ROD=$(B)/rodbook tests/tools/wrong.sh
	@ROD=$(B)/rodbook tests/tools/spoiled.sh

worked: $(B)/rodbook   ## published worked examples, listed and traced
	@ROD=$(B)/rodbook tests/tools/worked.sh

commands: $(B)/rodbook   ## trace and new, run as their users run them
	@ROD=$(B)/rodbook tests/tools/commands.sh

machine: $(B)/rodbook   ## files for machines, measured by readers not ours
	@PYTHON=/usr/bin/python3; [ -x $$PYTHON ] || PYTHON=python3; \
	    $$PYTHON tests/tools/machine.py $(B)/rodbook
	@python3 tests/tools/solids.py $(B)/rodbook

schema: $(B)/rodbook   ## docs/design.schema.json agrees with the reader
	@ROD=$(B)/rodbook tests/tools/schema.sh

spoil: $(B)/rodbook   ## demos and starters spoiled as an author might, all caught
	@python3 tests/tools/spoil.py $(B)/rodbook

booklet: $(B)/rodbook $(B)/outlines   ## demo booklets read back by independent readers
	@ROD=$(B)/rodbook tests/tools/booklet.sh
	@ROD=$(B)/rodbook OUTLINES=$(B)/outlines tests/tools/seams.sh short

# A header that tests/tools/kernel_setup.sh has fetched.
kernel bench-lines: export CPLUS_INCLUDE_PATH = \
    $(abspath $(B))/occt/usr/include/opencascade

kernel: $(B)/kernel_parts $(B)/kernel_scenes   ## solids and hidden lines against an outside geometry kernel
	@B=$(B) tests/tools/kernel.sh
	@B=$(B) tests/tools/kernel_lines.sh 0 $(wildcard plans-demo/*/*.json \
	    templates/*.json tests/golden/[cs]a*/design.json)

$(B)/kernel_parts: tests/kernel/parts.c $(B)/librod.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(B)/kernel_scenes: tests/kernel/scenes.c $(B)/librod.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

check: $(B)/rodbook   ## layers, headers, columns, no warning in gcc and clang
	tests/tools/layers.sh
	tests/tools/headers.sh
	tests/tools/columns.sh
	@$(MAKE) --no-print-directory B=$(B)/clang CC=clang \
	    OPT="-O1 -Werror" $(B)/clang/librod.a
	@$(MAKE) --no-print-directory B=$(B)/werror OPT="-O2 -Werror" \
	    $(B)/werror/librod.a

asan:   ## unit tests and demos under the sanitizers
	@$(MAKE) --no-print-directory $(JOBS) B=build-asan \
	    OPT="-O1 -g -fsanitize=address,undefined -fno-sanitize-recover" \
	    LDFLAGS="-fsanitize=address,undefined" build-asan/rodbook unit
	@for d in $(DEMOS); do \
	    build-asan/rodbook press plans-demo/$$d/$$d.json \
	        -o build-asan/$$d.pdf && build-asan/rodbook proof \
	        build-asan/$$d.pdf plans-demo/$$d/$$d.json || exit 1; done

FUZZ_FLAGS := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover
SEEDS      := $(wildcard tests/golden/*/design.json)

fuzz:   ## mutated designs under the sanitizers (some minutes)
	@$(MAKE) --no-print-directory $(JOBS) B=build-asan OPT="$(FUZZ_FLAGS)" \
	    LDFLAGS="-fsanitize=address,undefined" build-asan/fuzz
	build-asan/fuzz 1 2000 $(SEEDS) $(wildcard plans-demo/*/*.json)

jobs: $(B)/unit/cut_test   ## thousands of chance cutting jobs, each judged (some minutes)
	@CUT_JOBS=3000 $(B)/unit/cut_test 2>&1 | tail -3

mutants: $(B)/fuzz   ## the same, short and without sanitizers
	@$(B)/fuzz 7 150 $(SEEDS) 2>/dev/null

$(B)/fuzz: tests/fuzz/compile.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

INSTANCES  ?= $(wildcard /work/shared/benchmarks)
BENCH_FORM ?= short

bench: bench-read bench-lines bench-solids bench-facts bench-shop bench-boards bench-sheets bench-nesting-short   ## all CPU times (INSTANCES=folder BENCH_FORM=full)

bench-read: $(B)/bench   ## 1 MB read, 5,000 sizes, hidden lines, letters, drawings
	@$(B)/bench

bench-lines: $(B)/kernel_scenes   ## hidden lines beside Open CASCADE (a minute)
	@B=$(B) tests/tools/kernel_lines.sh 100 1000 3000

NESTING  := $(INSTANCES:%=%/nesting-irregular)

bench-nesting-short: $(B)/nest_bench   ## nesting, a sample in seconds
	@$(B)/nest_bench $(NESTING) 5 1 8

bench-nesting: $(B)/nest_bench   ## nesting against published instances (slow)
	@$(B)/nest_bench $(NESTING) 60 10

$(B)/nest_bench: tests/bench/nest_bench.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

seams: $(B)/rodbook $(B)/outlines   ## template sheets joined as pictures (slow)
	@ROD=$(B)/rodbook OUTLINES=$(B)/outlines tests/tools/seams.sh

$(B)/outlines: tests/tools/outlines.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

GLPK := $(wildcard /usr/include/glpk.h)

bench-sheets: $(B)/bench-sheets   ## sheets beside shelves and, with libglpk-dev, a general solver
	@$(B)/bench-sheets $(filter full,$(BENCH_FORM))
	@$(B)/bench-sheets rival

$(B)/bench-sheets: tests/bench/sheets.c $(GLPK:%=tests/bench/plate_model.c) $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -Itests $(GLPK:%=-DWITH_GLPK) -o $@ $^ $(LIBS) $(GLPK:%=-lglpk)

bench-solids: $(B)/bench_solids   ## parts beside cells clipped in space and a kernel (after make kernel)
	@$(B)/bench_solids $(wildcard $(B)/kernel)

$(B)/bench_solids: tests/bench/solids.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

bench-facts: $(B)/bench_facts   ## up to 50,000 pieces loaded, placed, fixed, checked
	@for n in 100 1000 10000 50000; do \
	    python3 tests/bench/stress.py $$n --steps >$(B)/stress.$$n.json; done
	@for n in 100 1000 10000 40000; do \
	    python3 tests/bench/stress.py $$n --one-fix >$(B)/deck.$$n.json; done
	@$(B)/bench_facts plans-demo/puppet-theater/puppet-theater.json \
	    $(B)/stress.100.json $(B)/stress.1000.json \
	    $(B)/stress.10000.json $(B)/stress.50000.json
	@$(B)/bench_facts plans-demo/puppet-theater/puppet-theater.json \
	    $(B)/deck.100.json $(B)/deck.1000.json $(B)/deck.10000.json \
	    $(B)/deck.40000.json

bench-shop: $(B)/bench_shop   ## 60 parts of boards in three lengths and a sheet
	@$(B)/bench_shop

$(B)/bench_shop: tests/bench/shop.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

bench-boards: $(B)/cutting_bench   ## boards beside first fit and, with libglpk-dev, a general solver
	@$(B)/cutting_bench $(INSTANCES:%=%/stock-1d) $(BENCH_FORM)

$(B)/bench_facts: tests/bench/facts.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(B)/cutting_bench: tests/bench/cutting_bench.c $(GLPK:%=tests/bench/arc_flow.c) $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) $(GLPK:%=-DWITH_GLPK) -o $@ $^ $(LIBS) $(GLPK:%=-lglpk)

$(B)/bench: tests/bench/bench.c $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

help:   ## this list
	@grep -hE '^[a-z-]+:.*##' Makefile | sed 's/:.*##/\t/' | expand -t 12

clean:   ## remove build/
	rm -rf build build-asan

-include $(LIB_OBJ:.o=.d) $(MAIN_OBJ:.o=.d) $(UNIT:=.d)
.PHONY: all setup demo test unit golden bless wrong commands worked schema machine spoil booklet mutants kernel bench seams bench-nesting bench-nesting-short bench-sheets bench-read bench-lines bench-solids bench-facts bench-shop bench-boards fuzz jobs check asan help clean
.SECONDARY:
