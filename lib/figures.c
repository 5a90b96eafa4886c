#include "figures.h"

#include "acidity.h"
#include "alcohol.h"
#include "carbonation.h"
#include "extract.h"
#include "figures_follow.h"
#include "refractometer.h"

#include <math.h>

/* enumerator, name, quantity, unit, digits, help; then what else there is to it */
#define ROW(id, title, what, in, digits, text, ...)                                                \
    [FIGURES_##id] = {.name = title,                                                               \
                      .quantity = QUANTITY_##what,                                                 \
                      .unit = in,                                                                  \
                      .decimals = digits,                                                          \
                      .help = text,                                                                \
                      __VA_ARGS__}
#define GIVEN(...)   ROW(__VA_ARGS__, .given = true)
#define FOLLOWS(...) ROW(__VA_ARGS__, .given = false)

const struct figures_info FIGURES[FIGURES_COUNT] = {
    [FIGURES_NONE] = {.name = ""},
    GIVEN(ORIGINAL, "original", GRAVITY, "P", 1, "original extract"),
    GIVEN(GRAVITY, "gravity", GRAVITY, "P", 1, "apparent extract now, degassed"),
    GIVEN(LIMIT, "limit", GRAVITY, "P", 1, "where the gravity will end",
          .also = {"forced", "terminal"}),
    GIVEN(REAL_EXTRACT, "real-extract", GRAVITY, "P", 1, "extract without the alcohol"),
    GIVEN(ABV, "abv", ALCOHOL, "%", 1, "alcohol by volume", .also = {"alcohol"}),
    GIVEN(ABW, "abw", ALCOHOL, "%", 1, "alcohol by mass"),
    GIVEN(HYDROMETER, "hydrometer", GRAVITY, "P", 1, "what a hydrometer shows in a sample of temp"),
    GIVEN(REFERENCE, "reference", TEMPERATURE, NULL, 1, "the temperature a hydrometer is made for",
          .has_assumed = true, .assumed = EXTRACT_20C),
    GIVEN(REFRACTOMETER, "refractometer", GRAVITY, "Bx", 1, "what a refractometer shows",
          .also = {"brix"}),
    GIVEN(FACTOR, "factor", NUMBER, "", 2, "Bx that a refractometer reads per P of wort",
          .has_assumed = true, .assumed = REFRACTOMETER_WORT_FACTOR),
    GIVEN(TEMP, "temp", TEMPERATURE, NULL, 1, "temperature of the beer, sample or buffer"),
    GIVEN(COLD, "cold", TEMPERATURE, NULL, 1, "temperature after chilling"),
    GIVEN(PRESSURE, "pressure", PRESSURE, NULL, 2, "gauge pressure of the tank"),
    GIVEN(CARBONATION, "carbonation", CARBONATION, NULL, 2, "carbon dioxide in the beer"),
    GIVEN(WANTED, "wanted", CARBONATION, NULL, 2, "carbon dioxide that it should have"),
    GIVEN(ALTITUDE, "altitude", LENGTH, NULL, 0,
          "of the brewery; else that of cellar.yaml, else sea level"),
    GIVEN(VOLUME, "volume", VOLUME, NULL, 1, "of wort or beer"),
    GIVEN(CAPACITY, "capacity", VOLUME, NULL, 1, "of the tank"),
    GIVEN(HEADSPACE, "headspace", PERCENT, "%", 0, "share of the tank that is gas, %"),
    GIVEN(RATED, "rated", PRESSURE, NULL, 2, "gauge pressure on the tank's name plate"),
    GIVEN(PACKAGED, "packaged", VOLUME, NULL, 1, "volume that was packaged"),
    GIVEN(EXTRACT, "extract", MASS, NULL, 1, "extract added to the wort"),
    GIVEN(PH, "ph", PH, "", 2, "pH of the beer"),
    GIVEN(WORT_PH, "wort-ph", PH, "", 2, "pH of the wort, before the yeast"),
    GIVEN(BUFFER, "buffer", NUMBER, "", 2, "a pH buffer, by its name or number",
          .kind = FIGURES_SOLUTION),
    GIVEN(MV, "mv", VOLTAGE, NULL, 0, "what the electrode gives in the beer"),
    GIVEN(MV4, "mv4", VOLTAGE, NULL, 0, "what it gives in the buffer of 4"),
    GIVEN(MV7, "mv7", VOLTAGE, NULL, 0, "what it gives in the buffer of 7"),
    GIVEN(BUFFER4, "buffer4", NUMBER, "", 2, "the buffer of mv4", .kind = FIGURES_SOLUTION,
          .has_assumed = true, .assumed = 0),
    GIVEN(BUFFER7, "buffer7", NUMBER, "", 2, "the buffer of mv7", .kind = FIGURES_SOLUTION,
          .has_assumed = true, .assumed = 5),
    GIVEN(SLOPE, "slope", NUMBER, "%", 1, "of the electrode, in % of a perfect one's"),
    GIVEN(OFFSET, "offset", VOLTAGE, NULL, 0, "what the electrode gives at pH 7"),
    GIVEN(DECLARE, "declare", NUMBER, "", 0, "how a label's alcohol is rounded or cut",
          .kind = FIGURES_ROUNDING),
    FOLLOWS(HYDROMETER_SG, "hydrometer", NUMBER, "SG", 4, "the same, where its scale is SG"),
    FOLLOWS(WORT_EXTRACT, "wort-extract", GRAVITY, "P", 1, "extract of unfermented wort"),
    FOLLOWS(ORIGINAL_SG, "original-sg", GRAVITY, "SG", 4, "the original as SG",
            .scale_of = FIGURES_ORIGINAL),
    FOLLOWS(ORIGINAL_DENSITY, "original-density", GRAVITY, "kg/m3", 1,
            "density of the wort at 20 C", .scale_of = FIGURES_ORIGINAL),
    FOLLOWS(GRAVITY_SG, "gravity-sg", GRAVITY, "SG", 4, "the gravity as SG",
            .scale_of = FIGURES_GRAVITY),
    FOLLOWS(GRAVITY_DENSITY, "gravity-density", GRAVITY, "kg/m3", 1, "density of the beer at 20 C",
            .scale_of = FIGURES_GRAVITY),
    FOLLOWS(LIMIT_SG, "limit-sg", GRAVITY, "SG", 4, "the limit as SG", .scale_of = FIGURES_LIMIT),
    FOLLOWS(ADF, "adf", NUMBER, "%", 1, "apparent degree of fermentation"),
    FOLLOWS(RDF, "rdf", NUMBER, "%", 1, "real degree of fermentation"),
    FOLLOWS(ENERGY, "energy", NUMBER, "kcal/100mL", 0, "energy"),
    FOLLOWS(ENERGY_355, "energy-355mL", NUMBER, "kcal", 0, "energy of 355 mL"),
    FOLLOWS(DECLARED, "declared", ALCOHOL, "%", 1,
            "alcohol by volume, rounded or cut as declare says"),
    FOLLOWS(ATMOSPHERE, "atmosphere", PRESSURE, NULL, 2, "the air's pressure, absolute",
            .has_assumed = true, .assumed = CARBONATION_SEA_LEVEL),
    FOLLOWS(CARBONATION_MASS, "carbonation-mass", CARBONATION, "g/L", 1, "carbon dioxide by mass",
            .scale_of = FIGURES_CARBONATION),
    FOLLOWS(WATER_CARBONATION, "water-carbonation", CARBONATION, NULL, 2, "what water would hold"),
    FOLLOWS(PRESSURE_TO_SET, "pressure-to-set", PRESSURE, NULL, 2,
            "gauge pressure that keeps wanted, else carbonation"),
    FOLLOWS(TO_COME, "carbonation-to-come", CARBONATION, NULL, 2,
            "what the extract still to ferment will make"),
    FOLLOWS(CLOSED_PRESSURE, "closed-pressure", PRESSURE, NULL, 2,
            "gauge pressure that the tank comes to if closed now"),
    FOLLOWS(CLOSING_GRAVITY, "closing-gravity", GRAVITY, NULL, 1,
            "gravity at which to close it to end at pressure-to-set"),
    FOLLOWS(PRIMING_SUCROSE, "priming-sucrose", NUMBER, "g/L", 1,
            "sugar from carbonation to wanted"),
    FOLLOWS(PRIMING_GLUCOSE, "priming-glucose", NUMBER, "g/L", 1, "the same of glucose"),
    FOLLOWS(PRIMING_MONOHYDRATE, "priming-glucose-monohydrate", NUMBER, "g/L", 1,
            "the same of glucose with its water"),
    FOLLOWS(PRIMING_WORT, "priming-wort", NUMBER, "mL/L", 0,
            "the same by wort of original and limit"),
    FOLLOWS(FILL, "fill", NUMBER, "%", 0, "how full the tank is"),
    FOLLOWS(VOLUME_COLD, "volume-cold", VOLUME, NULL, 1,
            "the volume when it is chilled from temp to cold"),
    FOLLOWS(LOSS, "loss", VOLUME, NULL, 1, "volume less what was packaged"),
    FOLLOWS(LOSS_PERCENT, "loss-percent", NUMBER, "%", 1, "the same of the volume"),
    FOLLOWS(EXTRACT_MASS, "extract-in-wort", MASS, NULL, 0, "extract in the volume of wort"),
    FOLLOWS(ORIGINAL_WITH, "original-with-extract", GRAVITY, "P", 1,
            "original with the extract that was added"),
    FOLLOWS(BUFFER_PH, "buffer-ph", PH, "", 3, "pH of the buffer at temp"),
    FOLLOWS(PERFECT_SLOPE, "perfect-slope", NUMBER, "mV/pH", 2,
            "slope of a perfect electrode at temp"),
    FOLLOWS(HYDROGEN_RATIO, "hydrogen-ratio", NUMBER, "", 1,
            "how many times the wort's hydrogen ions are in the beer"),
};

