#include "cellar.h"

#include <string.h>

const char *const CELLAR_TANK_KINDS[] = {"fermenter", "bright", "unitank", "barrel",
                                         "cask",      "other",  NULL};
static const char *const YEASTS[] = {"ale",  "wheat", "belgian", "lager", "mixed",
                                     "wild", "sour",  "none",    NULL};
const char *const CELLAR_METER_KINDS[] = {"bench",   "handheld",   "strip",
                                          "density", "hydrometer", "refractometer",
                                          "inline",  "other",      NULL};

const char *const CELLAR_READS[] = {"gravity", "ph",          "temperature", "temp",   "pressure",
                                    "volume",  "carbonation", "vdk",         "oxygen", "alcohol",
                                    "mass",    "percent",     "number",      NULL};
static const enum quantity READS_QUANTITY[] = {
    QUANTITY_GRAVITY,  QUANTITY_PH,      QUANTITY_TEMPERATURE, QUANTITY_TEMPERATURE,
    QUANTITY_PRESSURE, QUANTITY_VOLUME,  QUANTITY_CARBONATION, QUANTITY_VDK,
    QUANTITY_OXYGEN,   QUANTITY_ALCOHOL, QUANTITY_MASS,        QUANTITY_PERCENT,
    QUANTITY_NUMBER};

enum quantity cellar_reads_quantity(int reads)
{
    return reads == 0 ? QUANTITY_NUMBER : READS_QUANTITY[reads - 1];
}

#define COUNT(array)    (sizeof(array) / sizeof(array)[0])
#define AT(type, field) offsetof(struct type, field)

static const struct key TANK_ROWS[] = {
    {"kind", KEY_WORD, AT(cellar_tank, kind), KEY_REQUIRED, .words = CELLAR_TANK_KINDS,
     .help = "what it is for"},
    {"capacity", KEY_FIGURE, AT(cellar_tank, capacity), 0, QUANTITY_VOLUME,
     .help = "volume when full"},
    {"rated", KEY_FIGURE, AT(cellar_tank, rated), 0, QUANTITY_PRESSURE,
     .help = "gauge pressure on the name plate"},
    {"every", KEY_FIGURE, AT(cellar_tank, every), 0, QUANTITY_DURATION,
     .help = "how often the round visits it, 1 d when absent"},
    {"note", KEY_TEXT, AT(cellar_tank, note), .help = "free text"},
};
static const struct key_table TANK_KEYS = {"tank", TANK_ROWS, COUNT(TANK_ROWS),
                                           sizeof(struct cellar_tank), false};

static const struct key BEER_ROWS[] = {
    {"yeast", KEY_WORD, AT(cellar_beer, yeast), 0, .words = YEASTS,
     .help = "sets the defaults of the other keys"},
    {"original", KEY_RANGE, AT(cellar_beer, original), 0, QUANTITY_GRAVITY,
     .help = "original extract"},
    {"terminal", KEY_RANGE, AT(cellar_beer, terminal), 0, QUANTITY_GRAVITY,
     .help = "apparent extract as packaged"},
    {"steady", KEY_WHOLE, AT(cellar_beer, steady),
     .help = "days of the same gravity that mean finished: 2; lager and belgian 3; mixed, wild and "
             "sour 30"},
    {"ph", KEY_RANGE, AT(cellar_beer, ph), 0, QUANTITY_PH, .help = "pH of the finished beer"},
    {"vdk", KEY_RANGE, AT(cellar_beer, vdk), 0, QUANTITY_VDK, .help = "diacetyl before cooling"},
    {"ferment", KEY_RANGE, AT(cellar_beer, ferment), 0, QUANTITY_TEMPERATURE,
     .help = "temperature from pitching to the end"},
    {"cold", KEY_RANGE, AT(cellar_beer, cold), 0, QUANTITY_TEMPERATURE,
     .help = "temperature after chilling"},
    {"carbonation", KEY_RANGE, AT(cellar_beer, carbonation), 0, QUANTITY_CARBONATION,
     .help = "as packaged"},
    {"oxygen", KEY_RANGE, AT(cellar_beer, oxygen), 0, QUANTITY_OXYGEN,
     .help = "dissolved, in the bright tank"},
    {"note", KEY_TEXT, AT(cellar_beer, note), .help = "free text"},
};
static const struct key_table BEER_KEYS = {"beer", BEER_ROWS, COUNT(BEER_ROWS),
                                           sizeof(struct cellar_beer), false};

