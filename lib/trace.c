#include "trace.h"

#include "civil.h"
#include "table.h"
#include "words.h"

#include <math.h>

/* One line: what it is, its name, from when to when, and what more is known. */
struct item {
    const struct trace *trace;
    struct str lot;
    const char *what;
    struct str name;
    struct moment from, to;
    const char *detail;
};

#define COLUMN(name_)                                                                              \
    static void name_(struct buf *cell, const void *row, const struct table *table)

COLUMN(get_lot)
{
    (void)table;
    buf_add(cell, ((const struct item *)row)->lot);
}

COLUMN(get_what)
{
    (void)table;
    buf_add(cell, str_of(((const struct item *)row)->what));
}

COLUMN(get_name)
{
    (void)table;
    buf_add(cell, ((const struct item *)row)->name);
}

/* The day is enough for people. */
static void put_time(struct buf *cell, const struct item *item, struct moment at, bool tsv)
{
    const struct civil_zone *zone = item->trace->cellar->zone;
    char text[CIVIL_TEXT_SIZE];
    if (at.set && tsv)
        buf_add(cell, str_of(civil_rfc3339(zone, at.at, text)));
    else if (at.set)
        buf_add(cell, str_of(civil_date_text(civil_day(zone, at.at), text)));
}

COLUMN(get_from)
{
    put_time(cell, row, ((const struct item *)row)->from, table->tsv);
}

COLUMN(get_to)
{
    put_time(cell, row, ((const struct item *)row)->to, table->tsv);
}

COLUMN(get_detail)
{
    (void)table;
    buf_add(cell, str_of(((const struct item *)row)->detail));
}

static const struct table_column COLUMNS[] = {
    {"lot", NULL, 0, get_lot, NULL},
    {"what", "What", 0, get_what, NULL},
    {"name", "Name", TABLE_SHRINK, get_name, NULL},
    {"from", "From", TABLE_OPTIONAL, get_from, NULL},
    {"to", "To", TABLE_OPTIONAL, get_to, NULL},
    {"detail", "More", TABLE_WRAP | TABLE_OPTIONAL, get_detail, NULL},
};

/* A trace while it is written. */
struct writing {
    const struct trace *trace;
    const struct batch *batch;
    const struct batch_event *event; /* of that lot: packaged, or put in */
    struct table table;
};

static struct item item(const struct writing *w, const char *what, struct str name)
{
    return (struct item){
        .trace = w->trace, .lot = text_of(w->event->lot), .what = what, .name = name, .detail = ""};
}

static void add(struct writing *w, struct item it)
{
    table_row(&w->table, &it);
}

static struct moment moment_of(int64_t at)
{
    return (struct moment){.at = at, .set = true};
}

/* A figure in the unit in which it was written. */
static void put_figure(struct buf *buf, enum quantity quantity, const struct figure *figure)
{
    if (figure_is_exact(figure))
        quantity_write(buf, quantity, figure->value, figure->unit, figure->decimals);
}

/* The lot is told where it is not the one that is looked for. */
static void put_lot(struct buf *detail, const struct writing *w, const struct batch_event *event)
{
    if (event->lot == NULL || str_eq(event->lot->text, w->event->lot->text))
        return;
    buf_printf(detail, "%slot " STR_FMT, detail->n > 0 ? ", " : "", STR_ARG(event->lot->text));
}

static void add_packaged(struct writing *w, const struct batch_event *packaged)
{
    struct item it = item(w, "packaged", STR(""));
    struct buf detail = buf_new(w->trace->arena);
    const struct batch_stay *stay =
        batch_stay_at(w->batch, text_of(packaged->tank), packaged->at.at - 1);
    it.from = packaged->at;
    it.name = packaged->tank != NULL ? packaged->tank->text : stay != NULL ? stay->tank : STR("");
    put_figure(&detail, QUANTITY_VOLUME, &packaged->volume);
    put_lot(&detail, w, packaged);
    it.detail = detail.p;
    add(w, it);
    for (size_t i = 0; i < packaged->containers.n; i++) {
        const struct batch_container *container = &packaged->containers.items[i];
        struct buf size = buf_new(w->trace->arena), count = buf_new(w->trace->arena);
        put_figure(&size, QUANTITY_VOLUME, &container->size);
        if (container->count.set)
            buf_printf(&count, "%ld", container->count.n);
        it = item(w, "container", buf_str(&size));
        it.detail = count.p;
        add(w, it);
    }
}

/* A lot that was packaged is told alone; of one that went in, all that was packaged with it. */
static void add_all_packaged(struct writing *w)
{
    for (size_t i = 0; i < w->batch->happened.n; i++) {
        const struct batch_event *event = w->batch->happened.items[i];
        if (event->what == EVENT_PACKAGE && (event == w->event || w->event->what != EVENT_PACKAGE))
            add_packaged(w, event);
    }
}

