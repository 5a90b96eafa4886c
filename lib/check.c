#include "check.h"

#include "check_rules.h"

#include <math.h>
#include <string.h>

enum { FUTURE_SECONDS = 10 * CIVIL_MINUTE };

void check_begin(struct check *check, const struct cellar *cellar, struct diags *diags,
                 struct arena *arena, int64_t now)
{
    *check = (struct check){.cellar = cellar, .diags = diags, .arena = arena, .now = now};
}

void check_not_future(const struct check *check, const struct source *source,
                      const struct moment *moment)
{
    char at[CIVIL_TEXT_SIZE], now[CIVIL_TEXT_SIZE];
    if (!moment->set || moment->at <= check->now + FUTURE_SECONDS)
        return;
    diag_add(check->diags, doc_place(source, moment->node), RULE_FUTURE,
             "%s lies in the future, it is %s now: check the date",
             civil_minute(check->cellar->zone, moment->at, at),
             civil_minute(check->cellar->zone, check->now, now));
}

/* `tank "FV33" is not in the cellar file; did you mean FV3?` */
static void report_name(const struct check *check, const struct source *source,
                        const struct doc_node *name, const char *what, const char *nearest)
{
    const char *shown = str_shown(check->diags->arena, name->text);
    diag_add(check->diags, doc_place(source, name), RULE_REFERENCE,
             "%s \"%s\" is not in the cellar file%s", what, shown,
             str_meant(check->diags->arena, nearest, ": spell it as there, or declare it there"));
}

void check_tank_name(const struct check *check, const struct source *source,
                     const struct doc_node *tank)
{
    if (tank != NULL && cellar_tank(check->cellar, tank->text) == NULL)
        report_name(check, source, tank, "tank",
                    cellar_nearest_tank(check->cellar, check->diags->arena, tank->text));
}

const struct cellar_meter *check_meter_name(const struct check *check, const struct source *source,
                                            const struct doc_node *meter)
{
    if (meter == NULL)
        return NULL;
    const struct cellar_meter *found = cellar_meter(check->cellar, meter->text);
    if (found == NULL)
        report_name(check, source, meter, "meter",
                    cellar_nearest_meter(check->cellar, check->diags->arena, meter->text));
    return found;
}

static void check_beer_name(const struct check *check, const struct source *source,
                            const struct doc_node *beer)
{
    if (beer != NULL && cellar_beer(check->cellar, beer->text) == NULL)
        report_name(check, source, beer, "beer",
                    cellar_nearest_beer(check->cellar, check->diags->arena, beer->text));
}

static void check_check_name(const struct check *check, const struct source *source,
                             const struct doc_node *name)
{
    if (name != NULL && cellar_check(check->cellar, name->text) == NULL)
        report_name(check, source, name, "check",
                    cellar_nearest_check(check->cellar, check->diags->arena, name->text));
}

bool check_tank_pressure(const struct check *check, const struct source *source, const char *key,
                         const struct figure *figure)
{
    const double most_bar = 10;
    if (figure->state != FIGURE_SET || figure->value <= most_bar || figure->node == NULL)
        return true;
    struct buf most = buf_new(check->diags->arena);
    quantity_write(&most, QUANTITY_PRESSURE, most_bar, figure->unit, 0);
    diag_add(
        check->diags, doc_place(source, figure->node), RULE_MAGNITUDE,
        "%s: \"%s\" cannot be: no tank of beer stands over %s: check the decimal point and the "
        "unit",
        key, str_shown(check->diags->arena, figure->node->text), most.p);
    return false;
}

bool check_name_differs(const struct source *source, struct str text)
{
    struct str name = source->name;
    size_t slash = name.n;
    while (slash > 0 && name.p[slash - 1] != '/')
        slash--;
    name = str_cut(name, slash, name.n);
    if (!str_ends(name, ".yaml"))
        return false;
    name = str_cut(name, 0, name.n - strlen(".yaml"));
    bool dash = false;
    for (size_t i = 0; i < name.n; i++) {
        bool month = name.n == 7 && i == 4 && name.p[i] == '-' && !dash;
        if (!month && !(name.p[i] >= '0' && name.p[i] <= '9'))
            return false;
        dash = dash || month;
    }
    return name.n > 0 && !str_eq(name, text);
}