enum figures_id figures_find(struct str key)
{
    for (int id = 1; id < FIGURES_COUNT; id++) {
        if (!FIGURES[id].given)
            continue;
        if (str_is(key, FIGURES[id].name))
            return (enum figures_id)id;
        for (size_t i = 0; FIGURES[id].also[i] != NULL; i++)
            if (str_is(key, FIGURES[id].also[i]))
                return (enum figures_id)id;
    }
    return FIGURES_NONE;
}

static const char *key_name(const void *table, size_t i)
{
    const struct figures_info *info = (const struct figures_info *)table + i;
    return info->given ? info->name : NULL;
}

const char *figures_nearest(struct str key)
{
    return str_nearest(key, key_name, FIGURES, FIGURES_COUNT);
}

const char *figures_keys(struct arena *arena)
{
    struct buf names = buf_new(arena);
    for (size_t i = 1; i < FIGURES_COUNT; i++)
        if (FIGURES[i].given)
            buf_printf(&names, "%s%s", names.n == 0 ? "" : ", ", FIGURES[i].name);
    return names.p;
}

void figures_begin(struct figures *set)
{
    *set = (struct figures){.house = {NULL}};
    for (int id = 0; id < FIGURES_COUNT; id++) {
        set->value[id] = NAN;
        set->assumed[id] = FIGURES[id].has_assumed ? FIGURES[id].assumed : NAN;
    }
}

