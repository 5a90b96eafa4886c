/*
 * What people type, and what becomes of it: each row is a line, or some, as on a phone, and the
 * entries that they make, or the reason for which they are refused.
 */
#include "typed_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] =
    "cellar: Test\nzone: Europe/Dublin\n"
    "units: {gravity: P, temperature: C, pressure: bar, carbonation: vol, oxygen: ppb, vdk: mg/L}\n"
    "tanks:\n"
    "  FV1: {kind: fermenter, rated: 1.0 bar}\n"
    "  FV3: {kind: fermenter, rated: 1.5 bar}\n"
    "  FV8: {kind: fermenter, rated: 1.0 bar}\n"
    "  FV12: {kind: fermenter, rated: 1.0 bar}\n"
    "  BT1: {kind: bright, rated: 2.0 bar}\n"
    "meters:\n"
    "  PH1: {reads: ph, kind: bench}\n"
    "  PH2: {reads: ph, kind: handheld}\n"
    "  DM1: {reads: gravity, kind: density}\n"
    "  TH1: {reads: temperature, kind: other}\n"
    "  DO: {reads: oxygen, kind: other}\n"
    "checks:\n"
    "  cold room: {reads: temperature}\n"
    "  cold room 2: {reads: temperature}\n"
    "  water in: {reads: volume, counter: yes}\n"
    "  glycol: {reads: percent}\n";

/* The same brewery in SG, Fahrenheit and psi. */
static const char OTHER_UNITS[] = "cellar: Test\nzone: Europe/Dublin\n"
                                  "units: {gravity: SG, temperature: F, pressure: psi}\n"
                                  "tanks:\n"
                                  "  FV3: {kind: fermenter, rated: 15 psi}\n"
                                  "meters: {}\nchecks: {}\n";

struct row {
    const char *typed, *becomes; /* entries one a line; "! ..." is the start of a reason */
};

static const struct row ROWS[] = {
#include "test_typed.def"
};

static const struct row OTHER_ROWS[] = {
    {"FV3 8:10 1.013 4.42 66 12",
     "FV3 11-25 08:10 reading gravity: 1.013 SG, ph: 4.42, temp: 66 F, "
     "pressure: 12 psi"},
    {"FV3 8:10 1.013 66", "FV3 11-25 08:10 reading gravity: 1.013 SG, temp: 66 F"},
    {"FV3 8:10 3.4", "! 3.4 may be a pH (3.4) or a pressure (3.4 psi)"},
    {"FV3 8:10 3.4P 19C 0.8bar",
     "FV3 11-25 08:10 reading gravity: 3.4 P, temp: 19 C, pressure: 0.8 bar"},
    {"FV3 8:10 1.013 12", "FV3 11-25 08:10 reading gravity: 1.013 SG, pressure: 12 psi"},
    {"FV3 8:10 1013", "! 1013: if that is a gravity, write 1.013 SG"},
    {"FV3 8:10 4.42", "! 4.42 may be a pH"},
};

static void check_rows(const char *cellar, const struct row *rows, size_t n)
{
    size_t failures = 0;
    for (size_t i = 0; i < n; i++) {
        struct typed_book b;
        typed_book_start(&b, cellar);
        assert_int_equal(b.diags.n, 0);
        b.source = (struct source){STR("typed"), str_of(rows[i].typed)};
        typed_read(&b.arena, &b.roster, &b.source, b.now, &b.list);
        struct buf got = buf_new(&b.arena);
        if (!typed_book_becomes(&b, rows[i].becomes, &got)) {
            print_error("%s\n  becomes   %s  and not  %s\n", rows[i].typed,
                        got.p == NULL ? "nothing\n" : got.p, rows[i].becomes);
            failures++;
        }
        arena_free(&b.arena);
    }
    assert_int_equal(failures, 0);
}

static void what_people_type(void **state)
{
    (void)state;
    check_rows(CELLAR, ROWS, COUNT(ROWS));
}

static void in_other_units(void **state)
{
    (void)state;
    check_rows(OTHER_UNITS, OTHER_ROWS, COUNT(OTHER_ROWS));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_people_type),
        cmocka_unit_test(in_other_units),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
