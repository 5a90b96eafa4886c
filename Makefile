# Gyle: small filters over a brewery's gyle book.
#
#   make                 build every filter into build/bin
#   make demo            walk through one morning of the example brewery
#   make check           run the tests, plain and under the sanitizers
#   make check-all       the same also with clang, and under valgrind
#   make bench           time the filters against a bare libyaml loop
#   make install         PREFIX=/usr/local DESTDIR=
#   make uninstall       the same PREFIX and DESTDIR
#   make format          lay the C files out by .clang-format
#   make clean
#
# DEPS=no forbids demo and check to install missing packages.
# VARIANT=asan|clang|valgrind builds beside the plain objects, in build/VARIANT.

VERSION  = 0.1
PREFIX  ?= /usr/local
DESTDIR ?=
VARIANT ?=
BUILD   ?= build$(if $(VARIANT),/$(VARIANT))

CFLAGS  ?= -O2 -g
WARN     = -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes \
           -Wmissing-prototypes -Wformat=2 -Werror
HARDEN   = -fstack-protector-strong -fPIE
LDHARDEN = -pie -Wl,-z,relro,-z,now
WRAPPER  =

ifeq ($(VARIANT),asan)
SANITIZE = -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
else ifeq ($(VARIANT),clang)
CC       = clang
else ifeq ($(VARIANT),valgrind)
WRAPPER  = valgrind --quiet --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite
endif
ifeq ($(SANITIZE),)
HARDEN  += -D_FORTIFY_SOURCE=2
endif

PKG_CONFIG ?= pkg-config
YAML_CFLAGS = $(shell $(PKG_CONFIG) --cflags yaml-0.1)
YAML_LIBS   = $(shell $(PKG_CONFIG) --libs yaml-0.1)
TEST_LIBS   = $(shell $(PKG_CONFIG) --libs cmocka)

ALL_CFLAGS  = -std=c11 -D_POSIX_C_SOURCE=200809L -DGYLE_VERSION='"$(VERSION)"' -Ilib \
              $(WARN) $(HARDEN) $(CFLAGS) $(SANITIZE) $(YAML_CFLAGS)
ALL_LDFLAGS = $(LDHARDEN) $(SANITIZE) $(LDFLAGS)

LIB_SRC  = $(wildcard lib/*.c)
CMD_SRC  = $(wildcard cmd/*.c)
TEST_SRC = $(wildcard tests/unit/test_*.c tests/reference/test_*.c tests/replay/test_*.c)
MAN_SRC  = $(wildcard man/*.[1-7])

LIB      = $(BUILD)/libgyle.a
LIB_OBJ  = $(LIB_SRC:%.c=$(BUILD)/%.o)
BIN      = $(CMD_SRC:cmd/%.c=$(BUILD)/bin/%)
TEST_BIN = $(TEST_SRC:%.c=$(BUILD)/%)

.PHONY: all demo check check-run check-headers check-asan check-clang check-valgrind check-all \
        bench install uninstall format clean deps-build deps-test tests

all: $(BIN)

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -MMD -MP -c $< -o $@

$(LIB): $(LIB_OBJ)
	@rm -f $@
	$(AR) rcs $@ $^

$(BUILD)/bin/%: $(BUILD)/cmd/%.o $(LIB)
	@mkdir -p $(@D)
	$(CC) $(ALL_LDFLAGS) $< $(LIB) $(YAML_LIBS) -lm -o $@

$(BUILD)/tests/%: $(BUILD)/tests/%.o $(LIB)
	@mkdir -p $(@D)
	$(CC) $(ALL_LDFLAGS) $< $(LIB) $(TEST_LIBS) $(YAML_LIBS) -lm -o $@

tests: $(TEST_BIN)

# Each header must compile alone: it names what it needs.
HEADERS = $(wildcard lib/*.h)
check-headers:
	@for h in $(HEADERS); do \
	    echo "#include \"$$h\"" | $(CC) $(ALL_CFLAGS) -Wno-unused -I. -fsyntax-only -x c - || exit 1; \
	done

deps-build:
	@DEPS='$(DEPS)' tests/deps build
deps-test:
	@DEPS='$(DEPS)' tests/deps build test

demo: deps-build
	@$(MAKE) --no-print-directory all
	@BIN='$(abspath $(BUILD)/bin)' examples/demo

check: deps-test
	@$(MAKE) --no-print-directory check-run
	@$(MAKE) --no-print-directory check-asan

check-run: all tests check-headers
	@BUILD='$(BUILD)' WRAPPER='$(WRAPPER)' tests/run

check-asan check-clang check-valgrind: check-%:
	@$(MAKE) --no-print-directory check-run VARIANT=$*

check-all: check check-clang check-valgrind

bench: deps-build
	@$(MAKE) --no-print-directory all
	@BUILD='$(BUILD)' tests/bench/run

install: all
	install -d '$(DESTDIR)$(PREFIX)/bin'
	install -m 755 $(BIN) '$(DESTDIR)$(PREFIX)/bin'
	for page in $(MAN_SRC); do \
	    section=$${page##*.}; \
	    install -d '$(DESTDIR)$(PREFIX)/share/man/man'$$section && \
	    install -m 644 $$page '$(DESTDIR)$(PREFIX)/share/man/man'$$section || exit 1; \
	done

uninstall:
	for filter in $(notdir $(BIN)); do rm -f '$(DESTDIR)$(PREFIX)/bin/'$$filter; done
	for page in $(notdir $(MAN_SRC)); do \
	    rm -f '$(DESTDIR)$(PREFIX)/share/man/man'$${page##*.}/$$page; \
	done

format:
	clang-format -i lib/*.[ch] cmd/*.c $(wildcard tests/*/*.[ch])

clean:
	rm -rf build

-include $(LIB_OBJ:.o=.d) $(CMD_SRC:%.c=$(BUILD)/%.d) $(TEST_SRC:%.c=$(BUILD)/%.d)
