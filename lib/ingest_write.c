#include "check.h"
#include "file.h"
#include "ingest_run.h"
#include "insert.h"
#include "order.h"

#include <string.h>

struct addition {
    struct entry *entry;
    size_t order;
};

static int compare_additions(const void *left, const void *right)
{
    const struct addition *a = left, *b = right;
    return order_then(order_of(a->entry->at, b->entry->at),
                      order_of((int64_t)a->order, (int64_t)b->order));
}

static bool goes_to(const struct run *run, const struct target *target, const struct part *part,
                    const struct entry *entry)
{
    if (entry->state != run->taken || strcmp(entry->path, target->file.path) != 0)
        return false;
    struct str name = ENTRY_FORMS[entry->kind].plant ? ingest_month(run, entry) : entry->batch;
    return ingest_part(target, name, ENTRY_FORMS[entry->kind].plant) == part;
}

/* Everything new for one list of one document, in order of time. */
static size_t collect(const struct run *run, const struct target *target, const struct part *part,
                      enum entry_kind kind, struct addition *additions)
{
    size_t n = 0;
    for (size_t i = 0; i < run->list->n; i++) {
        const struct entry *entry = run->list->items[i];
        if (!goes_to(run, target, part, entry))
            continue;
        for (size_t k = 0; entry->parts[k] != NULL; k++)
            if (entry->parts[k]->kind == kind) {
                additions[n] = (struct addition){entry->parts[k], n};
                n++;
            }
    }
    order_sort(additions, n, sizeof *additions, compare_additions);
    return n;
}

static const char *add_list(struct run *run, struct insert *insert, const struct target *target,
                            const struct part *part, enum entry_kind kind)
{
    const struct key_table *table = entry_table(kind);
    const struct key_table *document = ENTRY_FORMS[kind].plant ? &PLANT_KEYS : &BATCH_KEYS;
    struct addition *additions = arena_array(run->arena, run->list->n * 3 + 1, sizeof *additions);
    size_t n = collect(run, target, part, kind, additions);
    if (n == 0)
        return NULL;
    const char **order = arena_array(run->arena, table->count, sizeof *order);
    struct str *lines = arena_array(run->arena, n, sizeof *lines);
    const struct doc_node *list = doc_get(part->root, ENTRY_FORMS[kind].list);
    entry_order(table, list != NULL && list->kind == DOC_LIST ? list : NULL, order);
    for (size_t i = 0; i < n; i++) {
        struct buf line = buf_new(run->arena);
        entry_write(&line, additions[i].entry, run->ingest->book->cellar->zone, order,
                    table->count);
        lines[i] = additions[i].entry->written = buf_str(&line);
    }
    return insert_entries(insert, part->root, document, ENTRY_FORMS[kind].list, lines, n);
}

/* Everything gyle-validate finds in the bytes of a target's file. */
static struct diags *find_faults(const struct run *run, const struct target *target,
                                 struct str bytes, struct book_file **file)
{
    struct arena *arena = run->arena;
    struct diags *diags = arena_alloc(arena, sizeof *diags);
    struct source *source = arena_alloc(arena, sizeof *source);
    struct book book = *run->ingest->book;
    struct check check;
    *source = (struct source){target->file.source.name, bytes};
    ingest_diags(run, diags);
    book.diags = diags;
    *file = book_parse(&book, arena, *source);
    check_begin(&check, book.cellar, diags, arena, run->ingest->now);
    check_file(&check, &book, arena, *file);
    return diags;
}

static struct str line_of(struct str text, size_t number)
{
    struct str line = {NULL, 0};
    for (size_t i = 0; i < number && text.p != NULL; i++)
        line = str_split(&text, '\n');
    return line;
}

/* The entry that wrote a line of the new bytes, or NULL. */
static struct entry *writer_of(const struct run *run, const struct target *target, struct str line)
{
    for (size_t i = 0; i < run->list->n; i++) {
        struct entry *entry = run->list->items[i];
        if (entry->state != ENTRY_TAKEN || strcmp(entry->path, target->file.path) != 0)
            continue;
        for (size_t k = 0; entry->parts[k] != NULL; k++)
            if (entry->parts[k]->written.n > 0 && str_contains(line, entry->parts[k]->written))
                return entry;
    }
    return NULL;
}

