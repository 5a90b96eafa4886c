/*
 * The filled sheet: what its cells become, also after a spreadsheet or an editor has been at it.
 */
#include "filled.h"
#include "typed_book.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const char CELLAR[] =
    "cellar: Test\nzone: Europe/Dublin\n"
    "units: {gravity: P, temperature: C, pressure: psi}\n"
    "tanks:\n"
    "  FV3: {kind: fermenter}\n"
    "  FV8: {kind: fermenter}\n"
    "  BT1: {kind: bright}\n"
    "meters:\n  PH1: {reads: ph}\n"
    "checks:\n  cold room: {reads: temperature}\n  water in: {reads: volume}\n";

#define HEAD                                                                                       \
    "date\ttime\ttank\tbatch\tbeer\tgravity_P\tph\ttemp_C\tpressure_psi\tvdk_mg_L\toxygen_ppb\t"   \
    "value\tgravity_meter\tph_meter\tby\tnote\n"

static void a_forced_sample_has_remarks_of_its_own(void **state)
{
    struct typed_book b;
    struct buf unknown;
    (void)state;
    typed_book_start(&b, CELLAR);
    unknown = buf_new(&b.arena);
    b.source = (struct source){
        STR("sheet"), STR("time\ttank\tph\tforced_P\n8:10\tFV8\t4.4\t\n\tFV3\t4.42\t2.4\n")};
    filled_read(&b.arena, &b.roster, &b.source, b.now, &b.list, &unknown);
    assert_int_equal(b.list.n, 3);
    struct entry *reading = b.list.items[1], *forced = b.list.items[2];
    entry_remark(reading, &b.arena, true, "of the reading alone");
    assert_non_null(reading->remarks->next);
    assert_string_equal(forced->remarks->text, "its time is that of the row above");
    assert_null(forced->remarks->next);
    arena_free(&b.arena);
}

