#include "book.h"
#include "due.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof(array)[0])
#define BIT(reads)   (1U << READS_##reads)

static const char CELLAR[] =
    "---\ncellar: Test\nzone: Europe/Dublin\n"
    "units: {gravity: P, temperature: C, pressure: bar, volume: hL}\n"
    "tanks:\n  FV1: {kind: fermenter, capacity: 60 hL}\n  BT1: {kind: bright}\n"
    "beers:\n  Pale: {yeast: ale, vdk: ..0.10 mg/L, carbonation: 2.4..2.6 vol, oxygen: ..50 ppb}\n"
    "  Sour: {yeast: sour}\n  Cider: {yeast: none}\n  Blond: {yeast: belgian}\n"
    "  Buttery: {yeast: ale, vdk: 0.05.. mg/L}\n";

struct row {
    const char *title;
    const char *beer, *more; /* keys of the batch besides the usual ones, each with its line end */
    const char *readings;
    const char *now;
    enum due_phase phase;
    int kind;
    double every_hours;
    unsigned reads, tasks;
    bool is_asked;
};

#define WARM     (BIT(GRAVITY) | BIT(PH) | BIT(TEMP) | BIT(PRESSURE))
#define COLD     (BIT(TEMP) | BIT(PRESSURE))
#define ALL_OF   "gravity: 5.0 P, ph: 4.3, temp: 19 C, pressure: 0.2 bar"
#define FORCED   "forced: {gravity: 2.4 P}\n"
#define DAY(day) "  - {at: 2026-11-" day " 09:00, " ALL_OF "}\n"