/* Was it found in the bytes as they are? *before is read when that is first asked. */
static bool was_there(const struct run *run, const struct target *target,
                      const struct diags **before_read, const struct diag *finding)
{
    struct book_file *file;
    if (*before_read == NULL)
        *before_read = find_faults(run, target, target->file.source.text, &file);
    const struct diags *before = *before_read;
    for (size_t i = 0; i < before->n; i++)
        if (before->items[i].rule == finding->rule &&
            strcmp(before->items[i].message, finding->message) == 0)
            return true;
    return false;
}

/* Warnings about what is added, once it is known to be so. */
static void remark_warnings(struct run *run, const struct target *target, struct str bytes,
                            const struct diags *after)
{
    for (size_t i = 0; i < after->n; i++) {
        const struct diag *finding = &after->items[i];
        bool said = finding->rule == RULE_HIGH_PRESSURE || finding->rule == RULE_TIME_TWICE ||
                    finding->rule == RULE_COUNTER;
        if (finding->level != DIAG_WARNING || said)
            continue;
        struct entry *entry = writer_of(run, target, line_of(bytes, finding->line));
        if (entry != NULL)
            entry_remark(entry, run->arena, true, "%s", finding->message);
    }
}

/* What the new bytes would be found guilty of, and warned for. True when an entry is refused for
 * it, and the bytes must be made anew; *why tells of an error that no entry alone has made. */
static bool judge_result(struct run *run, const struct target *target, struct str bytes,
                         const char **why)
{
    struct book_file *file;
    const struct diags *before = NULL, *after = find_faults(run, target, bytes, &file);
    bool refused = false;
    if (!insert_keeps(&target->parsed->stream, &file->stream) ||
        !insert_keeps_bytes(target->file.source.text, bytes)) {
        *why = "the entries cannot be added without changing what is there: it ends in an unusual "
               "way; add a line by hand first";
        return false;
    }
    for (size_t i = 0; i < after->n; i++) {
        const struct diag *finding = &after->items[i];
        if (finding->level != DIAG_ERROR)
            continue;
        struct entry *entry = writer_of(run, target, line_of(bytes, finding->line));
        if (entry != NULL) {
            entry_refuse(entry, run->arena, "%s", finding->message);
            entry->condemned = refused = true;
        } else if (!refused && !was_there(run, target, &before, finding)) {
            struct buf text = buf_new(run->arena);
            buf_printf(&text, "beside it, line %u of %s would be wrong: %s",
                       (unsigned)finding->line, str_shown(run->arena, str_of(target->file.path)),
                       finding->message);
            *why = text.p;
        }
    }
    if (!refused && *why == NULL)
        remark_warnings(run, target, bytes, after);
    return refused;
}

static void finish(struct run *run, const struct target *target, enum entry_state state,
                   const char *why)
{
    for (size_t i = 0; i < run->list->n; i++) {
        struct entry *entry = run->list->items[i];
        if (entry->state != ENTRY_TAKEN || strcmp(entry->path, target->file.path) != 0)
            continue;
        entry->state = state;
        entry->reason = why;
    }
}

static bool has_taken(const struct run *run, const struct target *target)
{
    for (size_t i = 0; i < run->list->n; i++)
        if (run->list->items[i]->state == ENTRY_TAKEN &&
            strcmp(run->list->items[i]->path, target->file.path) == 0)
            return true;
    return false;
}

static void note_written(struct ingest *ingest, const char *path)
{
    const char **paths = arena_array(ingest->arena, ingest->written.n + 1, sizeof *paths);
    for (size_t i = 0; i < ingest->written.n; i++)
        paths[i] = ingest->written.items[i];
    paths[ingest->written.n++] = path;
    ingest->written.items = paths;
}

struct str ingest_make_bytes(struct run *run, struct target *target, const char **why)
{
    struct insert insert = insert_new(run->arena, target->file.source.text);
    for (const struct part *part = target->parts; part != NULL && *why == NULL; part = part->next)
        for (int kind = 0; kind < ENTRY_NOTHING && *why == NULL; kind++)
            *why = add_list(run, &insert, target, part, (enum entry_kind)kind);
    return insert_apply(&insert);
}