static const struct {
    const char *title, *sheet, *becomes, *unknown;
} ROWS[] = {
    {"a filled row",
     HEAD
     "2026-11-25\t8:10\tFV3\t0417\tPale\t3.4\t4.42\t19.5\t12\t0.08\t30\t\tDM1\tPH1\tMO\thigh\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P, ph: 4.42, temp: 19.5 C, pressure: 12 psi, vdk: 0.08 "
     "mg/L, "
     "oxygen: 30 ppb, gravity-meter: DM1, ph-meter: PH1, by: MO, note: high",
     ""},
    {"a unit in the cell wins",
     HEAD "2026-11-25\t08:10\tFV3\t\t\t1.013 SG\t<4.7\t66F\t0.8bar\tpass\n",
     "FV3 11-25 08:10 reading gravity: 1.013 SG, ph: <4.7, temp: 66 F, pressure: 0.8 bar, vdk: "
     "pass",
     ""},
    {"a comma locale", HEAD "2026-11-25\t8:10\tFV3\t\t\t3,4\t4,42\n",
     "! \"3,4\" has a comma: write the decimals behind a point", ""},
    {"a figure taken for a date", HEAD "2026-11-25\t8:10\tFV3\t\t\t3-Apr\n",
     "! \"-Apr\" is not a unit of gravity", ""},
    {"a column too narrow", HEAD "2026-11-25\t8:10\tFV3\t\t\t####\n", "! \"####\" is not a number",
     ""},
    {"a time as a share of the day", HEAD "2026-11-25\t0.34\tFV3\t\t\t3.4\n",
     "! time \"0.34\": write it as 8:10", ""},
    {"a day as a number", HEAD "46351\t8:10\tFV3\t\t\t3.4\n", "! date \"46351\": write it as", ""},
    {"the other words of the smell test", HEAD "2026-11-25\t8:10\tFV3\t\t\t\t\t\t\tOK\n",
     "FV3 11-25 08:10 reading vdk: pass", ""},
    {"cells that ran together", HEAD "2026-11-25\t8:10\tFV3 3.4\n",
     "! \"FV3 3.4\" is no tank, check or meter of this cellar", ""},
    {"a word and a figure", HEAD "2026-11-25\t8:10\tFV3\t\t\t\t\t\t\t0.08 trace\n",
     "FV3 11-25 08:10 reading vdk: trace 0.08 mg/L", ""},
    {"a meter without its figure is left out",
     HEAD "2026-11-25\t8:10\tFV3\t\t\t3.4\t\t\t\t\t\t\tDM1\tPH1\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P, gravity-meter: DM1", ""},
    {"CRLF, a byte order mark, quotes, empty rows, tabs at the end",
     "\xef\xbb\xbf\"date\"\t\"time\"\t\"tank\"\t\"gravity_P\"\t\"note\"\t\t\r\n"
     "2026-11-25\t8:10:00\t\"FV3\"\t3.4\t\"a \"\"high\"\" one\"\t\t\r\n\t\t\t\t\r\n\r\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P, note: a \"high\" one", ""},
    {"other order, other case",
     "PH\tTank\tGRAVITY_SG\tTime\tTemperature_f\tphoto\n4.42\tfv 3\t1.013\t8:10\t66\tx\n",
     "FV3 11-25 08:10 reading ph: 4.42, gravity: 1.013 SG, temp: 66 F", "photo"},
    {"columns without a unit are the house's",
     "tank\ttime\tgravity\tpressure\nFV3\t8:10\t3.4\t12\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P, pressure: 12 psi", ""},
    {"a quantity with a unit of another is no column",
     "tank\ttime\tgravity_bar\tph\nFV3\t8:10\t3.4\t4.42\n", "FV3 11-25 08:10 reading ph: 4.42",
     "gravity_bar"},
    {"nothing was read",
     HEAD "2026-11-25\t8:10\tFV3\t0417\tPale\t-\tn/a\t\xe2\x80\x94\t\t\t\t\t\t\tMO\t\n", "", ""},
    {"only a note", HEAD "2026-11-25\t8:10\tFV3\t\t\t\t\t\t\t\t\t\t\t\t\tskipped, hoses in front\n",
     "FV3 11-25 08:10 reading note: skipped, hoses in front", ""},
    {"the day and the time of the row above",
     HEAD "2026-11-24\t8:10\tFV3\t\t\t3.4\n\t\tBT1\t\t\t\t\t0.8\n2026-11-25\t\tFV3\t\t\t3.3\n",
     "FV3 11-24 08:10 reading gravity: 3.4 P\nBT1 11-24 08:10 reading temp: 0.8 C\n"
     "FV3 11-25 10:00? reading gravity: 3.3 P",
     ""},
    {"a time that was told with its day holds for the rows below",
     "time\ttank\tph\n7:00\tFV8\t4.4\n2026-11-24T08:10Z\tFV3\t4.42\n\tFV3\t4.43\n",
     "FV8 11-25 07:00 reading ph: 4.4\nFV3 11-24 08:10 reading ph: 4.42\n"
     "FV3 11-24 08:10 reading ph: 4.43",
     ""},
    {"a time with a point or without a mark",
     HEAD "2026-11-25\t08.15\tFV3\t\t\t3.4\n2026-11-25\t0805\tFV3\t\t\t3.4\n",
     "! time \"08.15\": write it as 8:15\n! time \"0805\": write it as 8:05", ""},
    {"two columns of one quantity", "time\ttank\ttemp_C\ttemp_F\n8:10\tFV3\t19\t66\n",
     "! two figures for temp: 19 C and 66 F", ""},
    {"an earlier day needs a time", HEAD "2026-11-24\t\tFV3\t\t\t3.4\n", "! it has no time", ""},
    {"a batch alone", HEAD "2026-11-25\t8:10\t\t417\t\t3.4\n",
     "417 11-25 08:10 reading gravity: 3.4 P", ""},
    {"a check of the plant",
     HEAD "2026-11-25\t8:40\tCold Room\t\t\t\t\t\t\t\t\t3.2\t\t\tMO\tdoor\n"
          "2026-11-25\t8:41\twater in\t\t\t\t\t\t\t\t\t18871.3 m3\n",
     "11-25 08:40 check check: cold room, value: 3.2 C, by: MO, note: door\n"
     "11-25 08:41 check check: water in, value: 18871.3 m3",
     ""},
    {"a figure of a check in a wrong column", HEAD "2026-11-25\t8:40\tcold room\t\t\t\t\t3.2\n",
     "! the figure of a check stands in the column value", ""},
    {"a value for a tank", HEAD "2026-11-25\t8:40\tFV3\t\t\t\t\t\t\t\t\t3.2\n",
     "! the column value is for checks", ""},
    {"a calibration, its figures in value",
     HEAD "2026-11-25\t7:30\tph1\t\t\t\t\t\t\t\t\t7.00 -3mV 4.01 172mV 20C\t\t\tMO\tdry\n",
     "11-25 07:30 calibration meter: PH1, temp: 20 C, buffers: [{ph: 7.00, mv: -3}, {ph: 4.01, mv: "
     "172}], by: MO, note: dry",
     ""},
    {"a calibration without figures", HEAD "2026-11-25\t7:30\tPH1\t\t\t\t\t\t\t\t\t\t\t\tMO\tdry\n",
     "! a calibration needs its figures in the column value", ""},
    {"half a calibration", HEAD "2026-11-25\t7:30\tPH1\t\t\t\t\t\t\t\t\t7.00\n",
     "! 7.00: write a buffer and what the electrode gave", ""},
    {"a second line in a calibration",
     HEAD "2026-11-25\t7:30\tPH1\t\t\t\t\t\t\t\t\t\"7.00 -3mV\n4.01\"\n",
     "! what PH1 gave: write it as", ""},
    {"a forced sample beside a reading",
     "tank\ttime\tph\tforced_SG\tby\tnote\nFV3\t8:10\t4.42\t1.009\tMO\tclear\n",
     "FV3 11-25 08:10 reading ph: 4.42, by: MO, note: clear\n"
     "FV3 11-25 08:10 forced value gravity: 1.009 SG, by: MO",
     ""},
    {"a forced sample alone", "tank\ttime\tforced\tby\nFV3\t8:10\t2.4\tMO\n",
     "FV3 11-25 08:10 forced value gravity: 2.4 P, by: MO", ""},
    {"a forced sample that is no figure", "tank\ttime\tforced_P\nFV3\t8:10\tlow\n",
     "! \"low\" is not a number", ""},
    {"a forced temperature is no column", "tank\ttime\tforced_C\tph\nFV3\t8:10\t20\t4.42\n",
     "FV3 11-25 08:10 reading ph: 4.42", "forced_C"},
    {"a date in another format", HEAD "25/11/2026\t8:10\tFV3\t\t\t3.4\n\t8:12\tBT1\t\t\t\t\t0.8\n",
     "! date \"25/11/2026\": write it as 2026-11-25\n! its day is not known: line 2 was refused",
     ""},
    {"a time that is none", HEAD "2026-11-25\t8.10\tFV3\t\t\t3.4\n",
     "! time \"8.10\": write it as 8:10", ""},
    {"a decimal comma", HEAD "2026-11-25\t8:10\tFV3\t\t\t3,4\n", "! \"3,4\" has a comma", ""},
    {"a word where a figure belongs", HEAD "2026-11-25\t8:10\tFV3\t\t\tlow\n",
     "! \"low\" is not a number", ""},
    {"a tank that is none", HEAD "2026-11-25\t8:10\tFV33\t\t\t3.4\n",
     "! \"FV33\" is no tank, check or meter of this cellar; did you mean FV3?", ""},
    {"no tank", HEAD "2026-11-25\t8:10\t\t\t\t3.4\n", "! the row names neither a tank nor a batch",
     ""},
    {"a remark", HEAD "# refused: why\n2026-11-25\t8:10\tFV3\t\t\t3.4\n",
     "FV3 11-25 08:10 reading gravity: 3.4 P", ""},
    {"withdrawn", HEAD "2026-11-25\t8:10\tFV3\t\t\t~\n", "FV3 11-25 08:10 reading gravity: ~", ""},
};

