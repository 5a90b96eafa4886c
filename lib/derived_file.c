#include "derived_file.h"

#include "derived.h"

static void add_rows(struct derived_files *files, const struct batch *batch)
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
    struct book_file *file =
        book_load_settled(files->book, files->arena, path, files->now, &files->left_out);
    for (size_t i = 0; i < file->batches.n; i++)
        if (file->batches.items[i]->errors == 0)
            add_rows(files, file->batches.items[i]);
    arena_reset(files->arena);
}