bool ingest_check(struct run *run, struct target *target)
{
    const char *why = NULL;
    if (!has_taken(run, target))
        return false;
    target->bytes = ingest_make_bytes(run, target, &why);
    if (why == NULL && judge_result(run, target, target->bytes, &why))
        return true;
    if (why == NULL)
        return false;
    finish(run, target, ENTRY_FAILED, why);
    run->ingest->trouble = true;
    return false;
}

/* The targets that have something new, and what became of each. */
struct writing {
    struct target **targets;
    struct store_change *changes;
    size_t n;
};

static struct writing collect_writing(const struct run *run)
{
    struct writing writing = {NULL, NULL, 0};
    size_t most = 0;
    for (struct target *target = run->targets; target != NULL; target = target->next)
        most++;
    writing.targets = arena_array(run->arena, most + 1, sizeof(struct target *));
    writing.changes = arena_array(run->arena, most + 1, sizeof *writing.changes);
    for (struct target *target = run->targets; target != NULL; target = target->next)
        if (has_taken(run, target)) {
            writing.changes[writing.n] =
                (struct store_change){.file = &target->file, .bytes = target->bytes};
            writing.targets[writing.n++] = target;
        }
    return writing;
}

/* Syncs each folder once. A change whose folder cannot be synced has failed. */
static void sync_folders(const struct run *run, const struct writing *writing)
{
    const char **folders = arena_array(run->arena, writing->n + 1, sizeof *folders);
    const char **whys = arena_array(run->arena, writing->n + 1, sizeof *whys);
    size_t n = 0;
    for (size_t i = 0; i < writing->n; i++) {
        struct store_change *change = &writing->changes[i];
        if (change->status != STORE_DONE)
            continue;
        const char *folder = file_folder(run->arena, change->file->target);
        size_t k = 0;
        while (k < n && strcmp(folders[k], folder) != 0)
            k++;
        if (k == n) {
            folders[n] = folder;
            whys[n] = NULL;
            store_sync(change->file, run->arena, &whys[n++]);
        }
        if (whys[k] != NULL) {
            change->status = STORE_FAILED;
            change->why = whys[k];
        }
    }
}

/* What was written may have been overwritten by a git that had begun before. */
static void look_again(const struct run *run, const struct writing *writing)
{
    bool free = gitlock_wait(&run->ingest->git, INGEST_WAIT_SECONDS);
    for (size_t i = 0; i < writing->n; i++) {
        struct store_change *change = &writing->changes[i];
        if (change->status != STORE_DONE)
            continue;
        if (!store_stands(change)) {
            change->status = STORE_CHANGED;
            change->why = "another program wrote the file at the same moment";
        } else if (!free) {
            change->status = STORE_FAILED;
            change->why = "git is at work in this book: run it again when git has ended";
        }
    }
}

static bool finish_all(struct run *run, const struct writing *writing)
{
    static const enum entry_state STATES[] = {
        [STORE_DONE] = ENTRY_ADDED, [STORE_CHANGED] = ENTRY_WAITING, [STORE_FAILED] = ENTRY_FAILED};
    bool again = false;
    for (size_t i = 0; i < writing->n; i++) {
        const struct store_change *change = &writing->changes[i];
        finish(run, writing->targets[i], STATES[change->status], change->why);
        again = again || change->status == STORE_CHANGED;
        if (change->status == STORE_FAILED)
            run->ingest->trouble = true;
        if (change->status == STORE_DONE)
            note_written(run->ingest, change->file->path);
    }
    return again;
}

bool ingest_write(struct run *run)
{
    struct writing writing = collect_writing(run);
    if (writing.n == 0)
        return false;
    if (!gitlock_wait(&run->ingest->git, INGEST_WAIT_SECONDS) ||
        gitlock_has_changed(&run->ingest->git)) {
        for (size_t i = 0; i < writing.n; i++)
            finish(run, writing.targets[i], ENTRY_WAITING,
                   "git changed the book at the same moment");
        return true;
    }
    store_write_all(run->arena, writing.changes, writing.n);
    sync_folders(run, &writing);
    look_again(run, &writing);
    return finish_all(run, &writing);
}