static void add_batch(struct writing *w)
{
    const struct batch *batch = w->batch;
    struct item it = item(w, "batch", text_of(batch->number));
    struct buf detail = buf_new(w->trace->arena);
    put_figure(&detail, QUANTITY_VOLUME, &batch->volume);
    if (figure_is_exact(&batch->volume) && figure_is_exact(&batch->used_original))
        buf_add(&detail, STR(" of "));
    if (figure_is_exact(&batch->used_original))
        words_value(&detail, w->trace->cellar, QUANTITY_GRAVITY, batch->used_original.value);
    it.from = batch->brewed;
    it.detail = detail.p;
    add(w, item(w, "beer", text_of(batch->beer)));
    add(w, it);
}

static void add_tanks(struct writing *w)
{
    for (size_t i = 0; i < w->batch->stays.n; i++) {
        const struct batch_stay *stay = &w->batch->stays.items[i];
        struct item it = item(w, "tank", stay->tank);
        it.from = moment_of(stay->from);
        if (stay->to != BATCH_OPEN_END)
            it.to = moment_of(stay->to);
        add(w, it);
    }
}

static void add_source(struct writing *w, const char *what, const struct doc_node *batch,
                       const struct figure *volume, struct moment at)
{
    struct item it = item(w, what, text_of(batch));
    struct buf detail = buf_new(w->trace->arena);
    put_figure(&detail, QUANTITY_VOLUME, volume);
    it.from = at;
    it.detail = detail.p;
    add(w, it);
}

static void add_yeast(struct writing *w, const struct batch_event *pitch)
{
    struct item it = item(w, "yeast", text_of(pitch->strain));
    struct buf detail = buf_new(w->trace->arena);
    if (pitch->source != NULL)
        buf_printf(&detail, "from " STR_FMT, STR_ARG(pitch->source->text));
    if (pitch->generation.set)
        buf_printf(&detail, "%sgeneration %ld", detail.n > 0 ? ", " : "", pitch->generation.n);
    put_lot(&detail, w, pitch);
    it.from = pitch->at;
    it.detail = detail.p;
    add(w, it);
}

/* What went in: yeast, krausen, parts, hops and the like. */
static void add_inputs(struct writing *w)
{
    for (size_t i = 0; i < w->batch->of.n; i++)
        add_source(w, "blended of", w->batch->of.items[i].batch, &w->batch->of.items[i].volume,
                   (struct moment){.set = false});
    for (size_t i = 0; i < w->batch->happened.n; i++) {
        const struct batch_event *event = w->batch->happened.items[i];
        if (event->what == EVENT_PITCH)
            add_yeast(w, event);
        else if (event->what == EVENT_KRAUSEN)
            add_source(w, "krausen of", event->batch, &event->volume, event->at);
        else if (event->what == EVENT_DRY_HOP || event->what == EVENT_ADDITION) {
            struct item it = item(w, BATCH_EVENTS[event->what - 1], STR(""));
            struct buf detail = buf_new(w->trace->arena);
            put_figure(&detail, QUANTITY_MASS, &event->amount);
            put_lot(&detail, w, event);
            if (event->note != NULL)
                buf_printf(&detail, "%s" STR_FMT, detail.n > 0 ? ", " : "",
                           STR_ARG(event->note->text));
            it.from = event->at;
            it.detail = detail.p;
            add(w, it);
        }
    }
}

/* True of the first reading by this meter, so that each is told once. */
static bool is_new_meter(const struct batch *batch, size_t reading, size_t quantity)
{
    struct str name = batch->course.items[reading]->meter[quantity]->text;
    for (size_t i = 0; i <= reading; i++)
        for (size_t q = 0; q < (i < reading ? (size_t)READS_COUNT : quantity); q++) {
            const struct doc_node *meter = batch->course.items[i]->meter[q];
            if (meter != NULL && str_eq(meter->text, name))
                return false;
        }
    return true;
}

static void add_meter(struct writing *w, struct str name)
{
    struct item it = item(w, "meter", name);
    struct buf detail = buf_new(w->trace->arena);
    long count = 0;
    for (size_t i = 0; i < w->batch->course.n; i++) {
        const struct reading *reading = w->batch->course.items[i];
        for (size_t q = 0; q < READS_COUNT; q++) {
            if (reading->meter[q] == NULL || !str_eq(reading->meter[q]->text, name))
                continue;
            if (count++ == 0)
                it.from = reading->at;
            it.to = reading->at;
        }
    }
    buf_printf(&detail, "%ld %s", count, count == 1 ? "reading" : "readings");
    it.detail = detail.p;
    add(w, it);
}

