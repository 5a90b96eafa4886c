/*
 * The cellar: what cellar.yaml declares. Tanks, beers, meters and checks of the round, the zone and
 * the units of the house. Everything else refers to it by name.
 */
#ifndef GYLE_CELLAR_H
#define GYLE_CELLAR_H

#include "keys.h"

enum tank_kind {
    TANK_UNKNOWN,
    TANK_FERMENTER,
    TANK_BRIGHT,
    TANK_UNITANK,
    TANK_BARREL,
    TANK_CASK,
    TANK_OTHER
};

struct cellar_tank {
    const struct doc_node *node;
    int kind; /* enum tank_kind */
    struct figure capacity, rated;
    struct figure every; /* how often the round visits it, h */
    const struct doc_node *note;
};

enum yeast_kind {
    YEAST_UNKNOWN,
    YEAST_ALE,
    YEAST_WHEAT,
    YEAST_BELGIAN,
    YEAST_LAGER,
    YEAST_MIXED,
    YEAST_WILD,
    YEAST_SOUR,
    YEAST_NONE
};

struct cellar_beer {
    const struct doc_node *node;
    int yeast; /* enum yeast_kind */
    struct range original, terminal, ph, vdk, ferment, cold, carbonation, oxygen;
    struct whole steady; /* days */
    const struct doc_node *note;
};

enum meter_kind {
    METER_UNKNOWN,
    METER_BENCH,
    METER_HANDHELD,
    METER_STRIP,
    METER_DENSITY,
    METER_HYDROMETER,
    METER_REFRACTOMETER,
    METER_INLINE,
    METER_OTHER
};

struct cellar_meter {
    const struct doc_node *node;
    int reads;               /* place in CELLAR_READS, from 1 */
    int kind;                /* enum meter_kind */
    struct figure calibrate; /* h between calibrations */
    LIST(struct figure) buffers;
    const struct doc_node *step_node, *range_node;
    struct figure step; /* of its quantity; state FIGURE_ABSENT when not declared */
    struct range range;
    struct figure reference; /* temperature of a hydrometer's scale */
    struct figure factor;    /* wort correction factor of a refractometer */
    const struct doc_node *note;
};

struct cellar_check {
    const struct doc_node *node;
    int reads; /* place in CELLAR_READS, from 1 */
    const struct doc_node *limits_node;
    struct range limits;
    struct flag counter; /* it only counts up */
    struct figure every;
    const struct doc_node *note;
};

struct cellar_plan {
    const struct doc_node *node;
    const struct doc_node *batch, *beer, *tank, *note;
    struct moment at;
    struct figure volume;
};

/* How an instrument's CSV file is read. */
struct cellar_import {
    const struct doc_node *node;
    const struct doc_node *separator, *decimal; /* NULL: told by the file; a point */
    struct whole skip;                          /* lines before the header */
    const struct doc_node *time, *date;         /* columns; date NULL: it stands in time */
    const struct doc_node *format, *zone;       /* of the time; NULL: as in the book */
    const struct doc_node *tank, *tank_column, *tanks;
    const struct doc_node *columns;       /* a mapping of columns to "QUANTITY UNIT" */
    LIST(const struct doc_node *) meters; /* the cellar's meters that it stands for */
    struct figure every;                  /* h; one reading is kept for each */
    const struct doc_node *by, *note;
};

/* The names of a list, found by their hash; the module's own. */
struct cellar_names {
    uint32_t *places; /* of the list's entries, from 1; 0: free */
    size_t mask;
};

struct cellar {
    const struct doc_node *node;
    const struct source *source;
    const struct doc_node *name, *zone_name;
    const struct civil_zone *zone; /* UTC when the name is not known, which is an error */
    const struct quantity_unit *house[QUANTITY_COUNT]; /* NULL: none declared */
    struct figure altitude;
    const struct doc_node *units, *lint;
    LIST(const struct doc_node *) walk;
    LIST(struct cellar_tank) tanks;
    LIST(struct cellar_beer) beers;
    LIST(struct cellar_meter) meters;
    LIST(struct cellar_check) checks;
    LIST(struct cellar_plan) planned;
    LIST(struct cellar_import) imports;
    struct cellar_names tank_names, beer_names, meter_names, check_names;
};

extern const struct key_table CELLAR_KEYS;
extern const char *const CELLAR_TANK_KINDS[], *const CELLAR_METER_KINDS[];

/* What a meter or a check may read: key and quantity. */
extern const char *const CELLAR_READS[];
enum quantity cellar_reads_quantity(int reads); /* QUANTITY_NUMBER for 0 */

/* Fills a cellar from the root of its document. The zone's file is looked for in zone_folder (NULL:
 * the system's). */
struct cellar *cellar_read(struct arena *arena, const struct source *source,
                           const struct doc_node *root, const char *zone_folder,
                           struct diags *diags);

/* What reading the other documents needs. */
struct keys_context cellar_context(const struct cellar *cellar, struct arena *arena,
                                   const struct source *source, struct diags *diags);

/* Where a tank stands in the walk, from 0; walk.n where it does not. */
size_t cellar_walk_place(const struct cellar *cellar, struct str tank);

/* By name; NULL when there is none. */
const struct cellar_tank *cellar_tank(const struct cellar *cellar, struct str name);
const struct cellar_beer *cellar_beer(const struct cellar *cellar, struct str name);
const struct cellar_meter *cellar_meter(const struct cellar *cellar, struct str name);
const struct cellar_check *cellar_check(const struct cellar *cellar, struct str name);
const struct cellar_import *cellar_import(const struct cellar *cellar, struct str name);

/* The nearest declared name, for "did you mean", or NULL. */
const char *cellar_nearest_tank(const struct cellar *cellar, struct arena *arena, struct str name);
const char *cellar_nearest_beer(const struct cellar *cellar, struct arena *arena, struct str name);
const char *cellar_nearest_meter(const struct cellar *cellar, struct arena *arena, struct str name);
const char *cellar_nearest_check(const struct cellar *cellar, struct arena *arena, struct str name);

#endif
