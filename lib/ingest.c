#include "ingest_run.h"

#include <string.h>

void ingest_diags(const struct run *run, struct diags *diags)
{
    const struct diags *chosen = run->ingest->book->diags;
    diag_init(diags, run->arena);
    memcpy(diags->level, chosen->level, sizeof diags->level);
    memcpy(diags->chosen, chosen->chosen, sizeof diags->chosen);
}

void ingest_begin(struct ingest *ingest)
{
    ingest->roster = roster_read(ingest->book, ingest->arena, ingest->now);
    ingest->trouble = ingest->trouble || ingest->roster->doubts.n > 0;
}

static size_t count_remarks(const struct entry *entry)
{
    size_t n = 0;
    for (const struct entry_remark *remark = entry->remarks; remark != NULL; remark = remark->next)
        n++;
    return n;
}

/* An entry as it was before it was judged, with so many remarks. */
static void restore(struct entry *entry, const struct entry *before, size_t remarks)
{
    struct entry_remark **end = &entry->remarks;
    while (remarks-- > 0)
        end = &(*end)->next;
    *end = NULL;
    struct entry_remark *kept = entry->remarks;
    *entry = *before;
    entry->remarks = kept;
    if (entry->beside != NULL) {
        entry->beside->state = ENTRY_WAITING;
        entry->beside->remarks = NULL;
    }
}

/* The entries as they were before anything was judged. */
struct saved {
    struct entry *before;
    size_t *remarks;
};

static struct saved save(const struct ingest *ingest, const struct entry_list *list)
{
    struct saved saved = {arena_array(ingest->arena, list->n, sizeof *saved.before),
                          arena_array(ingest->arena, list->n, sizeof *saved.remarks)};
    for (size_t i = 0; i < list->n; i++) {
        saved.before[i] = *list->items[i];
        saved.remarks[i] = count_remarks(list->items[i]);
    }
    return saved;
}

/* Makes an entry wait as before. */
static void restore_one(struct entry_list *list, const struct saved *saved, size_t i)
{
    restore(list->items[i], &saved->before[i], saved->remarks[i]);
}

static struct run new_run(struct ingest *ingest, struct entry_list *list)
{
    struct run run = {
        .ingest = ingest, .arena = ingest->arena, .quiet = *ingest->book, .list = list};
    ingest_diags(&run, &run.diags);
    return run;
}

/* Judges all that wait. False: an entry was refused by what the files would become, and the others
 * may have been judged by it. */
static bool judge_all(struct run *run)
{
    bool refused = false;
    run->quiet.diags = &run->diags;
    for (size_t i = 0; i < run->list->n; i++)
        if (run->list->items[i]->state == ENTRY_WAITING)
            ingest_judge(run, run->list->items[i]);
    for (struct target *target = run->targets; target != NULL; target = target->next)
        refused = ingest_check(run, target) || refused;
    return !refused;
}

/* One try. True: another program changed a file meanwhile, and its entries wait again. */
static bool run_once(struct ingest *ingest, struct entry_list *list, const struct saved *saved)
{
    struct run run = new_run(ingest, list);
    while (!judge_all(&run)) {
        for (size_t i = 0; i < list->n; i++)
            if (!list->items[i]->condemned && list->items[i]->state != ENTRY_ADDED)
                restore_one(list, saved, i);
        ingest_begin(ingest);
        run = new_run(ingest, list);
    }
    return !ingest->dry_run && ingest_write(&run);
}

void ingest_run(struct ingest *ingest, struct entry_list *list)
{
    enum { TRIES = 3 };
    struct saved saved = save(ingest, list);
    for (int try = 0; run_once(ingest, list, &saved); try++) {
        if (try + 1 == TRIES)
            break;
        for (size_t i = 0; i < list->n; i++)
            if (list->items[i]->state == ENTRY_WAITING)
                restore_one(list, &saved, i);
        ingest_begin(ingest);
    }
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i]->state == ENTRY_WAITING) {
            list->items[i]->state = ENTRY_FAILED;
            ingest->trouble = true;
        }
}
