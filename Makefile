# Gyle: small filters over a brewery's gyle book.
#
#   make                 build every filter into build/bin
#   make demo            walk through one morning of the example brewery
#   make check           run the tests, plain and under the sanitizers
#   make check-all       the same also with clang, and under valgrind
#   make torture         fail each call of the system, for every filter; kill gyle-ingest there (minutes)
#   make fuzz            fuzz what reads input, with clang: SECONDS=30 for each target
#   make bench           time the filters against a bare libyaml loop
#   make install         PREFIX=/usr/local DESTDIR=: filters, manual, completion, example book
#   make uninstall       the same PREFIX and DESTDIR
#   make analyze         gcc -fanalyzer, clang-tidy, cppcheck, shellcheck, mandoc -T lint
#   make tsan            let threads read books under the thread sanitizer
#   make coverage        lines and branches of each module that the tests reach
#   make mutate          SAMPLE=100: change the judgement at so many places; which changes no test tells
#   make matrix          build and test with each compiler, level and C library that is here
#   make reproducible    two builds in two folders give the same bytes
#   make rehearse        install and uninstall below a folder with blanks in its name
#   make machine         the README's two commands on a new Debian, made for it (root, debootstrap)
#   make deb             a Debian package in build/deb, looked at by lintian
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
REPEAT   = '-ffile-prefix-map=$(CURDIR)=.'
LDHARDEN = -pie -Wl,-z,relro,-z,now
WRAPPER  =

ifeq ($(VARIANT),asan)
SANITIZE = -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
else ifeq ($(VARIANT),clang)
CC       = clang
else ifeq ($(VARIANT),valgrind)
WRAPPER  = valgrind --quiet --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite
endif
# Fortified calls need an optimizing compiler, and hide calls from the sanitizers.
ifeq ($(SANITIZE)$(findstring -O0,$(CFLAGS)),)
HARDEN  += -D_FORTIFY_SOURCE=2
endif

PKG_CONFIG ?= pkg-config
YAML_CFLAGS = $(shell $(PKG_CONFIG) --cflags yaml-0.1)
YAML_LIBS   = $(shell $(PKG_CONFIG) --libs yaml-0.1)
TEST_LIBS   = $(shell $(PKG_CONFIG) --libs cmocka)

ALL_CFLAGS  = -std=c11 -pthread -D_POSIX_C_SOURCE=200809L -DGYLE_VERSION='"$(VERSION)"' -Ilib \
              $(WARN) $(HARDEN) $(REPEAT) $(CPPFLAGS) $(CFLAGS) $(SANITIZE) $(YAML_CFLAGS)
ALL_LDFLAGS = -pthread $(LDHARDEN) $(CFLAGS) $(SANITIZE) $(LDFLAGS)