static const struct row ROWS[] = {
    {"fermenting, read yesterday at nine, now eight", "Pale", FORCED, DAY("16"), "2026-11-17 08:00",
     DUE_FERMENTING, TANK_FERMENTER, 24, WARM, 0, false},
    {"already read today", "Pale", FORCED, DAY("17"), "2026-11-17 11:00", DUE_FERMENTING,
     TANK_FERMENTER, 24, 0, 0, false},
    {"today's reading left the pH out", "Pale", FORCED,
     "  - {at: 2026-11-17 08:00, gravity: 5.0 P, temp: 19 C, pressure: 0.2 bar}\n",
     "2026-11-17 11:00", DUE_FERMENTING, TANK_FERMENTER, 24, BIT(PH), 0, false},
    {"nothing read yet", "Pale", FORCED, "", "2026-11-17 08:00", DUE_NOT_STARTED, TANK_FERMENTER,
     24, WARM, 0, false},
    {"a withdrawn figure was not read", "Pale", FORCED,
     "  - {at: 2026-11-17 08:00, gravity: ~, ph: 4.3, temp: 19 C, pressure: 0.2 bar}\n",
     "2026-11-17 11:00", DUE_FERMENTING, TANK_FERMENTER, 24, BIT(GRAVITY), 0, false},
    {"stuck: as if it fermented", "Pale", FORCED, DAY("24"), "2026-11-25 07:00", DUE_WRONG,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"slowing in its first week: no VDK", "Pale", FORCED, DAY("18"), "2026-11-19 07:00",
     DUE_SLOWING, TANK_FERMENTER, 24, WARM, 0, false},
    {"slowing after a week: VDK", "Pale", FORCED, DAY("21"), "2026-11-22 07:00", DUE_SLOWING,
     TANK_FERMENTER, 24, WARM | BIT(VDK), 0, false},
    {"slowing, no VDK limit written: not asked for", "Blond", FORCED, DAY("21"), "2026-11-22 07:00",
     DUE_SLOWING, TANK_FERMENTER, 24, WARM, 0, false},
    {"finished, VDK never tested", "Pale", FORCED, DAY("18"), "2026-11-19 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"finished, smell passed", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: pass}\n", "2026-11-25 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"finished, VDK at its limit", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.10 mg/L}\n", "2026-11-25 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"finished, VDK failed yesterday: not again today", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: fail}\n", "2026-11-19 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"finished, VDK over its limit two days ago", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.12 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"finished, no VDK limit written: asked for", "Blond", FORCED, DAY("21"), "2026-11-22 07:00",
     DUE_FINISHED, TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"a cider without a VDK limit", "Cider", "", DAY("18"), "2026-11-25 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"a sour beer without a VDK limit", "Sour", "", DAY("18"), "2026-11-25 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"cold", "Pale", FORCED, DAY("24"), "2026-11-25 07:00", DUE_COLD, TANK_FERMENTER, 24, COLD, 0,
     false},
    {"bright, nothing proved", "Pale", FORCED, DAY("24"), "2026-11-25 07:00", DUE_BRIGHT,
     TANK_BRIGHT, 24, COLD | BIT(CARBONATION) | BIT(OXYGEN), 0, false},
    {"bright, CO2 short yesterday, oxygen good", "Pale", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.1 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD | BIT(CARBONATION), 0, false},
    {"bright, both good two days ago", "Pale", FORCED,
     "  - {at: 2026-11-23 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"bright, both good three days ago", "Pale", FORCED,
     "  - {at: 2026-11-22 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD | BIT(CARBONATION) | BIT(OXYGEN), 0,
     false},
    {"bright, good, but carbonated again since", "Pale",
     FORCED "events: [{at: 2026-11-24 10:00, what: carbonate}]\n",
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD | BIT(CARBONATION) | BIT(OXYGEN), 0,
     false},
    {"a barrel has no gauge", "Sour", "", DAY("15"), "2026-12-20 07:00", DUE_FERMENTING,
     TANK_BARREL, 24 * 30, BIT(GRAVITY) | BIT(PH) | BIT(TEMP), 0, false},
    {"a barrel visited last week", "Sour", "", "  - {at: 2026-12-13 09:00, temp: 12 C}\n",
     "2026-12-20 07:00", DUE_FERMENTING, TANK_BARREL, 24 * 30, 0, 0, false},
    {"the day of brewing", "Pale", "", "", "2026-11-15 08:00", DUE_NOT_STARTED, TANK_FERMENTER, 24,
     WARM, DUE_FORCED_SET, false},
    {"the forced sample is not ready", "Pale", "", "", "2026-11-15 20:00", DUE_NOT_STARTED,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"the forced sample is ready", "Pale", "", "", "2026-11-16 08:00", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, DUE_FORCED_READ, false},
    {"read today, but asked for by name", "Pale", FORCED,
     "  - {at: 2026-11-17 09:00, " ALL_OF ", vdk: pass}\n", "2026-11-17 11:00", DUE_SLOWING,
     TANK_FERMENTER, 24, WARM, 0, true},
    {"a barrel visited last week, asked for by name", "Sour", "",
     "  - {at: 2026-12-13 09:00, temp: 12 C}\n", "2026-12-20 07:00", DUE_FERMENTING, TANK_BARREL,
     24 * 30, BIT(GRAVITY) | BIT(PH) | BIT(TEMP), 0, true},
    {"the forced sample, a minute before a day", "Pale", "", "", "2026-11-15 15:29",
     DUE_NOT_STARTED, TANK_FERMENTER, 24, WARM, DUE_FORCED_SET, false},
    {"the forced sample, after a day", "Pale", "", "", "2026-11-15 15:30", DUE_NOT_STARTED,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"the forced sample, a minute before 36 h", "Pale", "", "", "2026-11-16 03:29", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"the forced sample, at 36 h", "Pale", "", "", "2026-11-16 03:30", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, DUE_FORCED_READ, false},
    {"the forced sample, a minute before five days", "Pale", "", "", "2026-11-19 15:29",
     DUE_FERMENTING, TANK_FERMENTER, 24, WARM, DUE_FORCED_READ, false},
    {"no forced sample in five days", "Pale", "", "", "2026-11-19 15:30", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"slowing on its seventh day: VDK", "Pale", FORCED, DAY("20"), "2026-11-21 07:00", DUE_SLOWING,
     TANK_FERMENTER, 24, WARM | BIT(VDK), 0, false},
    {"slowing on its sixth day: none", "Pale", FORCED, DAY("19"), "2026-11-20 07:00", DUE_SLOWING,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"VDK over its limit by a hundredth", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.11 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"VDK under what the kit can show", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: <0.10 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"VDK over what the kit can show", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: \">0.05 mg/L\"}\n", "2026-11-20 07:00",
     DUE_FINISHED, TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"a trace is not passed", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: trace}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"a figure without a limit passes", "Blond", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.30 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"bright, CO2 at its low end, oxygen at its limit", "Pale", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.4 vol, oxygen: 50 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"bright, CO2 at its high end", "Pale", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.6 vol, oxygen: 50 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"bright, CO2 over it, oxygen too", "Pale", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.7 vol, oxygen: 51 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD | BIT(CARBONATION) | BIT(OXYGEN), 0,
     false},
    {"bright, no limits: proved by any figure", "Blond", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 7.0 vol, oxygen: 900 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"bright, carbonated on the minute of the reading", "Pale",
     FORCED "events: [{at: 2026-11-24 09:00, what: carbonate}]\n",
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"bright, carbonated in another tank since", "Pale",
     FORCED "events: [{at: 2026-11-24 10:00, what: carbonate, tank: FV2}]\n",
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"a cask has no gauge", "Sour", "", DAY("15"), "2026-12-20 07:00", DUE_FERMENTING, TANK_CASK,
     24 * 30, BIT(GRAVITY) | BIT(PH) | BIT(TEMP), 0, false},
    {"a barrel on its thirtieth day", "Sour", "", DAY("20"), "2026-12-20 07:00", DUE_FERMENTING,
     TANK_BARREL, 24 * 30, BIT(GRAVITY) | BIT(PH) | BIT(TEMP), 0, false},
    {"a barrel on its twenty-ninth", "Sour", "", DAY("21"), "2026-12-20 07:00", DUE_FERMENTING,
     TANK_BARREL, 24 * 30, 0, 0, false},
    {"every other day: yesterday", "Pale", FORCED, DAY("16"), "2026-11-17 08:00", DUE_FERMENTING,
     TANK_FERMENTER, 48, 0, 0, false},
    {"every other day: the day before", "Pale", FORCED, DAY("15"), "2026-11-17 08:00",
     DUE_FERMENTING, TANK_FERMENTER, 48, WARM, 0, false},
    {"a later entry is not read yet", "Pale", FORCED, DAY("17"), "2026-11-17 08:00", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, 0, false},
    {"read on the very minute", "Pale", FORCED, DAY("17"), "2026-11-17 09:00", DUE_FERMENTING,
     TANK_FERMENTER, 24, 0, 0, false},
    {"a beer that cellar.yaml does not know: any VDK figure passes", "Nameless", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.30 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"a VDK limit without a high end: any figure passes", "Buttery", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: 0.30 mg/L}\n", "2026-11-20 07:00", DUE_FINISHED,
     TANK_FERMENTER, 24, COLD, 0, false},
    {"bright, a beer that cellar.yaml does not know: proved by any figure", "Nameless", FORCED,
     "  - {at: 2026-11-24 09:00, " ALL_OF ", carbonation: 7.0 vol, oxygen: 900 ppb}\n",
     "2026-11-25 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD, 0, false},
    {"every 30 h, read today without pH: a daily tank, so still asked for", "Pale", FORCED,
     "  - {at: 2026-11-17 08:00, gravity: 5.0 P, temp: 19 C, pressure: 0.2 bar}\n",
     "2026-11-17 11:00", DUE_FERMENTING, TANK_FERMENTER, 30, BIT(PH), 0, false},
    {"every other day, read today without pH: left alone until it is visited again", "Pale", FORCED,
     "  - {at: 2026-11-17 08:00, gravity: 5.0 P, temp: 19 C, pressure: 0.2 bar}\n",
     "2026-11-17 11:00", DUE_FERMENTING, TANK_FERMENTER, 48, 0, 0, false},
    {"cold, VDK failed two days ago", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", vdk: fail}\n", "2026-11-20 07:00", DUE_COLD,
     TANK_FERMENTER, 24, COLD | BIT(VDK), 0, false},
    {"bright, a trace two days ago", "Pale", FORCED,
     "  - {at: 2026-11-18 09:00, " ALL_OF ", carbonation: 2.5 vol, oxygen: 30 ppb, vdk: trace}\n",
     "2026-11-20 07:00", DUE_BRIGHT, TANK_BRIGHT, 24, COLD | BIT(VDK), 0, false},
    {"a sour has no forced sample", "Sour", "", "", "2026-11-16 08:00", DUE_FERMENTING,
     TANK_FERMENTER, 24, WARM, 0, false},
};

/* Another gravity is wanted of them. */
static const struct row OPEN_ROWS[] = {
    {"cold, but the last gravity alone has moved", "Pale", FORCED, DAY("24"), "2026-11-25 07:00",
     DUE_COLD, TANK_FERMENTER, 24, COLD | BIT(GRAVITY), 0, false},
    {"a blend in a bright tank, nothing read", "Pale", FORCED, "", "2026-11-25 07:00", DUE_BRIGHT,
     TANK_BRIGHT, 24, COLD | BIT(GRAVITY) | BIT(PH) | BIT(CARBONATION) | BIT(OXYGEN), 0, false},
    {"stuck: gravity was due without that", "Pale", FORCED, DAY("24"), "2026-11-25 07:00",
     DUE_WRONG, TANK_FERMENTER, 24, WARM, 0, false},
    {"cold, and read today", "Pale", FORCED, DAY("25"), "2026-11-25 11:00", DUE_COLD,
     TANK_FERMENTER, 24, 0, 0, false},
};

/* The batch was brewed on 14 November at 15:30; then: its later stays. */
static struct due due_from(struct arena *arena, const struct row *row, const char *zone_folder,
                           int64_t vdk_from, bool is_open, const char *then)
{
    struct diags diags;
    diag_init(&diags, arena);
    static struct source cellar_source;
    cellar_source = (struct source){STR("cellar.yaml"), str_of(CELLAR)};
    struct doc_stream stream = doc_read(arena, &cellar_source, &diags);
    struct book book = {.arena = arena, .diags = &diags, .folder = ""};
    book.cellar = cellar_read(arena, &cellar_source, stream.first->root, zone_folder, &diags);
    struct buf text = buf_new(arena);
    buf_printf(&text,
               "---\nbatch: 0417\nbeer: %s\nbrewed: 2026-11-14 15:30\nvolume: 50 hL\n"
               "tanks: [{tank: FV1, from: 2026-11-14 15:30}%s]\n%sreadings:\n%s",
               row->beer, then, row->more, row->readings);
    struct book_file *file =
        book_parse(&book, arena, (struct source){STR("b.yaml"), buf_str(&text)});
    if (diags.errors > 0)
        fail_msg("%s: %s", row->title, diags.items[0].message);
    int64_t now;
    assert_int_equal(civil_parse(row->now, strlen(row->now), book.cellar->zone, &now), CIVIL_OK);
    struct batch *batch = file->batches.items[0];
    book_settle(&book, arena, batch, now);
    struct batch_courses courses = batch_courses(batch, arena, now);
    assert_int_equal(courses.n, 1);
    const struct due_tank tank = {.course = courses.items,
                                  .zone = book.cellar->zone,
                                  .now = now,
                                  .kind = row->kind,
                                  .every_hours = row->every_hours,
                                  .phase = row->phase,
                                  .is_asked = row->is_asked,
                                  .is_open = is_open,
                                  .vdk_from = vdk_from};
    return due_today(&tank);
}