static const char *buffer_names(struct arena *arena)
{
    struct buf buf = buf_new(arena);
    for (size_t i = 0; i < acidity_buffers_count; i++)
        buf_printf(&buf, "%s%s (%.2f)", i == 0 ? "" : ", ", acidity_buffers[i].name,
                   acidity_buffers[i].nominal);
    return buf.p;
}

static const char *give_buffer(struct figures *set, enum figures_id id, struct str text,
                               struct arena *arena)
{
    struct figure number = {0};
    struct str rest;
    const struct acidity_buffer *buffer = acidity_buffer_named(str_copy(arena, text).p);
    if (buffer == NULL && quantity_read_number(text, &number, &rest) == QUANTITY_OK &&
        rest.n == 0 && number.censor == 0)
        buffer = acidity_buffer_numbered(number.written);
    if (buffer == NULL) {
        struct buf why = buf_new(arena);
        buf_printf(&why, "\"%s\" is not a known buffer: %s", str_shown(arena, text),
                   buffer_names(arena));
        return why.p;
    }
    set->value[id] = (double)(buffer - acidity_buffers);
    return NULL;
}

static const char *give_rounding(struct figures *set, enum figures_id id, struct str text,
                                 struct arena *arena)
{
    const struct alcohol_rule *rule = alcohol_rule_named(str_copy(arena, text).p);
    if (rule != NULL) {
        set->value[id] = (double)(rule - alcohol_rules);
        return NULL;
    }
    struct buf why = buf_new(arena);
    buf_printf(&why, "\"%s\" is not one of:", str_shown(arena, text));
    for (size_t i = 0; i < alcohol_rules_count; i++)
        buf_printf(&why, " %s", alcohol_rules[i].name);
    return why.p;
}