static const struct key METER_ROWS[] = {
    {"reads", KEY_WORD, AT(cellar_meter, reads), KEY_REQUIRED, .words = CELLAR_READS,
     .help = "the quantity it measures"},
    {"kind", KEY_WORD, AT(cellar_meter, kind), 0, .words = CELLAR_METER_KINDS,
     .help = "what instrument it is"},
    {"calibrate", KEY_FIGURE, AT(cellar_meter, calibrate), 0, QUANTITY_DURATION,
     .help = "longest time between calibrations"},
    {"buffers", KEY_FIGURES, AT(cellar_meter, buffers), 0, QUANTITY_PH,
     .help = "pH values it is calibrated with"},
    {"step", KEY_TREE, AT(cellar_meter, step_node), .help = "the smallest difference it shows"},
    {"range", KEY_TREE, AT(cellar_meter, range_node), .help = "what its scale covers"},
    {"reference", KEY_FIGURE, AT(cellar_meter, reference), 0, QUANTITY_TEMPERATURE,
     .help = "temperature at which a hydrometer's scale is true"},
    {"factor", KEY_FIGURE, AT(cellar_meter, factor), 0, QUANTITY_NUMBER,
     .help = "wort correction factor of a refractometer"},
    {"note", KEY_TEXT, AT(cellar_meter, note), .help = "free text"},
};
static const struct key_table METER_KEYS = {"meter", METER_ROWS, COUNT(METER_ROWS),
                                            sizeof(struct cellar_meter), false};

static const struct key CHECK_ROWS[] = {
    {"reads", KEY_WORD, AT(cellar_check, reads), KEY_REQUIRED, .words = CELLAR_READS,
     .help = "the quantity that is read"},
    {"limits", KEY_TREE, AT(cellar_check, limits_node), .help = "what it should lie in"},
    {"counter", KEY_FLAG, AT(cellar_check, counter), .help = "yes: it only counts up"},
    {"every", KEY_FIGURE, AT(cellar_check, every), 0, QUANTITY_DURATION,
     .help = "how often the round reads it, 1 d when absent"},
    {"note", KEY_TEXT, AT(cellar_check, note), .help = "free text"},
};
static const struct key_table CHECK_KEYS = {"check", CHECK_ROWS, COUNT(CHECK_ROWS),
                                            sizeof(struct cellar_check), false};

static const struct key PLAN_ROWS[] = {
    {"tank", KEY_TEXT, AT(cellar_plan, tank), KEY_REQUIRED, .help = "the tank it wants"},
    {"at", KEY_TIME, AT(cellar_plan, at), KEY_REQUIRED, .help = "when"},
    {"batch", KEY_TEXT, AT(cellar_plan, batch), .help = "number it will have"},
    {"beer", KEY_TEXT, AT(cellar_plan, beer), .help = "what will be brewed"},
    {"volume", KEY_FIGURE, AT(cellar_plan, volume), 0, QUANTITY_VOLUME, .help = "how much"},
    {"note", KEY_TEXT, AT(cellar_plan, note), .help = "free text"},
};
static const struct key_table PLAN_KEYS = {"planned batch", PLAN_ROWS, COUNT(PLAN_ROWS),
                                           sizeof(struct cellar_plan), true};