LIB_SRC  = $(wildcard lib/*.c)
CMD_SRC  = $(wildcard cmd/*.c)
TEST_SRC = $(wildcard tests/unit/test_*.c tests/reference/test_*.c tests/replay/test_*.c tests/seeded/test_*.c)
FUZZ_SRC = $(wildcard tests/fuzz/fuzz_*.c)
MAN_SRC  = $(wildcard man/*.[1-7])

LIB      = $(BUILD)/libgyle.a
LIB_OBJ  = $(LIB_SRC:%.c=$(BUILD)/%.o)
BIN      = $(CMD_SRC:cmd/%.c=$(BUILD)/bin/%)
COMPLETE = $(CMD_SRC:cmd/%.c=$(BUILD)/completion/bash/%) \
           $(CMD_SRC:cmd/%.c=$(BUILD)/completion/zsh/_%) \
           $(CMD_SRC:cmd/%.c=$(BUILD)/completion/fish/%.fish)
TEST_BIN = $(TEST_SRC:%.c=$(BUILD)/%) $(FUZZ_SRC:%.c=$(BUILD)/%)

.PHONY: all demo check check-run check-headers check-asan check-clang check-valgrind check-all seeded \
        torture bench fuzz install uninstall format clean deps-build deps-test tests completion \
        analyze coverage mutate matrix reproducible machine deb rehearse tsan

.DELETE_ON_ERROR:
.SECONDARY:

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

# Not driven by libFuzzer: they read one input from standard input, or each from a file.
$(FUZZ_SRC:%.c=$(BUILD)/%.o): CPPFLAGS += -DFUZZ_STDIN

$(BUILD)/tests/%: $(BUILD)/tests/%.o $(LIB)
	@mkdir -p $(@D)
	$(CC) $(ALL_LDFLAGS) $< $(LIB) $(TEST_LIBS) $(YAML_LIBS) -lm -o $@

# Completion is made from the table of options that each filter prints.
$(BUILD)/completion/bash/%: $(BUILD)/bin/% cmd/completion
	@mkdir -p $(@D)
	$< --options | cmd/completion bash $* >$@
$(BUILD)/completion/zsh/_%: $(BUILD)/bin/% cmd/completion
	@mkdir -p $(@D)
	$< --options | cmd/completion zsh $* >$@
$(BUILD)/completion/fish/%.fish: $(BUILD)/bin/% cmd/completion
	@mkdir -p $(@D)
	$< --options | cmd/completion fish $* >$@

completion: $(COMPLETE)

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
	@BUILD='$(BUILD)' CC='$(CC)' FORTIFIED='$(findstring -D_FORTIFY_SOURCE,$(HARDEN))' WRAPPER='$(WRAPPER)' tests/run

check-asan check-clang check-valgrind: check-%:
	@$(MAKE) --no-print-directory check-run VARIANT=$*

check-all: check check-clang check-valgrind

seeded: deps-test
	@$(MAKE) --no-print-directory $(BUILD)/tests/seeded/test_seeded
	@GYLE_SEEDED=whole $(WRAPPER) $(BUILD)/tests/seeded/test_seeded

torture: deps-test
	@$(MAKE) --no-print-directory all
	@BUILD='$(BUILD)' CC='$(CC)' tests/fault/run long
	@BUILD='$(BUILD)' CC='$(CC)' tests/fault/each long

fuzz: deps-build
	@DEPS='$(DEPS)' tests/deps fuzz || true
	@BUILD='$(BUILD)' SECONDS_EACH='$(or $(SECONDS),30)' tests/fuzz/run

bench: deps-build
	@$(MAKE) --no-print-directory all
	@BUILD='$(BUILD)' tests/bench/run

# Where each kind of file goes; an uninstall takes away every file that an install laid there.
SHARE     = $(DESTDIR)$(PREFIX)/share
BASH_DIR  = $(SHARE)/bash-completion/completions
ZSH_DIR   = $(SHARE)/zsh/site-functions
FISH_DIR  = $(SHARE)/fish/vendor_completions.d
BOOK_DIR  = $(SHARE)/doc/gyle/examples
BOOK      = $(filter-out examples/demo,$(shell find examples -type f | LC_ALL=C sort))

install: all completion
	install -d '$(DESTDIR)$(PREFIX)/bin' '$(BASH_DIR)' '$(ZSH_DIR)' '$(FISH_DIR)'
	install -m 755 $(BIN) '$(DESTDIR)$(PREFIX)/bin'
	install -m 644 $(filter $(BUILD)/completion/bash/%,$(COMPLETE)) '$(BASH_DIR)'
	install -m 644 $(filter $(BUILD)/completion/zsh/%,$(COMPLETE)) '$(ZSH_DIR)'
	install -m 644 $(filter $(BUILD)/completion/fish/%,$(COMPLETE)) '$(FISH_DIR)'
	for page in $(MAN_SRC); do \
	    section=$${page##*.}; \
	    install -d '$(SHARE)/man/man'$$section && \
	    install -m 644 $$page '$(SHARE)/man/man'$$section || exit 1; \
	done
	for file in $(BOOK); do \
	    if [ -x $$file ]; then mode=755; else mode=644; fi; \
	    install -D -m $$mode $$file '$(BOOK_DIR)'/$${file#examples/} || exit 1; \
	done

uninstall:
	for filter in $(notdir $(BIN)); do \
	    rm -f '$(DESTDIR)$(PREFIX)/bin/'$$filter '$(BASH_DIR)/'$$filter '$(ZSH_DIR)/_'$$filter \
	        '$(FISH_DIR)/'$$filter.fish; \
	done
	for page in $(notdir $(MAN_SRC)); do rm -f '$(SHARE)/man/man'$${page##*.}/$$page; done
	for file in $(BOOK); do rm -f '$(BOOK_DIR)'/$${file#examples/}; done
	if [ -d '$(SHARE)/doc/gyle' ]; then find '$(SHARE)/doc/gyle' -depth -type d -empty -delete; fi

analyze coverage mutate matrix reproducible machine deb tsan:
	@tests/release/$@
rehearse: all completion
	@tests/release/install

format:
	clang-format -i lib/*.[ch] cmd/*.c $(wildcard tests/*/*.[ch])

clean:
	rm -rf build

-include $(LIB_OBJ:.o=.d) $(CMD_SRC:%.c=$(BUILD)/%.d) $(TEST_SRC:%.c=$(BUILD)/%.d) $(FUZZ_SRC:%.c=$(BUILD)/%.d)