void check_cellar(struct check *check, const struct cellar *cellar)
{
    struct check own = *check;
    own.cellar = cellar;
    for (size_t i = 0; i < cellar->walk.n; i++) {
        check_tank_name(&own, cellar->source, cellar->walk.items[i]);
        for (size_t k = 0; k < i && k < 256; k++)
            if (str_eq(cellar->walk.items[i]->text, cellar->walk.items[k]->text)) {
                diag_add(check->diags, doc_place(cellar->source, cellar->walk.items[i]),
                         RULE_DUPLICATE_KEY, "the walk passes \"%s\" twice: keep one",
                         str_shown(check->diags->arena, cellar->walk.items[i]->text));
                break;
            }
    }
    for (size_t i = 0; i < cellar->tanks.n; i++)
        check_tank_pressure(&own, cellar->source, "rated", &cellar->tanks.items[i].rated);
    for (size_t i = 0; i < cellar->planned.n; i++) {
        check_tank_name(&own, cellar->source, cellar->planned.items[i].tank);
        check_beer_name(&own, cellar->source, cellar->planned.items[i].beer);
    }
}

static void check_entry_month(const struct check *check, const struct plant *plant,
                              const struct moment *at)
{
    char text[CIVIL_TEXT_SIZE];
    if (!at->set || plant->month == NULL)
        return;
    civil_minute(check->cellar->zone, at->at, text);
    if (!str_eq((struct str){text, 7}, plant->month->text))
        diag_add(check->diags, doc_place(plant->source, at->node), RULE_MONTH,
                 "%s is not in %s: this entry belongs in another month's file", text,
                 str_shown(check->diags->arena, plant->month->text));
}

/* The moment of an entry of the plant log. */
static void check_entry_time(const struct check *check, const struct plant *plant,
                             const struct moment *at)
{
    check_not_future(check, plant->source, at);
    check_entry_month(check, plant, at);
}

static double slope_of(const struct plant_buffer *a, const struct plant_buffer *b)
{
    return (a->mv.value - b->mv.value) / (b->ph.value - a->ph.value);
}

/* An electrode gives 54 to 62 mV for each pH between 0 and 40 C; a worn one less. */
static void check_slope(const struct check *check, const struct plant *plant,
                        const struct plant_calibration *calibration)
{
    enum { LEAST = 35, MOST = 75 };
    for (size_t i = 1; i < calibration->buffers.n; i++) {
        const struct plant_buffer *a = &calibration->buffers.items[i - 1], *b = a + 1;
        if (!figure_is_exact(&a->mv) || !figure_is_exact(&b->mv) || !figure_is_exact(&a->ph) ||
            !figure_is_exact(&b->ph) || fabs(a->ph.value - b->ph.value) < 0.5)
            continue;
        double slope = slope_of(a, b);
        if (!(slope >= LEAST && slope <= MOST))
            diag_add(check->diags, doc_place(plant->source, b->mv.node), RULE_CALIBRATION,
                     "%.0f mV for each pH between these buffers; an electrode gives about 58: "
                     "check the millivolts and their sign",
                     slope);
    }
}

static void check_calibration(const struct check *check, const struct plant *plant,
                              const struct plant_calibration *calibration)
{
    check_entry_time(check, plant, &calibration->at);
    const struct cellar_meter *meter = check_meter_name(check, plant->source, calibration->meter);
    check_slope(check, plant, calibration);
    if (meter == NULL)
        return;
    enum quantity reads = cellar_reads_quantity(meter->reads);
    const char *shown = str_shown(check->diags->arena, calibration->meter->text);
    if (calibration->buffers.n > 0 && reads != QUANTITY_PH)
        diag_add(check->diags, doc_place(plant->source, calibration->meter), RULE_METER,
                 "%s reads %s, but this calibration has buffers: name the pH meter", shown,
                 QUANTITIES[reads].name);
    if (calibration->water.state == FIGURE_SET && reads != QUANTITY_GRAVITY)
        diag_add(check->diags, doc_place(plant->source, calibration->meter), RULE_METER,
                 "%s reads %s, but this calibration has water: name the gravity meter", shown,
                 QUANTITIES[reads].name);
}

static void check_month(const struct check *check, const struct book_file *file,
                        const struct plant *plant)
{
    struct civil_date date;
    char text[CIVIL_DATE_SIZE];
    if (plant->month == NULL)
        return;
    struct str month = plant->month->text;
    snprintf(text, sizeof text, "%.7s-01", month.n == 7 ? month.p : "");
    if (civil_parse_date(text, strlen(text), &date) != CIVIL_OK)
        diag_add(check->diags, doc_place(plant->source, plant->month), RULE_VALUE,
                 "plant: \"%s\" is not a month: write it as 2026-11",
                 str_shown(check->diags->arena, month));
    else if (file->stream.count == 1 && check_name_differs(plant->source, month))
        diag_add(check->diags, doc_place(plant->source, plant->month), RULE_FILE_NAME,
                 "the file is named for another month than %s: rename it, or mend the month",
                 str_shown(check->diags->arena, month));
}

static void check_plant(const struct check *check, const struct book_file *file,
                        const struct plant *plant)
{
    check_month(check, file, plant);
    for (size_t i = 0; i < plant->readings.n; i++) {
        check_entry_time(check, plant, &plant->readings.items[i].at);
        check_check_name(check, plant->source, plant->readings.items[i].check);
    }
    check_counters(check, plant);
    for (size_t i = 0; i < plant->calibrations.n; i++)
        check_calibration(check, plant, &plant->calibrations.items[i]);
    for (size_t i = 0; i < plant->cleaned.n; i++) {
        check_entry_time(check, plant, &plant->cleaned.items[i].at);
        check_tank_name(check, plant->source, plant->cleaned.items[i].tank);
    }
    for (size_t i = 0; i < plant->rounds.n; i++) {
        const struct plant_round *round = &plant->rounds.items[i];
        check_entry_time(check, plant, &round->at);
        for (size_t k = 0; k < round->skipped.n; k++) {
            check_tank_name(check, plant->source, round->skipped.items[k].tank);
            check_check_name(check, plant->source, round->skipped.items[k].check);
        }
    }
}

static struct check_place kept_place(const struct str *file, const struct doc_node *node)
{
    return (struct check_place){file, node->line, node->column};
}

static void add_stays(struct check *check, const struct batch *batch, const struct str *file,
                      const struct check_batch *added)
{
    for (size_t i = 0; i < batch->stays.n; i++) {
        const struct batch_stay *stay = &batch->stays.items[i];
        const struct cellar_tank *tank = cellar_tank(check->cellar, stay->tank);
        if (tank == NULL || stay->to < stay->from)
            continue;
        struct check_stay *kept = chain_add(&check->stays, check->arena, sizeof *kept);
        *kept = (struct check_stay){
            .from = stay->from,
            .to = stay->to,
            .place = kept_place(file, stay->entry->node),
            .batch = added,
            .tank = (uint32_t)(tank - check->cellar->tanks.items),
        };
    }
}

static void add_use(struct check *check, const struct str *file, const struct check_batch *batch,
                    const struct doc_node *number, const struct figure *volume, bool is_part)
{
    if (number == NULL)
        return;
    struct check_use *use = chain_add(&check->uses, check->arena, sizeof *use);
    *use = (struct check_use){
        .number = str_copy(check->arena, number->text),
        .place = kept_place(file, number),
        .batch = batch,
        .is_part = is_part,
        .volume_hl = figure_is_exact(volume) ? volume->value : NAN,
    };
}

static void add_batch(struct check *check, const struct batch *batch, const struct str *file,
                      bool reported)
{
    if (batch->number == NULL)
        return;
    struct check_batch *added = chain_add(&check->batches, check->arena, sizeof *added);
    *added = (struct check_batch){
        .number = str_copy(check->arena, batch->number->text),
        .place = kept_place(file, batch->number),
        .volume_hl = figure_is_exact(&batch->volume) ? batch->volume.value : NAN,
        .reported = reported,
        .replaces = reported && check->replaces,
    };
    add_stays(check, batch, file, added);
    for (size_t i = 0; i < batch->of.n; i++)
        add_use(check, file, added, batch->of.items[i].batch, &batch->of.items[i].volume, true);
    for (size_t i = 0; i < batch->events.n; i++)
        if (batch->events.items[i].what == EVENT_KRAUSEN)
            add_use(check, file, added, batch->events.items[i].batch,
                    &batch->events.items[i].volume, false);
}

void check_sum_up(struct check *check, const struct book_file *file, bool reported)
{
    if (file->batches.n == 0)
        return;
    struct str *name = arena_alloc(check->arena, sizeof *name);
    *name = file->source.name;
    for (size_t i = 0; i < file->batches.n; i++)
        add_batch(check, file->batches.items[i], name, reported);
}

void check_file(struct check *check, const struct book *book, struct arena *arena,
                struct book_file *file)
{
    if (!file->readable)
        return;
    check->scratch = arena;
    check_text(check->diags, file);
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        book_settle(book, arena, batch, INT64_MAX);
        check_beer_name(check, batch->source, batch->beer);
        check_batch(check, file, batch);
    }
    for (size_t i = 0; i < file->plants.n; i++)
        check_plant(check, file, file->plants.items[i]);
    for (size_t i = 0; i < file->cellars.n; i++)
        check_cellar(check, file->cellars.items[i]);
    check_sum_up(check, file, true);
}

void check_join(struct check *check, struct check *more)
{
    chain_join(&check->batches, &more->batches);
    chain_join(&check->stays, &more->stays);
    chain_join(&check->uses, &more->uses);
}