static const struct key IMPORT_ROWS[] = {
    {"columns", KEY_TREE, AT(cellar_import, columns), KEY_REQUIRED,
     .help = "its columns by name or number: the quantity and unit of each, such as gravity SG"},
    {"time", KEY_TEXT, AT(cellar_import, time), KEY_REQUIRED, .help = "the column of the time"},
    {"date", KEY_TEXT, AT(cellar_import, date),
     .help = "the column of the date, if it has its own"},
    {"format", KEY_TEXT, AT(cellar_import, format),
     .help = "how the time is written: YYYY MM DD hh mm ss in their order, such as DD.MM.YYYY "
             "hh:mm; or epoch"},
    {"zone", KEY_TEXT, AT(cellar_import, zone),
     .help = "zone of its clock, the cellar's when absent"},
    {"tank", KEY_TEXT, AT(cellar_import, tank), .help = "the tank it hangs in"},
    {"tank-column", KEY_TEXT, AT(cellar_import, tank_column), .help = "or the column of the tank"},
    {"tanks", KEY_TREE, AT(cellar_import, tanks),
     .help = "its names for the tanks, where they are not the cellar's: NAME: TANK"},
    {"every", KEY_FIGURE, AT(cellar_import, every), 0, QUANTITY_DURATION,
     .help = "one reading is kept for each, 1 h when absent"},
    {"separator", KEY_TEXT, AT(cellar_import, separator),
     .help = "comma, semicolon or tab; told by the file when absent"},
    {"decimal", KEY_TEXT, AT(cellar_import, decimal), .help = "decimal mark: point or comma"},
    {"skip", KEY_WHOLE, AT(cellar_import, skip), .help = "lines before its header"},
    {"meters", KEY_TEXTS, AT(cellar_import, meters),
     .help = "the meters it stands for, by their names in this file"},
    {"by", KEY_TEXT, AT(cellar_import, by), .help = "what its readings are signed with"},
    {"note", KEY_TEXT, AT(cellar_import, note), .help = "free text"},
};
static const struct key_table IMPORT_KEYS = {"import", IMPORT_ROWS, COUNT(IMPORT_ROWS),
                                             sizeof(struct cellar_import), false};

static const struct key CELLAR_ROWS[] = {
    {"tanks", KEY_NAMED, AT(cellar, tanks), KEY_REQUIRED, .table = &TANK_KEYS,
     .help = "every vessel by name"},
    {"cellar", KEY_TEXT, AT(cellar, name), KEY_REQUIRED, .help = "name of the brewery or cellar"},
    {"zone", KEY_TEXT, AT(cellar, zone_name), KEY_REQUIRED,
     .help = "time zone of local times: a name such as Europe/Dublin, UTC, or +01:00"},
    {"altitude", KEY_FIGURE, AT(cellar, altitude), 0, QUANTITY_LENGTH,
     .help = "height above the sea, for the pressure of the air"},
    {"units", KEY_TREE, AT(cellar, units),
     .help = "units of the house, by quantity: what a bare number means and what is printed"},
    {"walk", KEY_TEXTS, AT(cellar, walk), .help = "tanks in the order of the round"},
    {"beers", KEY_NAMED, AT(cellar, beers), .table = &BEER_KEYS, .help = "every beer by name"},
    {"meters", KEY_NAMED, AT(cellar, meters), .table = &METER_KEYS, .help = "every meter by name"},
    {"checks", KEY_NAMED, AT(cellar, checks), .table = &CHECK_KEYS,
     .help = "what the round reads that belongs to no batch"},
    {"planned", KEY_LIST, AT(cellar, planned), .table = &PLAN_KEYS, .help = "brews to come"},
    {"lint", KEY_TREE, AT(cellar, lint), .help = "levels of gyle-validate's rules: RULE: off"},
    {"imports", KEY_NAMED, AT(cellar, imports), .table = &IMPORT_KEYS,
     .help = "how the CSV files of instruments are read, by name"},
};
const struct key_table CELLAR_KEYS = {"cellar", CELLAR_ROWS, COUNT(CELLAR_ROWS),
                                      sizeof(struct cellar), false};

static const char *quantity_name(const void *table, size_t i)
{
    (void)table;
    return QUANTITIES[i].unit[0] == '\0' ? NULL : QUANTITIES[i].name;
}

static enum quantity find_quantity(struct str name)
{
    if (str_is(name, "temp"))
        return QUANTITY_TEMPERATURE;
    for (int i = 0; i < QUANTITY_COUNT; i++)
        if (str_is(name, QUANTITIES[i].name))
            return (enum quantity)i;
    return QUANTITY_COUNT;
}

