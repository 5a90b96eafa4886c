#include "due.h"
#include "finish_book.h"
#include "next.h"

#include <math.h>

static const char BEERS[] =
    "  ale: {yeast: ale, terminal: 2.2..2.8 P, ferment: 18..20 C, cold: -1..2 C, "
    "vdk: ..0.10 mg/L, carbonation: 2.4..2.6 vol}\n"
    "  bare: {yeast: ale}\n"
    "  lager: {yeast: lager, terminal: 2.1..2.6 P, ferment: 10..14 C}\n";

#define ORIGINAL "original: 12.0 P\nvolume: 50 hL\n"
#define FORCED   ORIGINAL "forced: {gravity: 2.4 P, at: 2026-11-03 09:00}\n"
#define ENDED    "11.0 7.5 4.2 2.8 2.4 2.4 2.4"

/* What is to be done a week after the pitch, or on another day; the caution, or part of it. */
static const struct row {
    const char *title, *beer, *keys, *days;
    int now_day;
    const char *step, *caution;
    int due_day; /* the date in November at which it is due; 0: no time */
} ROWS[] = {
    {"falling: the next morning's round", "bare", ORIGINAL, "11.0 7.5", 2, "read again", "", 4},
    {"nothing read yet", "ale", FORCED, "-", 1, "read gravity", "", 0},
    {"not brewed yet", "ale", FORCED, "-", -1, "brew", "", 1},
    {"slow to start", "ale", FORCED, "12.0 12.0", 2,
     "slow start: look at temperature and yeast, read again", "", 4},
    {"not slow yet", "ale", FORCED, "12.0", 1, "read again", "", 3},
    {"a lager may take three days", "lager", FORCED, "12.0 12.0", 2, "read again", "", 4},
    {"one more day", "ale", FORCED, "11.0 7.5 4.2 2.8 2.6 2.4", 6,
     "read again: 1 more day the same", "", 8},
    {"stuck", "ale", FORCED, "11.0 7.5 4.6 3.6 3.5 3.5 3.5", 7,
     "look at yeast and temperature; rouse, and force a sample", "", 0},
    {"stuck although roused", "ale", FORCED "events:\n  - {at: 2026-11-04 10:00, what: rouse}\n",
     "11.0 7.5 3.6 3.5 3.5 3.5", 6, "rousing did not help: force a sample, pitch active yeast", "",
     0},
    {"on hold", "ale", FORCED "events:\n  - {at: 2026-11-04 10:00, what: hold}\n", ENDED, 7,
     "on hold: wait for the release", "", 0},
    {"released", "ale",
     FORCED "events:\n  - {at: 2026-11-04 10:00, what: hold}\n"
            "  - {at: 2026-11-05 10:00, what: release}\n",
     ENDED, 7, "VDK sample, warmed and smelt, before it is chilled", "", 8},
    {"below its limit", "ale", FORCED, "11.0 7.5 4.2 2.4 2.0 1.9", 6,
     "hold; read with another meter; look for wild yeast or enzyme", "", 0},
    {"one reading below", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 2.4 1.9", 7,
     "read again: the last one alone is below the limit", "", 9},
    {"one reading moved", "ale", FORCED, "11.0 7.5 4.2 2.8 2.5 2.5 2.2", 7,
     "read again: the last one alone has moved", "", 9},
    {"chilled early", "ale", FORCED "events:\n  - {at: 2026-11-05 10:00, what: chill}\n",
     "11.0 7.5 5.0 4.0 3.9/5 3.9/1", 6, "do not package: warm it again and rouse, or ask", "", 0},
    {"no limit", "bare", ORIGINAL, "11.0 7.5 4.2 2.8 2.5 2.5", 6,
     "force a sample before chilling or packaging: no limit is known", "", 0},
    {"no judgement", "bare", ORIGINAL, "11.0 9.5 8.2 8.0 8.0 8.0", 6,
     "force a sample (stirred, warm) to learn where it should end", "", 0},
    {"another beer?", "ale", FORCED, "11.0 7.5 4.2 2.8 2.4 5.4 5.4", 7,
     "take a fresh sample of this tank and read it twice", "", 9},
    {"within the margin", "ale", FORCED, "11.0 7.5 4.2 3.0 2.7 2.7 2.7", 7,
     "confirm before packaging: 0.3 P left can make 0.59 vol", "", 0},
    {"finished, never tested for VDK", "ale", FORCED, ENDED, 7,
     "VDK sample, warmed and smelt, before it is chilled", "", 8},
    {"finished and cold", "ale", FORCED "events:\n  - {at: 2026-11-08 10:00, what: chill}\n",
     ENDED " 2.4/9", 8, "wait until it is cold, now 9.0 C", "", 0},
    {"cold: the yeast", "ale", FORCED "events:\n  - {at: 2026-11-08 10:00, what: chill}\n",
     ENDED " 2.4/2", 8, "dump the yeast", "", 0},
    {"dumped: move it", "ale",
     FORCED "events:\n  - {at: 2026-11-08 10:00, what: chill}\n"
            "  - {at: 2026-11-09 07:00, what: dump}\n",
     ENDED " 2.4/2", 8, "move to a bright tank", "", 0},
    {"dumped before it was cold: again", "ale",
     FORCED "events:\n  - {at: 2026-11-07 10:00, what: dump}\n"
            "  - {at: 2026-11-08 10:00, what: chill}\n",
     ENDED " 2.4/2", 8, "dump the yeast", "", 0},
    {"a lager without a VDK limit is tested too", "lager", FORCED,
     "11.9 11.0 9.0 6.0 3.0 2.4/12 2.4/12 2.4/12", 8,
     "VDK sample, warmed and smelt, before it is chilled", "", 9},
    {"nearly done in a strong tank: the valve", "ale", FORCED, "11.0 7.5 4.2 3.0", 4,
     "the valve can be closed: what is left makes 1.15 bar",
     "closing: rated 1.50 bar here; go by the name plate, and watch the relief valve", 6},
    {"too much left for it", "ale", FORCED, "11.0 7.5 4.2 3.3", 4, "read again", "", 6},
    {"closed already", "ale", FORCED "events:\n  - {at: 2026-11-04 10:00, what: close}\n",
     "11.0 7.5 4.2 3.0", 4, "read again", "", 6},
    {"closed and vented", "ale",
     FORCED "events:\n  - {at: 2026-11-04 10:00, what: close}\n"
            "  - {at: 2026-11-04 11:00, what: vent}\n",
     "11.0 7.5 4.2 3.0", 4, "the valve can be closed: what is left makes 1.15 bar",
     "closing: rated 1.50 bar here; go by the name plate, and watch the relief valve", 6},
    {"weak beer", "ale", "original: 6.0 P\nforced: {gravity: 2.4 P, at: 2026-11-03 09:00}\n",
     "5.0 3.5 2.8 2.4 2.4 2.4", 6, "VDK sample, warmed and smelt, before it is chilled",
     "only 1.9 % alcohol: hold it, ask someone qualified", 7},
};

