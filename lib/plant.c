#include "plant.h"

#define COUNT(array)    (sizeof(array) / sizeof(array)[0])
#define AT(type, field) offsetof(struct type, field)

static const struct key READING_ROWS[] = {
    {"at", KEY_TIME, AT(plant_reading, at), KEY_REQUIRED, .help = "when it was read"},
    {"check", KEY_TEXT, AT(plant_reading, check), KEY_REQUIRED,
     .help = "its name under checks: in cellar.yaml"},
    {"value", KEY_TREE, AT(plant_reading, value_node), KEY_REQUIRED, .help = "what it read"},
    {"reset", KEY_FLAG, AT(plant_reading, reset),
     .help = "yes: the counter was changed or set to zero before this reading"},
    {"by", KEY_TEXT, AT(plant_reading, by), .help = "initials"},
    {"note", KEY_TEXT, AT(plant_reading, note), .help = "free text, in double quotes"},
};
static const struct key_table READING_KEYS = {"plant reading", READING_ROWS, COUNT(READING_ROWS),
                                              sizeof(struct plant_reading), true};

static const struct key BUFFER_ROWS[] = {
    {"ph", KEY_FIGURE, AT(plant_buffer, ph), KEY_REQUIRED, QUANTITY_PH,
     .help = "pH of the buffer, as on its label"},
    {"mv", KEY_FIGURE, AT(plant_buffer, mv), 0, QUANTITY_VOLTAGE,
     .help = "millivolts the electrode gave"},
    {"reads", KEY_FIGURE, AT(plant_buffer, reads), 0, QUANTITY_PH,
     .help = "or the pH the meter showed before it was set"},
};
static const struct key_table BUFFER_KEYS = {"buffer", BUFFER_ROWS, COUNT(BUFFER_ROWS),
                                             sizeof(struct plant_buffer), true};

static const struct key CALIBRATION_ROWS[] = {
    {"at", KEY_TIME, AT(plant_calibration, at), KEY_REQUIRED, .help = "when"},
    {"meter", KEY_TEXT, AT(plant_calibration, meter), KEY_REQUIRED,
     .help = "its name under meters: in cellar.yaml"},
    {"temp", KEY_FIGURE, AT(plant_calibration, temp), 0, QUANTITY_TEMPERATURE,
     .help = "temperature of the buffers"},
    {"buffers", KEY_LIST, AT(plant_calibration, buffers), .table = &BUFFER_KEYS,
     .help = "a pH meter's buffers"},
    {"water", KEY_FIGURE, AT(plant_calibration, water), 0, QUANTITY_GRAVITY,
     .help = "what a gravity meter read in pure water"},
    {"by", KEY_TEXT, AT(plant_calibration, by), .help = "initials"},
    {"note", KEY_TEXT, AT(plant_calibration, note), .help = "free text, in double quotes"},
};
static const struct key_table CALIBRATION_KEYS = {"calibration", CALIBRATION_ROWS,
                                                  COUNT(CALIBRATION_ROWS),
                                                  sizeof(struct plant_calibration), true};

static const struct key SKIPPED_ROWS[] = {
    {"tank", KEY_TEXT, AT(plant_skipped, tank), .help = "the tank that was not read"},
    {"check", KEY_TEXT, AT(plant_skipped, check), .help = "or the check"},
    {"why", KEY_TEXT, AT(plant_skipped, why), .help = "the reason, in double quotes"},
};
static const struct key_table SKIPPED_KEYS = {"skipped entry", SKIPPED_ROWS, COUNT(SKIPPED_ROWS),
                                              sizeof(struct plant_skipped), true};

static const struct key ROUND_ROWS[] = {
    {"at", KEY_TIME, AT(plant_round, at), KEY_REQUIRED, .help = "when it began"},
    {"by", KEY_TEXT, AT(plant_round, by), .help = "initials"},
    {"skipped", KEY_LIST, AT(plant_round, skipped), .table = &SKIPPED_KEYS,
     .help = "what was left out, and why"},
    {"note", KEY_TEXT, AT(plant_round, note), .help = "free text, in double quotes"},
};
static const struct key_table ROUND_KEYS = {"round", ROUND_ROWS, COUNT(ROUND_ROWS),
                                            sizeof(struct plant_round), true};

static const struct key CLEANED_ROWS[] = {
    {"at", KEY_TIME, AT(plant_cleaned, at), KEY_REQUIRED, .help = "when"},
    {"tank", KEY_TEXT, AT(plant_cleaned, tank), KEY_REQUIRED, .help = "the tank"},
    {"by", KEY_TEXT, AT(plant_cleaned, by), .help = "initials"},
    {"note", KEY_TEXT, AT(plant_cleaned, note), .help = "free text, in double quotes"},
};
static const struct key_table CLEANED_KEYS = {"cleaned entry", CLEANED_ROWS, COUNT(CLEANED_ROWS),
                                              sizeof(struct plant_cleaned), true};

static const struct key PLANT_ROWS[] = {
    {"plant", KEY_TEXT, AT(plant, month), KEY_REQUIRED, .help = "the month, YYYY-MM"},
    {"calibrations", KEY_LIST, AT(plant, calibrations), .table = &CALIBRATION_KEYS,
     .help = "calibrations of meters"},
    {"rounds", KEY_LIST, AT(plant, rounds), .table = &ROUND_KEYS, .help = "rounds that were made"},
    {"cleaned", KEY_LIST, AT(plant, cleaned), .table = &CLEANED_KEYS, .help = "tanks cleaned"},
    {"note", KEY_TEXT, AT(plant, note), .help = "free text"},
    {"readings", KEY_LIST, AT(plant, readings), .table = &READING_KEYS,
     .help = "readings of the checks"},
};
const struct key_table PLANT_KEYS = {"plant log", PLANT_ROWS, COUNT(PLANT_ROWS),
                                     sizeof(struct plant), false};

struct plant *plant_read(const struct keys_context *context, const struct cellar *cellar,
                         const struct doc_node *root)
{
    struct plant *plant = arena_alloc(context->arena, sizeof *plant);
    size_t errors = context->diags->errors;
    plant->source = context->source;
    keys_fill(context, &PLANT_KEYS, root, plant);
    for (size_t i = 0; i < plant->readings.n; i++) {
        struct plant_reading *reading = &plant->readings.items[i];
        const struct cellar_check *check =
            reading->check == NULL ? NULL : cellar_check(cellar, reading->check->text);
        if (check != NULL && reading->value_node != NULL)
            keys_read_figure(context, reading->value_node, cellar_reads_quantity(check->reads),
                             &reading->value);
    }
    plant->errors = context->diags->errors - errors;
    return plant;
}