static void read_house_unit(struct cellar *cellar, const struct doc_node *value,
                            struct diags *diags)
{
    struct place place = doc_place(cellar->source, value);
    struct str name = value->key->text;
    enum quantity quantity = find_quantity(name);
    if (quantity == QUANTITY_COUNT) {
        const char *nearest = str_nearest(name, quantity_name, NULL, QUANTITY_COUNT);
        diag_add(diags, doc_place(cellar->source, value->key), RULE_UNKNOWN_KEY,
                 "\"%s\" is not a quantity with a unit%s", str_shown(diags->arena, name),
                 str_meant(diags->arena, nearest, ""));
        return;
    }
    if (value->kind != DOC_SCALAR) {
        diag_add(diags, place, RULE_SHAPE, "the unit must be a plain value");
        return;
    }
    const struct quantity_unit *unit = quantity_unit_of(value->text, quantity);
    if (unit == NULL)
        diag_add(diags, place, RULE_UNIT, "%s",
                 quantity_explain(diags->arena, value->text, quantity, QUANTITY_UNIT_UNKNOWN));
    else
        cellar->house[quantity] = unit;
}

static void read_house_units(struct cellar *cellar, const struct doc_node *units,
                             struct diags *diags)
{
    if (units == NULL)
        return;
    if (units->kind != DOC_MAP) {
        diag_add(diags, doc_place(cellar->source, units), RULE_SHAPE,
                 "units must be a mapping such as {gravity: P, temperature: C}");
        return;
    }
    for (const struct doc_node *value = units->first; value != NULL; value = value->next)
        read_house_unit(cellar, value, diags);
}

static void read_zone(struct cellar *cellar, const struct doc_node *name, struct arena *arena,
                      const char *folder, struct diags *diags)
{
    cellar->zone = civil_utc();
    if (name == NULL || name->kind != DOC_SCALAR)
        return;
    const char *why = "";
    const struct civil_zone *zone =
        civil_zone_read(arena, folder, name->text.p, name->text.n, &why);
    if (zone != NULL)
        cellar->zone = zone;
    else
        diag_add(diags, doc_place(cellar->source, name), RULE_ZONE, "zone \"%s\": %s",
                 str_shown(diags->arena, name->text), why);
}

/* Fields whose quantity stands in another key of the same mapping. */
static void read_by_quantity(struct cellar *cellar, const struct keys_context *context)
{
    for (size_t i = 0; i < cellar->meters.n; i++) {
        struct cellar_meter *meter = &cellar->meters.items[i];
        enum quantity quantity = cellar_reads_quantity(meter->reads);
        if (meter->step_node != NULL)
            keys_read_width(context, meter->step_node, quantity, &meter->step);
        if (meter->range_node != NULL)
            keys_read_range(context, meter->range_node, quantity, &meter->range);
    }
    for (size_t i = 0; i < cellar->checks.n; i++) {
        struct cellar_check *check = &cellar->checks.items[i];
        if (check->limits_node != NULL)
            keys_read_range(context, check->limits_node, cellar_reads_quantity(check->reads),
                            &check->limits);
    }
}

struct keys_context cellar_context(const struct cellar *cellar, struct arena *arena,
                                   const struct source *source, struct diags *diags)
{
    struct keys_context context = {
        .arena = arena, .diags = diags, .source = source, .zone = cellar->zone};
    memcpy(context.house, cellar->house, sizeof context.house);
    return context;
}

/* The name of an entry of a LIST of structs that begin with their node. */
static struct str name_in(const void *items, size_t i, size_t size)
{
    const struct doc_node *node;
    memcpy(&node, (const char *)items + i * size, sizeof node);
    return name_of(node);
}

/* FNV-1a. */
static size_t hash_of(struct str name)
{
    uint32_t hash = 2166136261u;
    for (size_t i = 0; i < name.n; i++)
        hash = (hash ^ (unsigned char)name.p[i]) * 16777619u;
    return hash;
}

/* Where a name stands in the table, or the free place where it would. */
static size_t find_place(const struct cellar_names *names, const void *items, size_t size,
                         struct str name)
{
    size_t at = hash_of(name) & names->mask;
    while (names->places[at] != 0 && !str_eq(name_in(items, names->places[at] - 1, size), name))
        at = (at + 1) & names->mask;
    return at;
}