static void rows_become_entries(void **state)
{
    size_t failures = 0;
    (void)state;
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct typed_book b;
        typed_book_start(&b, CELLAR);
        struct buf unknown = buf_new(&b.arena), got = buf_new(&b.arena);
        b.source = (struct source){STR("sheet"), str_of(ROWS[i].sheet)};
        bool same = filled_is_sheet(b.source.text);
        filled_read(&b.arena, &b.roster, &b.source, b.now, &b.list, &unknown);
        same = typed_book_becomes(&b, ROWS[i].becomes, &got) && same;
        same = same && strcmp(unknown.p == NULL ? "" : unknown.p, ROWS[i].unknown) == 0;
        if (!same) {
            print_error("%s: becomes\n%s", ROWS[i].title, got.p == NULL ? "nothing\n" : got.p);
            failures++;
        }
        arena_free(&b.arena);
    }
    assert_int_equal(failures, 0);
}

static void tells_a_sheet(void **state)
{
    (void)state;
    assert_true(filled_is_sheet(str_of(HEAD)));
    assert_true(filled_is_sheet(str_of("# remark\n\n" HEAD)));
    assert_false(filled_is_sheet(str_of("FV3 8:10 3.4P\n")));
    assert_false(filled_is_sheet(str_of("date\ttime\tph\n")));
    assert_false(filled_is_sheet(str_of("")));
    assert_true(filled_is_other_sheet(str_of("date,time,tank,ph\n")));
    assert_true(filled_is_other_sheet(str_of("\"date\";\"time\";\"tank\";\"ph\"\n")));
    assert_false(filled_is_other_sheet(str_of("FV3 8:10 3.4P, 4.42, fine\n")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_become_entries),
        cmocka_unit_test(a_forced_sample_has_remarks_of_its_own),
        cmocka_unit_test(tells_a_sheet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
