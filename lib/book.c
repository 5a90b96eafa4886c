#include "book.h"

#include "lint.h"

#include <string.h>
#include <unistd.h>

static const char CELLAR_FILE[] = "cellar.yaml";

/* The folder above: of "a/b" "a", of "a" "", of "" "..", of "../.." "../../..". NULL above "/". */
static const char *folder_above(struct arena *arena, const char *folder)
{
    const char *last = strrchr(folder, '/');
    last = last == NULL ? folder : last + 1;
    if (strcmp(folder, "/") == 0)
        return NULL;
    if (folder[0] == '\0' || strcmp(last, "..") == 0)
        return file_join(arena, folder, "..");
    if (strcmp(folder, ".") == 0)
        return "..";
    return file_folder(arena, folder);
}

/* How many folders lie above the working directory. */
static size_t depth_of_working_directory(void)
{
    char path[4096];
    size_t depth = 0;
    if (getcwd(path, sizeof path) == NULL)
        return 64;
    for (const char *p = path; *p != '\0'; p++)
        depth += *p == '/' && p[1] != '\0';
    return depth;
}

const char *book_find(struct arena *arena, const char *given, const char *near, const char **looked)
{
    if (given != NULL) {
        *looked = given;
        return file_exists(given) ? given : NULL;
    }
    bool here = near == NULL || strcmp(near, "-") == 0;
    const char *first = here ? "" : file_folder(arena, near), *folder = first;
    size_t above = 0, depth = depth_of_working_directory();
    do {
        const char *path = file_join(arena, folder, CELLAR_FILE);
        if (file_exists(path))
            return path;
        above += folder[0] == '\0' || str_ends(str_of(folder), "..");
        folder = folder_above(arena, folder);
    } while (folder != NULL && above <= depth);
    struct buf text = buf_new(arena);
    buf_printf(&text, "%s and the folders above it",
               first[0] == '\0' ? "the working directory" : first);
    *looked = text.p;
    return NULL;
}

static bool is_kind(const struct doc_node *root, const char *kind)
{
    return root != NULL && root->kind == DOC_MAP && root->first != NULL &&
           str_is(root->first->key->text, kind);
}

static bool open_cellar(struct book *book)
{
    size_t errors = book->diags->errors;
    book->cellar_stream = doc_read(book->arena, &book->cellar_source, book->diags);
    for (const struct doc *doc = book->cellar_stream.first; doc != NULL; doc = doc->next) {
        if (!is_kind(doc->root, "cellar") || book->cellar != NULL)
            continue;
        lint_apply(book->diags, &book->cellar_source, doc_get(doc->root, "lint"));
        book->cellar = cellar_read(book->arena, &book->cellar_source, doc->root, book->zone_folder,
                                   book->diags);
    }
    book->cellar_errors += book->diags->errors - errors;
    if (book->cellar == NULL && book->cellar_errors == 0)
        diag_add(book->diags, (struct place){&book->cellar_source, 0, 0}, RULE_KIND,
                 "no cellar here: its first key must be cellar:");
    return book->cellar != NULL;
}

static void begin(struct book *book, struct arena *arena, struct diags *diags, const char *path,
                  const char *zone_folder)
{
    *book = (struct book){
        .arena = arena, .diags = diags, .cellar_path = path, .zone_folder = zone_folder};
    book->folder = file_folder(arena, path);
}

bool book_open(struct book *book, struct arena *arena, struct diags *diags, const char *path,
               const char *zone_folder)
{
    begin(book, arena, diags, path, zone_folder);
    return file_read(arena, path, &book->cellar_source, diags) && open_cellar(book);
}

bool book_open_source(struct book *book, struct arena *arena, struct diags *diags,
                      struct source source, const char *zone_folder)
{
    begin(book, arena, diags, arena_copy(arena, source.name.p, source.name.n), zone_folder);
    book->cellar_source = source;
    return open_cellar(book);
}

