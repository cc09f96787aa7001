# Rodbook -- `make help` lists the targets.
.DEFAULT_GOAL := all
SHELL := /bin/bash

ifeq ($(origin CC),default)
CC       := gcc
endif
PKGS     := libqpdf libcjson harfbuzz harfbuzz-subset geos
WARN     := -Wall -Wextra -Wshadow -Wconversion -Wstrict-prototypes \
            -Wmissing-prototypes -Wswitch-enum -Wno-missing-field-initializers
OPT      ?= -O2 -g
CFLAGS   := -std=c11 -D_GNU_SOURCE $(OPT) $(WARN) -ffp-contract=off -Isrc \
            -DFONT_DIR='"$(CURDIR)/fonts"'
LIBS     := -lhpdf -lqpdf -lcjson -lharfbuzz -lharfbuzz-subset -lgeos_c -lz -lm
B        ?= build

STAGES   := base design eval geom model plan press print proof
LIB_SRC  := $(foreach s,$(STAGES),$(wildcard src/$(s)/*.c))
LIB_OBJ  := $(LIB_SRC:src/%.c=$(B)/obj/%.o)
MAIN_SRC := $(wildcard src/rodbook/*.c)
MAIN_OBJ := $(MAIN_SRC:src/%.c=$(B)/obj/%.o)
UNIT     := $(patsubst tests/unit/%.c,$(B)/unit/%,$(wildcard tests/unit/*_test.c))

all: $(B)/rodbook   ## build build/rodbook

$(B)/rodbook: $(MAIN_OBJ) $(B)/librod.a
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(B)/librod.a: $(LIB_OBJ)
	@rm -f $@
	ar rcs $@ $^

$(B)/obj/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) -MMD -MP -c -o $@ $<

$(B)/unit/%: tests/unit/%.c $(B)/librod.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -Itests -MMD -MP -o $@ $< $(B)/librod.a $(LIBS) -lcmocka

unit: $(UNIT)   ## run the unit tests
	@for t in $(UNIT); do $$t || exit 1; done

clean:   ## remove build/
	rm -rf $(B)

-include $(LIB_OBJ:.o=.d) $(MAIN_OBJ:.o=.d) $(UNIT:=.d)
.PHONY: all unit clean
.SECONDARY:
