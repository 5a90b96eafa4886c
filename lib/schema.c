#include "schema.h"

#include "batch.h"
#include "cellar.h"
#include "diag.h"
#include "keys.h"
#include "plant.h"

#include <string.h>

static const struct {
    const char *kind;
    const struct key_table *keys;
    const char *title;
} KINDS[] = {
    {"batch", &BATCH_KEYS, "A batch of a gyle book"},
    {"cellar", &CELLAR_KEYS, "The cellar file of a gyle book"},
    {"plant", &PLANT_KEYS, "A month's plant log of a gyle book"},
};

static void write_escaped(FILE *out, const char *text)
{
    for (const char *p = text; *p != '\0'; p++) {
        if (*p == '"' || *p == '\\')
            fputc('\\', out);
        fputc(*p, out);
    }
}

static void write_string(FILE *out, const char *text)
{
    fputc('"', out);
    write_escaped(out, text);
    fputc('"', out);
}

/* "tank entry" is "tank-entry". */
static void write_name(FILE *out, const char *name)
{
    for (const char *p = name; *p != '\0'; p++)
        fputc(*p == ' ' ? '-' : *p, out);
}

static void write_reference(FILE *out, const struct key_table *table)
{
    fputs("{\"$ref\": \"#/$defs/", out);
    write_name(out, table->name);
    fputs("\"}", out);
}

#define SCALAR      "\"type\": [\"string\", \"number\", \"boolean\", \"null\"]"
#define NUMBER      "[-+]?([0-9]+\\\\.?[0-9]*|\\\\.[0-9]+)"
#define DATE        "[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
#define CLOCK       "([01][0-9]|2[0-4]):[0-5][0-9](:[0-6][0-9](\\\\.[0-9]+)?)?"
#define TIME_OFFSET "([Zz]|[-+][0-9]{2}:[0-9]{2})?"

/* A blank or none, and one of the units; the house may have one, so it can always be left out. */
static void write_unit_pattern(FILE *out, enum quantity quantity)
{
    const char *before = "( *\xc2\xb0?(";
    for (size_t i = 0; i < QUANTITY_UNIT_COUNT; i++) {
        if (QUANTITY_UNITS[i].quantity != quantity)
            continue;
        fprintf(out, "%s%s", before, QUANTITY_UNITS[i].name);
        before = "|";
    }
    if (before[0] == '|')
        fputs("))?", out);
}

static void write_words(FILE *out, const char *const *words, const char *between)
{
    for (size_t i = 0; words[i] != NULL; i++)
        fprintf(out, "%s%s", i == 0 ? "" : between, words[i]);
}

static void write_figure(FILE *out, const struct key *key)
{
    fputs(SCALAR ", \"pattern\": \"^", out);
    if (key->words != NULL) {
        fputs("((", out);
        write_words(out, key->words, "|");
        fputs(")( +|$))?(", out);
    }
    fputs("[<>]? *" NUMBER, out);
    write_unit_pattern(out, key->quantity);
    if (key->words != NULL) {
        fputs("( +(", out);
        write_words(out, key->words, "|");
        fputs("))?)?", out);
    }
    fputs("$\"", out);
}

static void write_range(FILE *out, const struct key *key)
{
    fputs(SCALAR ", \"pattern\": \"^(" NUMBER ")? *\\\\.\\\\. *(" NUMBER ")?", out);
    write_unit_pattern(out, key->quantity);
    fputs("$\"", out);
}

static void write_enum(FILE *out, const char *const *words)
{
    fputs("\"enum\": [", out);
    for (size_t i = 0; words[i] != NULL; i++) {
        write_string(out, words[i]);
        fputs(", ", out);
    }
    fputs("null]", out);
}

static void write_list(FILE *out, const struct key *key)
{
    if (key->flags & KEY_OR_ONE) {
        fputs("\"anyOf\": [", out);
        write_reference(out, key->table);
        fputs(", {\"type\": [\"array\", \"null\"], \"items\": ", out);
        write_reference(out, key->table);
        fputs("}]", out);
        return;
    }
    fputs("\"type\": [\"array\", \"null\"], \"items\": ", out);
    write_reference(out, key->table);
}

static void write_type(FILE *out, const struct key *key)
{
    switch (key->type) {
    case KEY_TEXT:
        fputs(SCALAR, out);
        break;
    case KEY_WORD:
        write_enum(out, key->words);
        break;
    case KEY_TIME:
        fputs(SCALAR ", \"pattern\": \"^" DATE "[ Tt]" CLOCK TIME_OFFSET "$\"", out);
        break;
    case KEY_FIGURE:
        write_figure(out, key);
        break;
    case KEY_RANGE:
        write_range(out, key);
        break;
    case KEY_WHOLE:
        fputs(SCALAR ", \"pattern\": \"^[0-9]{1,9}$\", \"minimum\": 0, \"multipleOf\": 1", out);
        break;
    case KEY_FLAG:
        fputs(SCALAR ", \"pattern\": \"^(yes|no|true|false)$\"", out);
        break;
    case KEY_OBJECT:
        fputs("\"anyOf\": [", out);
        write_reference(out, key->table);
        fputs(", {\"type\": \"null\"}]", out);
        break;
    case KEY_LIST:
        write_list(out, key);
        break;
    case KEY_NAMED:
        fputs("\"type\": [\"object\", \"null\"], \"additionalProperties\": ", out);
        write_reference(out, key->table);
        break;
    case KEY_TEXTS:
        fputs("\"type\": [\"array\", \"null\"], \"items\": {" SCALAR "}", out);
        break;
    case KEY_FIGURES:
        fputs("\"type\": [\"array\", \"null\"], \"items\": {", out);
        write_figure(out, key);
        fputs("}", out);
        break;
    case KEY_TREE:
        break;
    }
}

static bool has_unit(const struct key *key)
{
    bool figure = key->type == KEY_FIGURE || key->type == KEY_RANGE || key->type == KEY_FIGURES;
    return figure && quantity_library_unit(key->quantity) != NULL;
}

static void write_description(FILE *out, const struct key *key)
{
    const char *before = " (";
    fputs("\"description\": \"", out);
    write_escaped(out, key->help);
    for (size_t i = 0; has_unit(key) && i < QUANTITY_UNIT_COUNT; i++) {
        if (QUANTITY_UNITS[i].quantity != key->quantity)
            continue;
        fprintf(out, "%s%s", before, QUANTITY_UNITS[i].name);
        before = ", ";
    }
    fputs(has_unit(key) ? ")\"" : "\"", out);
}

static bool has_required(const struct key_table *table)
{
    for (size_t i = 0; i < table->count; i++)
        if (table->keys[i].flags & KEY_REQUIRED)
            return true;
    return false;
}

/* The inside of an object's schema, each line indented. */
static void write_object(FILE *out, const struct key_table *table, const char *indent)
{
    const char *before = "";
    fprintf(out, "%s\"type\": %s,\n%s\"properties\": {\n", indent,
            has_required(table) ? "\"object\"" : "[\"object\", \"null\"]", indent);
    for (size_t i = 0; i < table->count; i++) {
        const struct key *key = &table->keys[i];
        fprintf(out, "%s  \"%s\": {", indent, key->name);
        write_description(out, key);
        fputs(key->type == KEY_TREE ? "" : ", ", out);
        write_type(out, key);
        fputs(i + 1 < table->count ? "},\n" : "}\n", out);
    }
    fprintf(out, "%s},\n%s\"patternProperties\": {\"^x-\": true},\n", indent, indent);
    fprintf(out, "%s\"additionalProperties\": false,\n%s\"required\": [", indent, indent);
    for (size_t i = 0; i < table->count; i++) {
        if (!(table->keys[i].flags & KEY_REQUIRED))
            continue;
        fprintf(out, "%s\"%s\"", before, table->keys[i].name);
        before = ", ";
    }
    fputs("]\n", out);
}

/* The tables below one, each once. */
struct tables {
    const struct key_table *items[32];
    size_t n;
};

static void collect(struct tables *tables, const struct key_table *table)
{
    for (size_t i = 0; i < table->count; i++) {
        const struct key_table *below = table->keys[i].table;
        bool known = below == NULL;
        for (size_t k = 0; k < tables->n && !known; k++)
            known = tables->items[k] == below;
        if (known || tables->n == sizeof tables->items / sizeof tables->items[0])
            continue;
        tables->items[tables->n++] = below;
        collect(tables, below);
    }
}

static void write_schema(FILE *out, const struct key_table *table, const char *title)
{
    struct tables tables = {.n = 0};
    collect(&tables, table);
    fputs("{\n  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n  \"title\": ",
          out);
    write_string(out, title);
    fputs(",\n  \"$defs\": {\n", out);
    for (size_t i = 0; i < tables.n; i++) {
        fputs("    \"", out);
        write_name(out, tables.items[i]->name);
        fputs("\": {\n", out);
        write_object(out, tables.items[i], "      ");
        fputs(i + 1 < tables.n ? "    },\n" : "    }\n", out);
    }
    fputs("  },\n", out);
    write_object(out, table, "  ");
    fputs("}\n", out);
}

bool schema_write(FILE *out, struct str kind)
{
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++) {
        if (!str_is(kind, KINDS[i].kind))
            continue;
        write_schema(out, KINDS[i].keys, KINDS[i].title);
        return true;
    }
    return false;
}