static struct due due_of(struct arena *arena, const struct row *row, const char *zone_folder)
{
    return due_from(arena, row, zone_folder, 0, false, "");
}

/* A VDK test counts from a moment on. */
static void vdk_of_late(void **state)
{
    (void)state;
    static const struct row row = {"",
                                   "Pale",
                                   FORCED,
                                   "  - {at: 2026-11-24 09:00, " ALL_OF ", vdk: 0.05 mg/L}\n",
                                   "2026-11-25 07:00",
                                   DUE_FINISHED,
                                   TANK_FERMENTER,
                                   24,
                                   COLD,
                                   0,
                                   false};
    int64_t read_at = 1795510800; /* 2026-11-24T09:00Z */
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    assert_int_equal(due_from(&arena, &row, NULL, read_at, false, "").reads, COLD);
    assert_int_equal(due_from(&arena, &row, NULL, read_at + 60, false, "").reads, COLD | BIT(VDK));
    arena_free(&arena);
}

/* What was proved before the beer came into the bright tank is to be proved again. */
static void bright_since(void **state)
{
    (void)state;
    static const struct row row = {"",
                                   "Pale",
                                   FORCED,
                                   "  - {at: 2026-11-24 09:00, " ALL_OF
                                   ", carbonation: 2.5 vol, oxygen: 30 ppb}\n",
                                   "2026-11-25 07:00",
                                   DUE_BRIGHT,
                                   TANK_BRIGHT,
                                   24,
                                   0,
                                   0,
                                   false};
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    struct due before =
        due_from(&arena, &row, NULL, 0, false, ", {tank: BT1, from: 2026-11-24 08:00}");
    struct due after =
        due_from(&arena, &row, NULL, 0, false, ", {tank: BT1, from: 2026-11-24 10:00}");
    assert_int_equal(before.reads, COLD);
    assert_int_equal(after.reads, COLD | BIT(CARBONATION) | BIT(OXYGEN));
    arena_free(&arena);
}