struct file_list book_batches(struct book *book)
{
    struct file_list list = {NULL, 0, 0};
    file_walk(book->arena, file_join(book->arena, book->folder, "batches"), &list, book->diags);
    return list;
}

struct file_list book_plants(struct book *book)
{
    struct file_list list = {NULL, 0, 0};
    file_walk(book->arena, file_join(book->arena, book->folder, "plant"), &list, book->diags);
    return list;
}

static void report_kind(const struct book *book, const struct book_file *file,
                        const struct doc *doc)
{
    struct place place = {&file->source, doc->line, 1};
    if (doc->root == NULL || (doc->root->kind == DOC_SCALAR && doc_is_null(doc->root)))
        diag_add(book->diags, place, RULE_EMPTY, "an empty document");
    else if (doc->root->kind != DOC_MAP || doc->root->first == NULL)
        diag_add(book->diags, doc_place(&file->source, doc->root), RULE_KIND,
                 "a document must be a mapping that begins with batch:, plant: or cellar:");
    else
        diag_add(book->diags, doc_place(&file->source, doc->root->first->key), RULE_KIND,
                 "the first key is \"%s\": a document must begin with batch:, plant: or cellar:",
                 str_shown(book->diags->arena, doc->root->first->key->text));
}

static void sort_document(const struct book *book, struct arena *arena, struct book_file *file,
                          const struct doc *doc)
{
    struct keys_context context = cellar_context(book->cellar, arena, &file->source, book->diags);
    if (is_kind(doc->root, "batch"))
        file->batches.items[file->batches.n++] = batch_read(&context, doc->root);
    else if (is_kind(doc->root, "plant"))
        file->plants.items[file->plants.n++] = plant_read(&context, book->cellar, doc->root);
    else if (is_kind(doc->root, "cellar"))
        file->cellars.items[file->cellars.n++] =
            cellar_read(arena, &file->source, doc->root, book->zone_folder, book->diags);
    else
        report_kind(book, file, doc);
}

static void parse(const struct book *book, struct arena *arena, struct book_file *file)
{
    file->stream = doc_read(arena, &file->source, book->diags);
    size_t n = file->stream.count;
    file->batches.items = arena_array(arena, n, sizeof *file->batches.items);
    file->plants.items = arena_array(arena, n, sizeof *file->plants.items);
    file->cellars.items = arena_array(arena, n, sizeof *file->cellars.items);
    for (const struct doc *doc = file->stream.first; doc != NULL; doc = doc->next)
        sort_document(book, arena, file, doc);
}

struct book_file *book_parse(const struct book *book, struct arena *arena, struct source source)
{
    struct book_file *file = arena_alloc(arena, sizeof *file);
    size_t errors = book->diags->errors;
    file->readable = true;
    file->source = source;
    parse(book, arena, file);
    file->errors = book->diags->errors - errors;
    return file;
}

struct book_file *book_load(const struct book *book, struct arena *arena, const char *path)
{
    struct book_file *file = arena_alloc(arena, sizeof *file);
    size_t errors = book->diags->errors;
    file->readable = file_read(arena, path, &file->source, book->diags);
    if (file->readable)
        parse(book, arena, file);
    file->errors = book->diags->errors - errors;
    return file;
}

void book_settle(const struct book *book, struct arena *arena, struct batch *batch, int64_t now)
{
    struct keys_context context = cellar_context(book->cellar, arena, batch->source, book->diags);
    batch_settle(batch, book->cellar, now, &context);
}

struct book_file *book_load_settled(const struct book *book, struct arena *arena, const char *path,
                                    int64_t now, struct book_left_out *left_out)
{
    size_t errors = book->diags->errors;
    struct book_file *file = book_load(book, arena, path);
    for (size_t i = 0; i < file->batches.n; i++) {
        book_settle(book, arena, file->batches.items[i], now);
        left_out->later += file->batches.items[i]->later;
    }
    left_out->files += book->diags->errors > errors;
    return file;
}