static void steps(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        const struct row *row = &ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, row->beer, row->keys, row->days, "", row->now_day);
        struct finish finish = finish_book_judge(&book);
        struct next next = next_step(&book.context, &finish);
        int day = next.has_at
                      ? 1 + (int)((next.at - FINISH_BOOK_PITCH + 15 * CIVIL_HOUR) / CIVIL_DAY)
                      : 0;
        if (strcmp(next.step, row->step) != 0 || strcmp(next.caution, row->caution) != 0 ||
            day != row->due_day) {
            print_error("%s: %s: %s; %s; on %d\n", row->title, FINISH_VERDICT[finish.verdict].name,
                        next.step, next.caution, day);
            wrong++;
        }
        finish_book_end(&book);
    }
    assert_int_equal(wrong, 0);
}

/* A VDK test on a date, at 12:00, of an ale that came to its end on 6 November at 08:00. */
static const struct vdk_row {
    const char *title, *beer, *at, *vdk, *step;
} VDK_ROWS[] = {
    {"three days before the end: too early", "ale", "03 12:00", "pass", "VDK sample"},
    {"a minute more than two days before", "ale", "04 07:59", "pass", "VDK sample"},
    {"two days before", "ale", "04 08:00", "pass", "close the valve, chill to -1..2 C"},
    {"after the end", "ale", "08 08:30", "0.10 mg/L", "close the valve, chill"},
    {"over its limit", "ale", "08 08:30", "0.12 mg/L",
     "VDK to come: 0.12 mg/L, wants ..0.10 mg/L; keep it warm, sample again"},
    {"a bound that proves it", "ale", "08 08:30", "<0.05 mg/L", "close the valve, chill"},
    {"a bound that does not", "ale", "08 08:30", "<0.2 mg/L", "VDK to come: <0.20 mg/L"},
    {"off the upper end", "ale", "08 08:30", "\">0.05 mg/L\"", "VDK to come: >0.05 mg/L"},
    {"smelt a trace", "ale", "08 08:30", "trace", "VDK to come: smelt \"trace\""},
    {"smelt it", "ale", "08 08:30", "fail", "VDK to come: smelt \"fail\""},
    {"no limit: any figure", "pale", "08 08:30", "0.5 mg/L", "close the valve, chill"},
};