static void what_is_due(void **state)
{
    (void)state;
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(ROWS); i++) {
        struct due due = due_of(&arena, &ROWS[i], NULL);
        if (due.reads != ROWS[i].reads || due.tasks != ROWS[i].tasks)
            fail_msg("%s: due %#x and tasks %#x, not %#x and %#x", ROWS[i].title, due.reads,
                     due.tasks, ROWS[i].reads, ROWS[i].tasks);
        arena_reset(&arena);
    }
    for (size_t i = 0; i < COUNT(OPEN_ROWS); i++) {
        struct due due = due_from(&arena, &OPEN_ROWS[i], NULL, 0, true, "");
        if (due.reads != OPEN_ROWS[i].reads)
            fail_msg("%s: due %#x, not %#x", OPEN_ROWS[i].title, due.reads, OPEN_ROWS[i].reads);
        arena_reset(&arena);
    }
    arena_free(&arena);
}

/* When the round comes again, and whether it came today. */
static void the_next_visit(void **state)
{
    (void)state;
    static const struct {
        struct row row;
        int days; /* from today on */
        bool today;
    } rows[] = {
        {{"read today", "Pale", FORCED, DAY("17"), "2026-11-17 11:00", DUE_FERMENTING,
          TANK_FERMENTER, 24, 0, 0, false},
         1,
         true},
        {{"read yesterday", "Pale", FORCED, DAY("16"), "2026-11-17 11:00", DUE_FERMENTING,
          TANK_FERMENTER, 24, WARM, 0, false},
         0,
         false},
        {{"every other day", "Pale", FORCED, DAY("17"), "2026-11-17 11:00", DUE_FERMENTING,
          TANK_FERMENTER, 48, 0, 0, false},
         2,
         true},
        {{"read on the very minute", "Pale", FORCED, DAY("17"), "2026-11-17 09:00", DUE_FERMENTING,
          TANK_FERMENTER, 24, 0, 0, false},
         1,
         true},
        {{"a barrel", "Sour", FORCED, DAY("17"), "2026-11-17 11:00", DUE_FERMENTING, TANK_BARREL,
          24 * 30, 0, 0, false},
         30,
         true},
        {{"twice a day", "Pale", FORCED, DAY("17"), "2026-11-17 11:00", DUE_FERMENTING,
          TANK_FERMENTER, 12, 0, 0, false},
         1,
         true},
    };
    struct arena arena;
    arena_init(&arena, NULL, NULL);
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct due due = due_of(&arena, &rows[i].row, NULL);
        int64_t now = 0;
        civil_parse(rows[i].row.now, strlen(rows[i].row.now), civil_utc(), &now);
        if (due.next_day - civil_day(civil_utc(), now) != rows[i].days ||
            due.is_read_today != rows[i].today || due.reads != rows[i].row.reads)
            fail_msg("%s", rows[i].row.title);
        arena_reset(&arena);
    }
    arena_free(&arena);
}

static void what_follows_from_a_verdict(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        enum finish_verdict verdict;
        bool needs_confirm, is_cold;
        int kind;
        enum due_phase phase;
    } rows[] = {
        {"finished", FINISH_FINISHED, false, false, TANK_FERMENTER, DUE_FINISHED},
        {"finished and cold", FINISH_FINISHED, false, true, TANK_FERMENTER, DUE_COLD},
        {"finished, one reading to go", FINISH_FINISHED, true, false, TANK_FERMENTER, DUE_SLOWING},
        {"cold, but still falling", FINISH_FERMENTING, false, true, TANK_FERMENTER, DUE_FERMENTING},
        {"finished, in the bright tank", FINISH_FINISHED, false, true, TANK_BRIGHT, DUE_BRIGHT},
        {"stuck, in the bright tank", FINISH_STUCK, false, true, TANK_BRIGHT, DUE_WRONG},
        {"slowing", FINISH_SLOWING, true, false, TANK_FERMENTER, DUE_SLOWING},
        {"unconfirmed", FINISH_UNCONFIRMED, false, false, TANK_FERMENTER, DUE_SLOWING},
        {"no judgement", FINISH_NO_JUDGEMENT, false, false, TANK_FERMENTER, DUE_FERMENTING},
        {"not started", FINISH_NOT_STARTED, false, false, TANK_FERMENTER, DUE_NOT_STARTED},
    };
    static const struct batch batch;
    const struct batch_course course = {.batch = &batch};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct finish finish = {.course = &course,
                                      .verdict = rows[i].verdict,
                                      .needs_confirm = rows[i].needs_confirm,
                                      .chill = {.is_cold = rows[i].is_cold}};
        if (due_phase_of(&finish, rows[i].kind, 0) != rows[i].phase)
            fail_msg("%s", rows[i].title);
    }
}

