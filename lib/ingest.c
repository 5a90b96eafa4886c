#include "ingest_run.h"

#include <string.h>

void ingest_diags(const struct run *run, struct diags *diags)
{
    const struct diags *chosen = run->ingest->book->diags;
    diag_init(diags, run->arena);
    memcpy(diags->level, chosen->level, sizeof diags->level);
    memcpy(diags->chosen, chosen->chosen, sizeof diags->chosen);
}

const char *ingest_begin(struct ingest *ingest)
{
    if (ingest->git.lock == NULL)
        gitlock_find(&ingest->git, ingest->arena, ingest->book->folder);
    if (!ingest->dry_run && !gitlock_wait(&ingest->git, INGEST_WAIT_SECONDS)) {
        struct buf why = buf_new(ingest->arena);
        buf_printf(&why,
                   "nothing was added: git is at work in this book; try again when it has ended, "
                   "or, if no git runs, remove %s",
                   str_shown(ingest->arena, str_of(ingest->git.lock)));
        return why.p;
    }
    gitlock_note(&ingest->git);
    ingest->roster = roster_read(ingest->book, ingest->arena, ingest->now);
    ingest->likely = likely_new(ingest->arena, ingest->book, ingest->roster, ingest->now);
    ingest->trouble = ingest->trouble || ingest->roster->doubts.n > 0;
    return NULL;
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

/* A run over a list. */
static struct run new_run(struct ingest *ingest, struct entry_list *list)
{
    struct run run = {.ingest = ingest,
                      .arena = ingest->arena,
                      .quiet = *ingest->book,
                      .list = list,
                      .taken = ENTRY_TAKEN};
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
static bool run_once(struct ingest *ingest, struct entry_list *list, const struct saved *saved,
                     const char **why)
{
    struct run run = new_run(ingest, list);
    while (!judge_all(&run)) {
        for (size_t i = 0; i < list->n; i++)
            if (!list->items[i]->condemned && list->items[i]->state != ENTRY_ADDED)
                restore_one(list, saved, i);
        *why = ingest_begin(ingest);
        if (*why != NULL)
            return true;
        run = new_run(ingest, list);
    }
    return !ingest->dry_run && ingest_write(&run);
}

void ingest_run(struct ingest *ingest, struct entry_list *list)
{
    enum { TRIES = 3 };
    struct saved saved = save(ingest, list);
    const char *why = NULL;
    for (int try = 0; run_once(ingest, list, &saved, &why) && why == NULL; try++) {
        if (try + 1 == TRIES)
            break;
        for (size_t i = 0; i < list->n; i++)
            if (list->items[i]->state == ENTRY_WAITING)
                restore_one(list, &saved, i);
        why = ingest_begin(ingest);
        if (why != NULL)
            break;
    }
    for (size_t i = 0; i < list->n; i++)
        if (list->items[i]->state == ENTRY_WAITING) {
            list->items[i]->state = ENTRY_FAILED;
            if (why != NULL || list->items[i]->reason == NULL)
                list->items[i]->reason = why;
            ingest->trouble = true;
        }
}

struct str ingest_bytes_on(struct ingest *ingest, struct entry_list *list, const char *path,
                           struct str base, const char **why)
{
    struct run run = new_run(ingest, list);
    struct target target = {
        .file = {.path = path, .target = path, .source = {str_of(path), base}, .exists = true}};
    run.taken = ENTRY_ADDED;
    run.quiet.diags = &run.diags;
    ingest_read_parts(&run, &target);
    *why = target.why;
    for (size_t i = 0; i < list->n && *why == NULL; i++) {
        const struct entry *entry = list->items[i];
        bool plant = ENTRY_FORMS[entry->kind].plant;
        if (entry->state != ENTRY_ADDED || strcmp(entry->path, path) != 0)
            continue;
        struct str name = plant ? ingest_month(&run, entry) : entry->batch;
        if (ingest_part(&target, name, plant) == NULL)
            *why = "it has no such batch or month";
    }
    return *why == NULL ? ingest_make_bytes(&run, &target, why) : STR("");
}