static bool is_unit(const struct quantity_unit *unit, const char *name)
{
    return unit != NULL && name != NULL && str_is(str_of(unit->name), name);
}

/* A number that is only named by its unit, such as a slope in %. */
static enum quantity_status read_plain(struct str text, const char *unit, struct figure *figure)
{
    struct str rest;
    enum quantity_status status = quantity_read_number(text, figure, &rest);
    if (status != QUANTITY_OK)
        return status;
    rest = str_trim(rest);
    figure->value = figure->written;
    figure->step = pow(10, -figure->decimals);
    figure->state = FIGURE_SET;
    return rest.n == 0 || str_is(rest, unit) ? QUANTITY_OK : QUANTITY_UNIT_UNKNOWN;
}

static const char *give_value(struct figures *set, enum figures_id id, struct str text,
                              struct arena *arena)
{
    const struct figures_info *info = &FIGURES[id];
    struct figure figure = {0};
    enum quantity_status status =
        info->quantity == QUANTITY_NUMBER
            ? read_plain(text, info->unit, &figure)
            : quantity_read(text, info->quantity, set->house[info->quantity], &figure);
    if (status != QUANTITY_OK)
        return quantity_explain(arena, text, info->quantity, status);
    if (figure.censor != 0)
        return "off the end of a scale: nothing can be computed from it";
    if (id == FIGURES_HYDROMETER && is_unit(figure.unit, "SG")) {
        id = FIGURES_HYDROMETER_SG;
        figure.value = figure.written;
        figure.step = pow(10, -figure.decimals);
    }
    set->value[id] = figure.value;
    set->step[id] = figure.step;
    set->state[id] = FIGURES_GIVEN;
    set->as_shown[id] = info->unit == NULL || is_unit(figure.unit, info->unit);
    if (set->unit[info->quantity] == NULL)
        set->unit[info->quantity] = figure.unit;
    return NULL;
}

const char *figures_give(struct figures *set, enum figures_id id, struct str text,
                         struct arena *arena)
{
    static const char *(*const read[])(struct figures *, enum figures_id, struct str,
                                       struct arena *) = {
        [FIGURES_VALUE] = give_value,
        [FIGURES_SOLUTION] = give_buffer,
        [FIGURES_ROUNDING] = give_rounding,
    };
    if (set->state[id] != FIGURES_UNKNOWN ||
        (id == FIGURES_HYDROMETER && set->state[FIGURES_HYDROMETER_SG] != FIGURES_UNKNOWN))
        return "it is given twice";
    if (text.n == 0)
        return "it has no value";
    const char *why = read[FIGURES[id].kind](set, id, text, arena);
    if (why != NULL)
        set->state[id] = FIGURES_REFUSED;
    else if (set->state[id] == FIGURES_UNKNOWN && FIGURES[id].kind != FIGURES_VALUE)
        set->state[id] = FIGURES_GIVEN;
    return why;
}

void figures_assume(struct figures *set, enum figures_id id, double library)
{
    set->assumed[id] = library;
}

static bool is_gravity_above(const struct figures *set)
{
    return set->value[FIGURES_GRAVITY] > set->value[FIGURES_ORIGINAL];
}

static bool can_be_tried(const struct figures *set, const struct figures_derivation *by,
                         double *needs)
{
    if (set->state[by->gives] != FIGURES_UNKNOWN)
        return false;
    if ((by->rules & FIGURES_FERMENTED) && is_gravity_above(set))
        return false;
    return figures_needs(set, by, needs);
}

static void mark_needs(struct figures *set, const struct figures_derivation *by)
{
    for (size_t i = 0; i < FIGURES_MOST_NEEDS && by->needs[i] != FIGURES_NONE; i++) {
        int id = by->needs[i] & ~FIGURES_AS_GIVEN;
        set->used[id] = true;
        if (set->state[id] == FIGURES_UNKNOWN) {
            set->state[id] = FIGURES_ASSUMED;
            set->value[id] = set->assumed[id];
        }
    }
}

