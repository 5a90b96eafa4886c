#include "enter.h"

#include "ask.h"
#include "commit.h"
#include "intake.h"
#include "outcome.h"

/* Notes a sentence for the user, if there is one. */
static bool say(struct enter *enter, const char *sentence)
{
    if (sentence == NULL)
        return false;
    if (enter->says.n == enter->say_capacity)
        enter->says.items = arena_grow(enter->arena, enter->says.items, &enter->say_capacity,
                                       sizeof *enter->says.items);
    enter->says.items[enter->says.n++] = sentence;
    return true;
}

/* The same about a source. */
static void say_of(struct enter *enter, const struct source *source, const char *sentence)
{
    struct buf text = buf_new(enter->arena);
    buf_printf(&text, "%s: %s", str_shown(enter->arena, source->name), sentence);
    say(enter, text.p);
}

/* Reads the book and what comes in, and judges it; writes it unless it is a dry run. asked: what
 * was answered before, or NULL. */
static bool judge(struct enter *enter, struct ingest *ingest, struct entry_list *list,
                  const struct entry_list *asked)
{
    if (say(enter, ingest_begin(ingest)))
        return false;
    for (size_t i = 0; i < enter->source_count; i++) {
        const struct source *source = &enter->sources[i];
        struct buf notes = buf_new(enter->arena);
        const char *why = intake_read(ingest, enter->from, source, list, &notes);
        if (why != NULL || (notes.n > 0 && asked == NULL))
            say_of(enter, source, why != NULL ? why : notes.p);
        if (why != NULL)
            return false;
    }
    if (asked != NULL)
        ask_apply(asked, list);
    ingest_run(ingest, list);
    return true;
}

/* What would be added is judged once before the lock is taken: a person may take long to answer. */
static bool ask_first(struct enter *enter, const struct ingest *ingest, struct entry_list *asked)
{
    struct ingest dry = *ingest;
    FILE *terminal = fopen("/dev/tty", "r+");
    if (terminal == NULL) {
        say(enter, "--ask needs a terminal");
        return false;
    }
    dry.dry_run = true;
    bool read = judge(enter, &dry, asked, NULL);
    if (read)
        ask_unlikely(terminal, terminal, enter->arena, asked, enter->book->cellar->zone);
    fclose(terminal);
    return read;
}

static bool write_rejects(struct enter *enter)
{
    struct store_file file;
    const char *why = NULL;
    struct str text = outcome_rejects(enter->arena, &enter->list);
    if (store_read(&file, enter->arena, enter->reject_path, &why) && (text.n > 0 || file.exists) &&
        store_write(&file, enter->arena, text, &why) == STORE_DONE)
        store_sync(&file, enter->arena, &why);
    return !say(enter, why);
}

/* Commits what was written. Of a file that had changes before, only what was added. */
static const char *commit_written(struct enter *enter, struct ingest *ingest,
                                  const struct commit *commit)
{
    struct commit_file *files = arena_array(enter->arena, ingest->written.n + 1, sizeof *files);
    const char *why = NULL;
    for (size_t i = 0; i < ingest->written.n; i++) {
        const char *path = ingest->written.items[i];
        struct str last;
        files[i] = (struct commit_file){.path = path, .partly = !commit_is_clean(commit, path)};
        if (files[i].partly && commit_last(commit, path, &last, &why))
            files[i].bytes = ingest_bytes_on(ingest, &enter->list, path, last, &why);
        if (why != NULL) {
            struct buf text = buf_new(enter->arena);
            buf_printf(&text, "added, but not committed: %s: %s",
                       str_shown(enter->arena, str_of(path)), why);
            return text.p;
        }
    }
    commit_added(commit, files, ingest->written.n, &enter->list, enter->book->cellar->zone, &why);
    return why;
}

/* Everything that is done under the book's lock. */
static bool add(struct enter *enter, struct ingest *ingest, const struct entry_list *asked)
{
    struct commit commit;
    const char *why = NULL;
    if (enter->commit && !commit_begin(&commit, enter->arena, enter->book->folder, &why)) {
        say(enter, why);
        return false;
    }
    if (!judge(enter, ingest, &enter->list, asked))
        return false;
    enter->judged = true;
    diag_append(&enter->diags, &ingest->roster->diags);
    bool good = !ingest->trouble;
    if (enter->reject_path != NULL && !enter->dry_run)
        good = write_rejects(enter) && good;
    if (enter->commit)
        why = commit_written(enter, ingest, &commit);
    return !say(enter, why) && good;
}

bool enter_book(struct enter *enter)
{
    enum { WAIT_SECONDS = 60 };
    struct ingest ingest = {.arena = enter->arena,
                            .book = enter->book,
                            .now = enter->now,
                            .dry_run = enter->dry_run,
                            .correct = enter->correct};
    struct entry_list asked = {NULL, 0, 0};
    struct store_lock lock;
    const char *why = NULL;
    diag_init(&enter->diags, enter->arena);
    if (enter->ask && !ask_first(enter, &ingest, &asked))
        return false;
    if (!store_lock(&lock, enter->arena, enter->book->folder, WAIT_SECONDS, &why))
        return !say(enter, why);
    bool good = add(enter, &ingest, enter->ask ? &asked : NULL);
    store_unlock(&lock);
    return good;
}