/* Of a batch in two tanks one was carbonated: the other is not bright. */
static void carbonated_in_one_of_two_tanks(void **state)
{
    (void)state;
    const struct doc_node tank = {.text = STR("FV1")};
    struct batch_event event = {.what = EVENT_CARBONATE, .tank = &tank};
    struct batch_event *events[] = {&event};
    const struct batch batch = {.happened = {events, 1}};
    const struct batch_stay stays[] = {{.tank = STR("FV1")}, {.tank = STR("FV2")}};
    const struct batch_course courses[] = {{.batch = &batch, .stay = &stays[0]},
                                           {.batch = &batch, .stay = &stays[1]}};
    const struct finish carbonated = {.course = &courses[0], .verdict = FINISH_FINISHED};
    const struct finish falling = {.course = &courses[1], .verdict = FINISH_FERMENTING};
    assert_int_equal(due_phase_of(&carbonated, TANK_FERMENTER, 0), DUE_BRIGHT);
    assert_int_equal(due_phase_of(&carbonated, TANK_FERMENTER, -1), DUE_FINISHED);
    assert_int_equal(due_phase_of(&falling, TANK_FERMENTER, 0), DUE_FERMENTING);
}

/* Gravity is asked for until the end is sure. */
static void is_it_open(void **state)
{
    (void)state;
    static const struct sound_point point;
    static const struct {
        const char *title;
        struct finish finish;
        bool open;
    } rows[] = {
        {"nothing was read", {.verdict = FINISH_NO_JUDGEMENT}, true},
        {"over, by what nobody read here", {.verdict = FINISH_FINISHED}, true},
        {"it ferments", {.verdict = FINISH_FERMENTING, .last = &point}, true},
        {"finished", {.verdict = FINISH_FINISHED, .last = &point}, false},
        {"finished, but the last reading fell",
         {.verdict = FINISH_FINISHED, .last = &point, .fall_unconfirmed = true},
         true},
        {"finished, but the last reading is below its limit",
         {.verdict = FINISH_FINISHED, .last = &point, .below_unconfirmed = true},
         true},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        if (due_is_open(&rows[i].finish) != rows[i].open)
            fail_msg("%s", rows[i].title);
}

static void every_rule_has_a_source(void **state)
{
    (void)state;
    for (size_t i = 0; i < DUE_RULE_COUNT; i++) {
        assert_true(DUE_RULES[i].source[0] != '\0' && DUE_RULES[i].why[0] != '\0');
        assert_true((DUE_RULES[i].reads == READS_COUNT) == (DUE_RULES[i].task != 0));
    }
}

static void days_of_the_calendar_count(void **state)
{
    (void)state;
    static const struct {
        const char *title;
        int64_t hours_ago;
        double every;
        bool due;
    } rows[] = {
        {"calibrated yesterday at eight, now seven: a daily one is due", 23, 24, true},
        {"calibrated today", 6, 24, false},
        {"a weekly one after six days and a bit", 6 * 24 + 5, 168, false},
        {"a weekly one on its seventh day", 7 * 24 - 2, 168, true},
        {"twice a day is still a day", 23, 12, true},
        {"every 36 h: two days", 23, 36, false},
        {"every 35 h: one day", 23, 35, true},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        int64_t now = 1795590000; /* 2026-11-25T07:00:00Z */
        bool due =
            due_by_day(civil_utc(), now - rows[i].hours_ago * CIVIL_HOUR, rows[i].every, now);
        if (due != rows[i].due)
            fail_msg("%s", rows[i].title);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_due),
        cmocka_unit_test(the_next_visit),
        cmocka_unit_test(vdk_of_late),
        cmocka_unit_test(bright_since),
        cmocka_unit_test(what_follows_from_a_verdict),
        cmocka_unit_test(carbonated_in_one_of_two_tanks),
        cmocka_unit_test(is_it_open),
        cmocka_unit_test(every_rule_has_a_source),
        cmocka_unit_test(days_of_the_calendar_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
