#include "derived_file.h"

#include "derived.h"

static void add_rows(struct derived_files *files, struct batch *batch)
{
    const struct cellar *cellar = files->book->cellar;
    struct derived_batch of = derived_begin(batch, cellar, derived_atmosphere(cellar), files->now);
    for (size_t i = 0; i < batch->course.n; i++) {
        struct derived row = derived_of(&of, batch->course.items[i], i < batch->first);
        table_row(files->table, &row);
    }
}

void derived_file(struct derived_files *files, const char *path)
{
    size_t errors = files->book->diags->errors;
    struct book_file *file = book_load(files->book, files->arena, path);
    for (size_t i = 0; i < file->batches.n; i++) {
        struct batch *batch = file->batches.items[i];
        book_settle(files->book, files->arena, batch, files->now);
        files->later += batch->later;
        if (batch->errors == 0)
            add_rows(files, batch);
    }
    files->broken += file->errors > 0 || files->book->diags->errors > errors;
    arena_reset(files->arena);
}
