#include "batch.h"

const struct batch_column BATCH_COLUMNS[READS_COUNT] = {
    [READS_GRAVITY] = {"gravity", QUANTITY_GRAVITY},
    [READS_PH] = {"ph", QUANTITY_PH},
    [READS_TEMP] = {"temp", QUANTITY_TEMPERATURE},
    [READS_PRESSURE] = {"pressure", QUANTITY_PRESSURE},
    [READS_VDK] = {"vdk", QUANTITY_VDK},
    [READS_CARBONATION] = {"carbonation", QUANTITY_CARBONATION},
    [READS_OXYGEN] = {"oxygen", QUANTITY_OXYGEN},
    [READS_ALCOHOL] = {"alcohol", QUANTITY_ALCOHOL},
    [READS_CELLS] = {"cells", QUANTITY_CELLS},
    [READS_VIABILITY] = {"viability", QUANTITY_PERCENT},
};

const char *const BATCH_VDK_WORDS[] = {"pass", "trace", "fail", NULL};
static const char *const LABS[] = {"own", "other", NULL};
static const char *const METHODS[] = {"full", "rapid", NULL};

const char *const BATCH_EVENTS[] = {
    "pitch", "dry hop",   "addition", "krausen", "rouse", "close", "vent",    "chill",   "dump",
    "move",  "carbonate", "sample",   "package", "clean", "hold",  "release", "discard", NULL};

#define COUNT(array)    (sizeof(array) / sizeof(array)[0])
#define AT(type, field) offsetof(struct type, field)

#define FIGURE_ROW(index, name, kind, text)                                                        \
    {                                                                                              \
        name, KEY_FIGURE, AT(reading, figure[index]), 0, kind, .help = (text)                      \
    }
#define METER_ROW(index, name)                                                                     \
    {                                                                                              \
        name "-meter", KEY_TEXT, AT(reading, meter[index]),                                        \
            .help = "the meter that read " name ", by its name in cellar.yaml"                     \
    }

static const struct key READING_ROWS[] = {
    {"at", KEY_TIME, AT(reading, at), KEY_REQUIRED, .help = "when it was taken"},
    {"corrects", KEY_TIME, AT(reading, corrects),
     .help = "the time of the reading whose figures these replace; ~ withdraws one"},
    {"tank", KEY_TEXT, AT(reading, tank), .help = "where, while the batch is in two tanks"},
    FIGURE_ROW(READS_GRAVITY, "gravity", QUANTITY_GRAVITY, "apparent extract, degassed"),
    FIGURE_ROW(READS_PH, "ph", QUANTITY_PH, "pH, degassed"),
    FIGURE_ROW(READS_TEMP, "temp", QUANTITY_TEMPERATURE, "temperature of the beer"),
    FIGURE_ROW(READS_PRESSURE, "pressure", QUANTITY_PRESSURE, "gauge pressure of the tank"),
    {"vdk", KEY_FIGURE, AT(reading, figure[READS_VDK]), 0, QUANTITY_VDK, BATCH_VDK_WORDS,
     .help = "diacetyl: a figure, or pass, trace or fail of the warmed sample, or both"},
    FIGURE_ROW(READS_CARBONATION, "carbonation", QUANTITY_CARBONATION, "dissolved CO2"),
    FIGURE_ROW(READS_OXYGEN, "oxygen", QUANTITY_OXYGEN, "dissolved oxygen"),
    FIGURE_ROW(READS_ALCOHOL, "alcohol", QUANTITY_ALCOHOL, "alcohol by volume, measured"),
    FIGURE_ROW(READS_CELLS, "cells", QUANTITY_CELLS, "yeast in suspension"),
    FIGURE_ROW(READS_VIABILITY, "viability", QUANTITY_PERCENT, "living part of the yeast"),
    {"by", KEY_TEXT, AT(reading, by), .help = "initials of who took it"},
    METER_ROW(READS_PH, "ph"),
    METER_ROW(READS_GRAVITY, "gravity"),
    {"note", KEY_TEXT, AT(reading, note), .help = "free text, in double quotes"},
    METER_ROW(READS_TEMP, "temp"),
    METER_ROW(READS_PRESSURE, "pressure"),
    METER_ROW(READS_VDK, "vdk"),
    METER_ROW(READS_CARBONATION, "carbonation"),
    METER_ROW(READS_OXYGEN, "oxygen"),
    METER_ROW(READS_ALCOHOL, "alcohol"),
    METER_ROW(READS_CELLS, "cells"),
    METER_ROW(READS_VIABILITY, "viability"),
};
static const struct key_table READING_KEYS = {"reading", READING_ROWS, COUNT(READING_ROWS),
                                              sizeof(struct reading), true};