/* Of two entries of one name the first is found. */
static void sort_names(struct cellar_names *names, struct arena *arena, const void *items, size_t n,
                       size_t size)
{
    size_t room = 8;
    while (room < 2 * n)
        room *= 2;
    names->mask = room - 1;
    names->places = arena_array(arena, room, sizeof *names->places);
    for (size_t i = 0; i < n; i++) {
        size_t at = find_place(names, items, size, name_in(items, i, size));
        if (names->places[at] == 0)
            names->places[at] = (uint32_t)i + 1;
    }
}

#define SORT(names, arena, list)                                                                   \
    sort_names(names, arena, (list).items, (list).n, sizeof *(list).items)

struct cellar *cellar_read(struct arena *arena, const struct source *source,
                           const struct doc_node *root, const char *zone_folder,
                           struct diags *diags)
{
    struct cellar *cellar = arena_alloc(arena, sizeof *cellar);
    cellar->source = source;
    read_zone(cellar, doc_get(root, "zone"), arena, zone_folder, diags);
    read_house_units(cellar, doc_get(root, "units"), diags);
    struct keys_context context = cellar_context(cellar, arena, source, diags);
    keys_fill(&context, &CELLAR_KEYS, root, cellar);
    read_by_quantity(cellar, &context);
    SORT(&cellar->tank_names, arena, cellar->tanks);
    SORT(&cellar->beer_names, arena, cellar->beers);
    SORT(&cellar->meter_names, arena, cellar->meters);
    SORT(&cellar->check_names, arena, cellar->checks);
    return cellar;
}

/* A cellar that was not read has no table of names. */
static const void *find(const struct cellar_names *names, const void *items, size_t n, size_t size,
                        struct str name)
{
    if (names->places != NULL) {
        size_t place = names->places[find_place(names, items, size, name)];
        return place == 0 ? NULL : (const char *)items + (place - 1) * size;
    }
    for (size_t i = 0; i < n; i++)
        if (str_eq(name_in(items, i, size), name))
            return (const char *)items + i * size;
    return NULL;
}

#define FIND(names, list, name) find(names, (list).items, (list).n, sizeof *(list).items, name)

const struct cellar_tank *cellar_tank(const struct cellar *cellar, struct str name)
{
    return FIND(&cellar->tank_names, cellar->tanks, name);
}

const struct cellar_beer *cellar_beer(const struct cellar *cellar, struct str name)
{
    return FIND(&cellar->beer_names, cellar->beers, name);
}

const struct cellar_meter *cellar_meter(const struct cellar *cellar, struct str name)
{
    return FIND(&cellar->meter_names, cellar->meters, name);
}

const struct cellar_check *cellar_check(const struct cellar *cellar, struct str name)
{
    return FIND(&cellar->check_names, cellar->checks, name);
}

const struct cellar_import *cellar_import(const struct cellar *cellar, struct str name)
{
    const struct cellar_names none = {NULL, 0};
    return FIND(&none, cellar->imports, name);
}

struct names {
    struct arena *arena;
    const void *items;
    size_t size;
};

static const char *name_at(const void *table, size_t i)
{
    const struct names *names = table;
    const struct doc_node *node;
    memcpy(&node, (const char *)names->items + i * names->size, sizeof node);
    struct str name = name_of(node);
    return str_shown(names->arena, name);
}

#define NEAREST(list, name)                                                                        \
    str_nearest(name, name_at, &(struct names){arena, (list).items, sizeof *(list).items}, (list).n)

size_t cellar_walk_place(const struct cellar *cellar, struct str tank)
{
    size_t place = 0;
    while (place < cellar->walk.n && !str_eq(cellar->walk.items[place]->text, tank))
        place++;
    return place;
}

const char *cellar_nearest_tank(const struct cellar *cellar, struct arena *arena, struct str name)
{
    return NEAREST(cellar->tanks, name);
}

const char *cellar_nearest_beer(const struct cellar *cellar, struct arena *arena, struct str name)
{
    return NEAREST(cellar->beers, name);
}

const char *cellar_nearest_meter(const struct cellar *cellar, struct arena *arena, struct str name)
{
    return NEAREST(cellar->meters, name);
}

const char *cellar_nearest_check(const struct cellar *cellar, struct arena *arena, struct str name)
{
    return NEAREST(cellar->checks, name);
}