static void follow(struct figures *set, const struct figures_derivation *by)
{
    double needs[FIGURES_MOST_NEEDS];
    if (!can_be_tried(set, by, needs))
        return;
    double value = by->of(needs);
    set->by[by->gives] = by;
    set->value[by->gives] = value;
    set->state[by->gives] = isnan(value) ? FIGURES_REFUSED : FIGURES_DERIVED;
    if (!isnan(value))
        mark_needs(set, by);
}

/* The table is in order: what a row needs stands above it. */
static void follow_all(struct figures *set)
{
    for (size_t i = 0; i < FIGURES_FOLLOW_COUNT; i++)
        follow(set, &FIGURES_FOLLOW[i]);
}

/* What the derived figures become when one given figure is moved. */
static void add_steps(struct figures *set, const struct figures *moved)
{
    for (int id = 1; id < FIGURES_COUNT; id++) {
        double change = fabs(moved->value[id] - set->value[id]);
        if (set->state[id] == FIGURES_DERIVED && isfinite(change))
            set->step[id] += change;
    }
}

void figures_derive(struct figures *set)
{
    const struct figures given = *set;
    follow_all(set);
    for (int id = 1; id < FIGURES_COUNT; id++) {
        if (given.state[id] != FIGURES_GIVEN || !(given.step[id] > 0) || !set->used[id])
            continue;
        /* both ways, since one of them may leave an equation's range */
        for (int way = -1; way <= 1; way += 2) {
            struct figures moved = given;
            moved.value[id] += way * given.step[id] / 2;
            follow_all(&moved);
            add_steps(set, &moved);
        }
    }
}

bool figures_is_shown(const struct figures *set, enum figures_id id)
{
    const struct figures_info *info = &FIGURES[id];
    if (set->state[id] == FIGURES_GIVEN)
        return info->quantity == QUANTITY_GRAVITY && !set->as_shown[id];
    return set->state[id] == FIGURES_DERIVED || set->state[id] == FIGURES_ASSUMED;
}

const struct quantity_unit *figures_unit(const struct figures *set, enum figures_id id,
                                         bool canonical)
{
    const struct figures_info *info = &FIGURES[id];
    if (info->quantity == QUANTITY_NUMBER)
        return NULL;
    if (info->unit != NULL)
        return quantity_unit_of(str_of(info->unit), info->quantity);
    if (!canonical && set->unit[info->quantity] != NULL)
        return set->unit[info->quantity];
    if (!canonical && set->house[info->quantity] != NULL)
        return set->house[info->quantity];
    return quantity_library_unit(info->quantity);
}

const char *figures_unit_name(enum figures_id id, const struct quantity_unit *unit)
{
    return unit != NULL ? unit->name : FIGURES[id].unit != NULL ? FIGURES[id].unit : "";
}

static void write_word(struct buf *buf, enum figures_id id, double value)
{
    if (FIGURES[id].kind == FIGURES_SOLUTION)
        buf_add(buf, str_of(acidity_buffers[(size_t)value].name));
    else
        buf_add(buf, str_of(alcohol_rules[(size_t)value].name));
}

void figures_write(struct buf *buf, const struct figures *set, enum figures_id id,
                   const struct quantity_unit *unit, int digits)
{
    double value = set->value[id], step = set->step[id];
    if (FIGURES[id].kind != FIGURES_VALUE) {
        write_word(buf, id, value);
        return;
    }
    if (isinf(value)) { /* only pressures are, beyond what carbonation.h reckons with */
        buf_char(buf, '>');
        value = CARBONATION_HIGHEST_BAR - set->value[FIGURES_ATMOSPHERE];
        step = 0;
    }
    int usual = unit != NULL && FIGURES[id].unit == NULL ? unit->decimals : FIGURES[id].decimals;
    if (digits < 0)
        digits = quantity_digits(unit, value, step, usual);
    quantity_write_number(buf, quantity_from_library(unit, value), digits);
}

const char *figures_source(const struct figures *set, enum figures_id id)
{
    if (set->state[id] == FIGURES_ASSUMED)
        return "assumed";
    return set->by[id] == NULL ? "given" : set->by[id]->equation;
}
