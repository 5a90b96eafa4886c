#include "known.h"

#include <math.h>
#include <string.h>

#define ADD(known, list, capacity, item)                                                           \
    do {                                                                                           \
        if ((known)->list.n == (known)->capacity)                                                  \
            (known)->list.items =                                                                  \
                arena_grow((known)->arena, (known)->list.items, &(known)->capacity, sizeof(item)); \
        (known)->list.items[(known)->list.n++] = (item);                                           \
    } while (0)

void known_add_figure(struct known *known, struct known_figure figure)
{
    ADD(known, figures, figure_capacity, figure);
}

void known_add_note(struct known *known, struct known_note note)
{
    ADD(known, notes, note_capacity, note);
}

void known_add_entry(struct known *known, struct known_entry entry)
{
    ADD(known, entries, entry_capacity, entry);
}

static bool same_minute(int64_t a, int64_t b)
{
    return a / CIVIL_MINUTE == b / CIVIL_MINUTE;
}

static bool is_told(const struct figure *figure)
{
    return figure->state == FIGURE_SET || figure->word != 0 || figure->state == FIGURE_WITHDRAWN;
}

static void add_entries(struct known *known, enum entry_kind kind, const struct doc_node *root,
                        const struct civil_zone *zone)
{
    const struct doc_node *list = doc_get(root, ENTRY_FORMS[kind].list);
    for (const struct doc_node *map = list == NULL ? NULL : list->first; map != NULL;
         map = map->next) {
        const struct doc_node *at = doc_get(map, kind == ENTRY_STAY ? "from" : "at");
        struct known_entry entry = {(int)kind, 0, map, NULL};
        if (map->kind != DOC_MAP || at == NULL || at->kind != DOC_SCALAR)
            continue;
        enum civil_status status = civil_parse(at->text.p, at->text.n, zone, &entry.at);
        if (status == CIVIL_OK || status == CIVIL_FOLD)
            known_add_entry(known, entry);
    }
}

static struct known *new_known(struct arena *arena)
{
    struct known *known = arena_alloc(arena, sizeof *known);
    known->arena = arena;
    return known;
}

static void add_reading(struct known *known, const struct reading *reading,
                        const struct figure *first)
{
    for (int q = 0; q < READS_COUNT; q++)
        if (is_told(&first[q]) || is_told(&reading->figure[q]))
            known_add_figure(
                known, (struct known_figure){reading->where, text_of(reading->meter[q]),
                                             reading->at.at, q, first[q], reading->figure[q]});
    if (reading->note != NULL)
        known_add_note(known,
                       (struct known_note){reading->where, reading->note->text, reading->at.at});
}

struct known *known_batch(struct arena *arena, const struct book *book, struct batch *batch,
                          int64_t now)
{
    struct known *known = new_known(arena);
    size_t n = batch->readings.n;
    struct figure(*first)[READS_COUNT] = arena_array(arena, n + 1, sizeof *first);
    for (size_t i = 0; i < n; i++)
        memcpy(first[i], batch->readings.items[i].figure, sizeof first[i]);
    book_settle(book, arena, batch, now);
    for (size_t i = 0; i < n; i++) {
        const struct reading *reading = &batch->readings.items[i];
        if (reading->at.set && reading->corrects.node == NULL)
            add_reading(known, reading, first[i]);
        else if (reading->at.set && reading->note != NULL)
            known_add_note(
                known, (struct known_note){reading->where, reading->note->text, reading->at.at});
    }
    add_entries(known, ENTRY_EVENT, batch->node, book->cellar->zone);
    add_entries(known, ENTRY_STAY, batch->node, book->cellar->zone);
    add_entries(known, ENTRY_FORCED, batch->node, book->cellar->zone);
    return known;
}

struct known *known_plant(struct arena *arena, const struct book *book, const struct plant *plant)
{
    struct known *known = new_known(arena);
    for (enum entry_kind kind = ENTRY_CHECK; kind <= ENTRY_CLEANED; kind++)
        add_entries(known, kind, plant->node, book->cellar->zone);
    return known;
}

bool known_same(const struct figure *a, const struct figure *b)
{
    if (a->word != b->word || (a->state == FIGURE_SET) != (b->state == FIGURE_SET))
        return false;
    if (a->state != FIGURE_SET)
        return (a->state == FIGURE_WITHDRAWN) == (b->state == FIGURE_WITHDRAWN);
    if (a->censor != b->censor)
        return false;
    if (a->unit == b->unit)
        return fabs(a->written - b->written) <= 1e-9 * fmax(1, fabs(a->written));
    return fabs(a->value - b->value) <= fmax(a->step, b->step) / 2;
}

struct known_figure *known_find(const struct known *known, struct str tank, int64_t at, int reads,
                                struct str meter, const struct figure *figure)
{
    struct known_figure *found = NULL;
    for (size_t i = 0; i < known->figures.n; i++) {
        struct known_figure *k = &known->figures.items[i];
        bool meters = meter.n == 0 || k->meter.n == 0 || str_eq(meter, k->meter);
        if (k->reads != reads || !same_minute(k->at, at) || !str_eq(k->tank, tank) || !meters)
            continue;
        if (known_same(&k->first, figure) || known_same(&k->now, figure))
            return k;
        found = found == NULL ? k : found;
    }
    return found;
}