static const struct key CONTAINER_ROWS[] = {
    {"size", KEY_FIGURE, AT(batch_container, size), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "volume of one"},
    {"count", KEY_WHOLE, AT(batch_container, count), KEY_REQUIRED, .help = "how many"},
};
static const struct key_table CONTAINER_KEYS = {"container", CONTAINER_ROWS, COUNT(CONTAINER_ROWS),
                                                sizeof(struct batch_container), true};

static const struct key EVENT_ROWS[] = {
    {"at", KEY_TIME, AT(batch_event, at), KEY_REQUIRED, .help = "when"},
    {"what", KEY_WORD, AT(batch_event, what), KEY_REQUIRED, .words = BATCH_EVENTS,
     .help = "what was done"},
    {"tank", KEY_TEXT, AT(batch_event, tank), .help = "where, while the batch is in two tanks"},
    {"strain", KEY_TEXT, AT(batch_event, strain), .help = "pitch: the yeast"},
    {"source", KEY_TEXT, AT(batch_event, source), .help = "pitch: batch the yeast came from"},
    {"generation", KEY_WHOLE, AT(batch_event, generation), .help = "pitch: how often it was used"},
    {"cells", KEY_FIGURE, AT(batch_event, cells), 0, QUANTITY_CELLS, .help = "pitch: cell count"},
    {"viability", KEY_FIGURE, AT(batch_event, viability), 0, QUANTITY_PERCENT,
     .help = "pitch: living part"},
    {"amount", KEY_FIGURE, AT(batch_event, amount), 0, QUANTITY_MASS,
     .help = "dry hop, addition: how much"},
    {"extract", KEY_FIGURE, AT(batch_event, extract), 0, QUANTITY_MASS,
     .help = "addition: extract it brings, which raises the original"},
    {"batch", KEY_TEXT, AT(batch_event, batch), .help = "krausen: batch it came from"},
    {"to", KEY_TEXT, AT(batch_event, to), .help = "move: the tank it went to"},
    {"volume", KEY_FIGURE, AT(batch_event, volume), 0, QUANTITY_VOLUME,
     .help = "move, package, krausen, dump: how much"},
    {"containers", KEY_LIST, AT(batch_event, containers), .most = 200, .table = &CONTAINER_KEYS,
     .help = "package: sizes and counts"},
    {"lot", KEY_TEXT, AT(batch_event, lot),
     .help = "package: code on the package; else the supplier's code of what went in"},
    {"temp", KEY_FIGURE, AT(batch_event, temp), 0, QUANTITY_TEMPERATURE,
     .help = "chill: temperature aimed at"},
    {"pressure", KEY_FIGURE, AT(batch_event, pressure), 0, QUANTITY_PRESSURE,
     .help = "close, vent, carbonate: gauge pressure"},
    {"empty", KEY_FLAG, AT(batch_event, empty), .help = "yes: the tank is empty after it"},
    {"by", KEY_TEXT, AT(batch_event, by), .help = "initials of who did it"},
    {"note", KEY_TEXT, AT(batch_event, note), .help = "free text, in double quotes"},
};
static const struct key_table EVENT_KEYS = {"event", EVENT_ROWS, COUNT(EVENT_ROWS),
                                            sizeof(struct batch_event), true};

static const struct key FORCED_ROWS[] = {
    {"gravity", KEY_FIGURE, AT(batch_forced, gravity), KEY_REQUIRED, QUANTITY_GRAVITY,
     .help = "where the forced fermentation ended"},
    {"at", KEY_TIME, AT(batch_forced, at), .help = "when it was read"},
    {"lab", KEY_WORD, AT(batch_forced, lab), .words = LABS,
     .help = "own: read where the tank's samples are read; other: another laboratory"},
    {"method", KEY_WORD, AT(batch_forced, method), .words = METHODS,
     .help = "full: fermented out over a day or more; rapid: much yeast, about 7 h"},
    {"by", KEY_TEXT, AT(batch_forced, by), .help = "initials"},
    {"note", KEY_TEXT, AT(batch_forced, note), .help = "free text, in double quotes"},
};
static const struct key_table FORCED_KEYS = {"forced value", FORCED_ROWS, COUNT(FORCED_ROWS),
                                             sizeof(struct batch_forced), true};

static const struct key BREW_ROWS[] = {
    {"at", KEY_TIME, AT(batch_brew, at), KEY_REQUIRED, .help = "when it went into the fermenter"},
    {"volume", KEY_FIGURE, AT(batch_brew, volume), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "how much"},
    {"original", KEY_FIGURE, AT(batch_brew, original), 0, QUANTITY_GRAVITY,
     .help = "its original extract"},
};
static const struct key_table BREW_KEYS = {"brew", BREW_ROWS, COUNT(BREW_ROWS),
                                           sizeof(struct batch_brew), true};