static void vdk(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof VDK_ROWS / sizeof VDK_ROWS[0]; i++) {
        const struct vdk_row *row = &VDK_ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, "  ale: {yeast: ale, cold: -1..2 C, vdk: ..0.10 mg/L}\n"
                                 "  pale: {yeast: ale}\n");
        finish_book_batch(&book, row->beer, FORCED, "11.0 7.5 4.2 2.8 2.4 2.4", "", 7);
        struct buf text = buf_new(&book.arena);
        buf_printf(&text, STR_FMT "  - {at: 2026-11-%s, vdk: %s}\n", STR_ARG(buf_str(&book.text)),
                   row->at, row->vdk);
        struct source source = {STR("batch.yaml"), buf_str(&text)};
        struct book_file *file = book_parse(&book.book, &book.arena, source);
        struct batch *batch = file->batches.items[0];
        book_settle(&book.book, &book.arena, batch, book.context.now);
        assert_int_equal(book.diags.errors, 0);
        struct batch_courses courses = batch_courses(batch, &book.arena, book.context.now);
        struct finish finish = finish_judge(&book.context, &courses.items[0]);
        assert_int_equal(finish.verdict, FINISH_FINISHED);
        struct next next = next_step(&book.context, &finish);
        if (strstr(next.step, row->step) != next.step)
            fail_msg("%s: %s", row->title, next.step);
        /* The round asks for it when, and only when, this does. */
        const struct due_tank tank = {.course = &courses.items[0],
                                      .zone = civil_utc(),
                                      .now = book.context.now + 2 * CIVIL_DAY,
                                      .kind = TANK_FERMENTER,
                                      .every_hours = 24,
                                      .phase = DUE_FINISHED,
                                      .vdk_from = due_vdk_from(&finish)};
        bool asks = (due_today(&tank).reads & 1U << READS_VDK) != 0;
        if (asks != (strncmp(next.step, "VDK", 3) == 0))
            fail_msg("%s: %s, but the round %s for it", row->title, next.step,
                     asks ? "asks" : "does not ask");
        finish_book_end(&book);
    }
}

/* In a bright tank from the 9th, chilled the day before: its carbonation, and what follows. */
#define BRIGHT                                                                                     \
    FORCED "tanks: [{tank: FV1, from: 2026-11-01 15:00}, {tank: BT1, from: 2026-11-09 10:00}]\n"   \
           "events:\n  - {at: 2026-11-08 10:00, what: chill}\n"
#define GASSED BRIGHT "  - {at: 2026-11-09 12:00, what: carbonate}\n"
static const struct bright_row {
    const char *title, *keys, *carbonation; /* of the 10th at noon; "": not measured */
    enum next_kind kind;
    const char *step;
} BRIGHT_ROWS[] = {
    {"not carbonated yet", BRIGHT, "", NEXT_CARBONATE, "carbonate"},
    {"carbonated, not measured", GASSED, "", NEXT_CARBONATE, "measure the carbonation"},
    {"too little", GASSED, "2.39 vol", NEXT_CARBONATE,
     "carbonate further: 2.39 vol, wants 2.4..2.6 vol"},
    {"at the low end", GASSED, "2.40 vol", NEXT_PACKAGE, "package"},
    {"at the high end", GASSED, "2.60 vol", NEXT_PACKAGE, "package"},
    {"too much", GASSED, "2.61 vol", NEXT_CARBONATE, "let gas off: 2.61 vol, wants 2.4..2.6 vol"},
    {"brewed into the bright tank: no place to carbonate",
     FORCED "tanks: [{tank: BT1, from: 2026-11-01 15:00}]\n"
            "events:\n  - {at: 2026-11-08 10:00, what: chill}\n",
     "", NEXT_MOVE, "move to a bright tank"},
    {"still in a fermenter", FORCED "events:\n  - {at: 2026-11-08 10:00, what: chill}\n", "",
     NEXT_DUMP, "dump the yeast"},
};

static void in_a_bright_tank(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof BRIGHT_ROWS / sizeof BRIGHT_ROWS[0]; i++) {
        const struct bright_row *row = &BRIGHT_ROWS[i];
        struct finish_book book;
        finish_book_begin(&book, BEERS);
        finish_book_batch(&book, "ale", row->keys, ENDED " 2.4/1 2.4/1", "", 11);
        struct buf text = buf_new(&book.arena);
        buf_add(&text, buf_str(&book.text));
        if (row->carbonation[0] != '\0')
            buf_printf(&text, "  - {at: 2026-11-10 12:00, carbonation: %s}\n", row->carbonation);
        struct source source = {STR("batch.yaml"), buf_str(&text)};
        struct batch *batch = book_parse(&book.book, &book.arena, source)->batches.items[0];
        book_settle(&book.book, &book.arena, batch, book.context.now);
        assert_int_equal(book.diags.errors, 0);
        struct batch_courses courses = batch_courses(batch, &book.arena, book.context.now);
        struct finish finish = finish_judge(&book.context, &courses.items[courses.n - 1]);
        struct next next = next_step(&book.context, &finish);
        if (next.kind != row->kind || strcmp(next.step, row->step) != 0)
            fail_msg("%s: %s, %d: %s", row->title, FINISH_VERDICT[finish.verdict].name,
                     (int)next.kind, next.step);
        finish_book_end(&book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps),
        cmocka_unit_test(vdk),
        cmocka_unit_test(in_a_bright_tank),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