static void add_meters(struct writing *w)
{
    for (size_t i = 0; i < w->batch->course.n; i++)
        for (size_t q = 0; q < READS_COUNT; q++)
            if (w->batch->course.items[i]->meter[q] != NULL && is_new_meter(w->batch, i, q))
                add_meter(w, w->batch->course.items[i]->meter[q]->text);
}

static bool is_this(const struct writing *w, const struct doc_node *number)
{
    return number != NULL && w->batch->number != NULL &&
           str_eq(number->text, w->batch->number->text);
}

/* The batches that took yeast or beer of this one. */
static void add_followers(struct writing *w)
{
    for (size_t i = 0; i < w->trace->shelf->batches.n; i++) {
        const struct batch *other = w->trace->shelf->batches.items[i].batch;
        for (size_t k = 0; k < other->of.n; k++)
            if (is_this(w, other->of.items[k].batch))
                add_source(w, "beer into", other->number, &other->of.items[k].volume,
                           other->brewed);
        for (size_t k = 0; k < other->happened.n; k++) {
            const struct batch_event *event = other->happened.items[k];
            if (event->what == EVENT_PITCH && is_this(w, event->source))
                add_source(w, "yeast into", other->number, &event->volume, event->at);
            if (event->what == EVENT_KRAUSEN && is_this(w, event->batch))
                add_source(w, "beer into", other->number, &event->volume, event->at);
        }
    }
}

static void add_file(struct writing *w)
{
    struct item it = item(w, "file", STR(""));
    struct buf detail = buf_new(w->trace->arena);
    buf_printf(&detail, STR_FMT ":%u", STR_ARG(w->batch->source->name),
               (unsigned)w->event->node->line);
    it.detail = detail.p;
    add(w, it);
}

static struct table table_of(const struct trace *trace, FILE *out, bool tsv)
{
    return (struct table){.out = out,
                          .arena = trace->arena,
                          .columns = COLUMNS,
                          .column_count = sizeof COLUMNS / sizeof COLUMNS[0],
                          .tsv = tsv,
                          .width = 80};
}

static void write_one(struct writing *w, FILE *out)
{
    if (!w->table.tsv) {
        fputs("Lot ", out);
        str_write_escaped(out, w->event->lot->text);
        fputs("\n\n", out);
        table_begin(&w->table);
    }
    add_batch(w);
    add_all_packaged(w);
    add_tanks(w);
    add_inputs(w);
    add_meters(w);
    add_followers(w);
    add_file(w);
    table_end(&w->table);
}

static bool is_lot(const struct batch_event *event, struct str lot)
{
    return event->lot != NULL && str_eq(event->lot->text, lot);
}

/* Hops of one lot may have gone twice into one batch: the batch is told once. */
static bool is_told(const struct batch *batch, size_t event)
{
    const struct batch_event *now = batch->happened.items[event];
    for (size_t i = 0; i < event && now->what != EVENT_PACKAGE; i++)
        if (is_lot(batch->happened.items[i], now->lot->text))
            return true;
    return false;
}

size_t trace_write(const struct trace *trace, FILE *out, bool tsv, struct str lot)
{
    struct table table = table_of(trace, out, tsv);
    size_t found = 0;
    if (tsv)
        table_begin(&table);
    for (size_t i = 0; i < trace->shelf->batches.n; i++) {
        const struct shelf_batch *it = &trace->shelf->batches.items[i];
        for (size_t k = 0; it->asked && k < it->batch->happened.n; k++) {
            if (!is_lot(it->batch->happened.items[k], lot) || is_told(it->batch, k))
                continue;
            if (found++ > 0 && !tsv)
                putc('\n', out);
            struct writing w = {trace, it->batch, it->batch->happened.items[k], table};
            write_one(&w, out);
        }
    }
    return found;
}

/* The lots of all batches, one after another, NULL in between. */
struct lots {
    const char **names;
    size_t n, capacity;
};

static const char *lot_name(const void *table, size_t i)
{
    return ((const struct lots *)table)->names[i];
}

const char *trace_nearest(const struct trace *trace, struct str lot)
{
    struct lots lots = {NULL, 0, 0};
    for (size_t i = 0; i < trace->shelf->batches.n; i++)
        for (size_t k = 0; k < trace->shelf->batches.items[i].batch->happened.n; k++) {
            const struct doc_node *name =
                trace->shelf->batches.items[i].batch->happened.items[k]->lot;
            if (name == NULL)
                continue;
            if (lots.n == lots.capacity)
                lots.names =
                    arena_grow(trace->arena, lots.names, &lots.capacity, sizeof *lots.names);
            lots.names[lots.n++] = str_copy(trace->arena, name->text).p;
        }
    const char *nearest = str_nearest(lot, lot_name, &lots, lots.n);
    return nearest == NULL ? NULL : str_shown(trace->arena, str_of(nearest));
}