static const struct key STAY_ROWS[] = {
    {"tank", KEY_TEXT, AT(batch_tank, tank), KEY_REQUIRED, .help = "its name in cellar.yaml"},
    {"from", KEY_TIME, AT(batch_tank, from), KEY_REQUIRED, .help = "when it was filled"},
    {"to", KEY_TIME, AT(batch_tank, to), .help = "when it was empty"},
    {"volume", KEY_FIGURE, AT(batch_tank, volume), 0, QUANTITY_VOLUME, .help = "how much went in"},
};
static const struct key_table STAY_KEYS = {"tank entry", STAY_ROWS, COUNT(STAY_ROWS),
                                           sizeof(struct batch_tank), true};

static const struct key PART_ROWS[] = {
    {"batch", KEY_TEXT, AT(batch_part, batch), KEY_REQUIRED, .help = "number of the source"},
    {"volume", KEY_FIGURE, AT(batch_part, volume), KEY_REQUIRED, QUANTITY_VOLUME,
     .help = "how much of it"},
};
static const struct key_table PART_KEYS = {"part of a blend", PART_ROWS, COUNT(PART_ROWS),
                                           sizeof(struct batch_part), true};

static const struct key SEEN_ROWS[] = {
    {"rule", KEY_TEXT, AT(batch_seen, rule), KEY_REQUIRED, .help = "the finding's rule"},
    {"at", KEY_TIME, AT(batch_seen, at), KEY_REQUIRED, .help = "when it was acknowledged"},
    {"tank", KEY_TEXT, AT(batch_seen, tank), .help = "where, while the batch is in two tanks"},
    {"by", KEY_TEXT, AT(batch_seen, by), .help = "initials"},
    {"note", KEY_TEXT, AT(batch_seen, note), .help = "free text, in double quotes"},
};
static const struct key_table SEEN_KEYS = {"seen entry", SEEN_ROWS, COUNT(SEEN_ROWS),
                                           sizeof(struct batch_seen), true};

static const struct key BATCH_ROWS[] = {
    {"batch", KEY_TEXT, AT(batch, number), KEY_REQUIRED,
     .help = "its number, as the brewery counts"},
    {"beer", KEY_TEXT, AT(batch, beer), KEY_REQUIRED, .help = "its name in cellar.yaml"},
    {"brewed", KEY_TIME, AT(batch, brewed),
     .help = "when it went into the fermenter; in the future: a planned batch"},
    {"volume", KEY_FIGURE, AT(batch, volume), 0, QUANTITY_VOLUME, .help = "into the fermenter"},
    {"original", KEY_FIGURE, AT(batch, original), 0, QUANTITY_GRAVITY, .help = "original extract"},
    {"wort-ph", KEY_FIGURE, AT(batch, wort_ph), 0, QUANTITY_PH,
     .help = "pH in the fermenter, before the yeast"},
    {"ibu", KEY_FIGURE, AT(batch, ibu), 0, QUANTITY_BITTERNESS, .help = "bitterness"},
    {"forced", KEY_LIST, AT(batch, forced), KEY_OR_ONE, .most = 100, .table = &FORCED_KEYS,
     .help = "forced (fast) fermentation: where it should end; one or a list"},
    {"brews", KEY_LIST, AT(batch, brews), .most = 100, .table = &BREW_KEYS,
     .help = "the turns that filled one fermenter"},
    {"of", KEY_LIST, AT(batch, of), .most = 200, .table = &PART_KEYS,
     .help = "the parts of a blend"},
    {"tanks", KEY_LIST, AT(batch, tanks), .most = 200, .table = &STAY_KEYS,
     .help = "where it is and was: the only truth of occupation"},
    {"events", KEY_LIST, AT(batch, events), .table = &EVENT_KEYS, .help = "what was done"},
    {"seen", KEY_LIST, AT(batch, seen), .most = 1000, .table = &SEEN_KEYS,
     .help = "findings acknowledged"},
    {"note", KEY_TEXT, AT(batch, note), .help = "free text"},
    {"readings", KEY_LIST, AT(batch, readings), .table = &READING_KEYS,
     .help = "readings; keep it the last key: new ones are appended"},
};
const struct key_table BATCH_KEYS = {"batch", BATCH_ROWS, COUNT(BATCH_ROWS), sizeof(struct batch),
                                     false};

struct batch *batch_read(const struct keys_context *context, const struct doc_node *root)
{
    struct batch *batch = arena_alloc(context->arena, sizeof *batch);
    size_t errors = context->diags->errors;
    batch->source = context->source;
    keys_fill(context, &BATCH_KEYS, root, batch);
    batch->errors = context->diags->errors - errors;
    return batch;
}