const struct known_figure *known_before(const struct known *known, struct str tank, int64_t at,
                                        int reads)
{
    const struct known_figure *best = NULL;
    for (size_t i = 0; i < known->figures.n; i++) {
        const struct known_figure *k = &known->figures.items[i];
        if (k->reads == reads && k->at < at && figure_is_exact(&k->now) &&
            (tank.n == 0 || str_eq(k->tank, tank)) && (best == NULL || k->at > best->at))
            best = k;
    }
    return best;
}

bool known_has_note_between(const struct known *known, struct str tank, int64_t from, int64_t to,
                            struct str text)
{
    for (size_t i = 0; i < known->notes.n; i++) {
        const struct known_note *k = &known->notes.items[i];
        if (k->at >= from && k->at < to && str_eq(k->tank, tank) && str_eq(k->text, text))
            return true;
    }
    return false;
}

bool known_has_note(const struct known *known, struct str tank, int64_t at, struct str text)
{
    int64_t from = at - (at % CIVIL_MINUTE + CIVIL_MINUTE) % CIVIL_MINUTE;
    return known_has_note_between(known, tank, from, from + CIVIL_MINUTE, text);
}

/* "4 kg", "4.0 kg" and "4kg" are one value. */
static bool same_text(struct str a, struct str b)
{
    struct figure x = {0}, y = {0};
    struct str unit_a, unit_b;
    if (str_eq(a, b))
        return true;
    if (quantity_read_number(a, &x, &unit_a) != QUANTITY_OK ||
        quantity_read_number(b, &y, &unit_b) != QUANTITY_OK)
        return false;
    return x.censor == y.censor && fabs(x.written - y.written) < 1e-9 &&
           str_eq(str_trim(unit_a), str_trim(unit_b));
}

static bool same_node(const struct doc_node *a, const struct doc_node *b)
{
    if (a->kind != b->kind)
        return false;
    if (a->kind == DOC_SCALAR)
        return same_text(a->text, b->text);
    const struct doc_node *x = a->first, *y = b->first;
    for (; x != NULL && y != NULL; x = x->next, y = y->next)
        if ((x->key != NULL && !str_eq(x->key->text, y->key->text)) || !same_node(x, y))
            return false;
    return x == NULL && y == NULL;
}

/* Every key of `entry` but who wrote it, when and why is in `there`, with the same value. */
static bool says_the_same(const struct doc_node *entry, const struct doc_node *there)
{
    static const char *const ASIDE[] = {"at", "from", "by", "note", NULL};
    for (const struct doc_node *v = entry->first; v != NULL; v = v->next) {
        const struct doc_node *other = NULL;
        if (keys_word(v->key->text, ASIDE) != 0)
            continue;
        for (const struct doc_node *w = there->first; w != NULL && other == NULL; w = w->next)
            if (str_eq(w->key->text, v->key->text))
                other = w;
        if (other == NULL || !same_node(v, other))
            return false;
    }
    return true;
}

/* The key that, with the minute, makes an entry what it is. */
static const char *const IDENTITY[ENTRY_KINDS] = {
    [ENTRY_READING] = "at",     [ENTRY_EVENT] = "what",      [ENTRY_STAY] = "tank",
    [ENTRY_FORCED] = "gravity", [ENTRY_CHECK] = "check",     [ENTRY_CALIBRATION] = "meter",
    [ENTRY_CLEANED] = "tank",   [ENTRY_NOTHING] = "nothing",
};

static bool same_key(const struct doc_node *a, const struct doc_node *b, const char *key)
{
    const struct doc_node *x = doc_get(a, key), *y = doc_get(b, key);
    return x != NULL && y != NULL && x->kind == DOC_SCALAR && y->kind == DOC_SCALAR &&
           str_eq(x->text, y->text);
}

static bool other_tank(const struct doc_node *a, const struct doc_node *b)
{
    const struct doc_node *x = doc_get(a, "tank"), *y = doc_get(b, "tank");
    return x != NULL && y != NULL && !same_key(a, b, "tank");
}

/* What was taken may have been refused after that, for what goes with it. */
static bool is_refused(const struct known_entry *k)
{
    return k->taken != NULL && k->taken->state == ENTRY_REFUSED;
}

const struct known_entry *known_entry(const struct known *known, const struct entry *entry,
                                      const struct doc_node *map, bool *same)
{
    const struct known_entry *found = NULL;
    *same = false;
    for (size_t i = 0; i < known->entries.n; i++) {
        const struct known_entry *k = &known->entries.items[i];
        if (is_refused(k) || k->kind != (int)entry->kind || !same_minute(k->at, entry->at) ||
            !same_key(map, k->map, IDENTITY[entry->kind]) || other_tank(map, k->map))
            continue;
        found = k;
        *same = says_the_same(map, k->map);
        if (*same)
            break;
    }
    return found;
}

const struct known_entry *known_entry_between(const struct known *known, const struct entry *entry,
                                              const struct doc_node *map, int64_t from, int64_t to)
{
    for (size_t i = 0; i < known->entries.n; i++) {
        const struct known_entry *k = &known->entries.items[i];
        if (!is_refused(k) && k->kind == (int)entry->kind && k->at >= from && k->at < to &&
            same_key(map, k->map, IDENTITY[entry->kind]) && !other_tank(map, k->map) &&
            says_the_same(map, k->map))
            return k;
    }
    return NULL;
}
