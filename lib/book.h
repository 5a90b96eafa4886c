/*
 * The gyle book: where it is, which files it has, and a file's documents as models.
 *
 * The book's folder is the one that holds cellar.yaml; its batches are batches/ and below, its
 * plant logs plant/. A file is read once; what it becomes lives in the arena handed to book_load(),
 * so a filter that needs one file at a time resets that arena between files.
 */
#ifndef GYLE_BOOK_H
#define GYLE_BOOK_H

#include "batch.h"
#include "cellar.h"
#include "diag.h"
#include "doc.h"
#include "file.h"
#include "plant.h"

struct book {
    struct arena *arena; /* of the cellar and the list of files; outlives the book */
    struct diags *diags;
    const char *cellar_path;
    const char *folder; /* "" for the working directory */
    const char *zone_folder;
    struct source cellar_source;
    struct doc_stream cellar_stream;
    struct cellar *cellar;
    size_t cellar_errors;
};

/* The cellar file: given (NULL: not), else the first cellar.yaml in the folder of near (a file's
 * path; NULL or "-": the working directory) and the folders above it. NULL when there is none;
 * *looked then tells where it was looked for. */
const char *book_find(struct arena *arena, const char *given, const char *near,
                      const char **looked);

/* Reads the cellar at path. False when there is no usable cellar in it; why is in diags. */
bool book_open(struct book *book, struct arena *arena, struct diags *diags, const char *path,
               const char *zone_folder);

/* The same for the bytes of a cellar file that are already there; source must outlive the book. */
bool book_open_source(struct book *book, struct arena *arena, struct diags *diags,
                      struct source source, const char *zone_folder);

/* The paths of the book's batch files, and of its plant logs, each in byte order. */
struct file_list book_batches(struct book *book);
struct file_list book_plants(struct book *book);

/* What the documents of one file or stream are. */
struct book_file {
    struct source source;
    struct doc_stream stream;
    LIST(struct batch *) batches;
    LIST(struct plant *) plants;
    LIST(struct cellar *) cellars; /* in a stream; they are checked, but not used */
    bool readable;
    size_t errors; /* of the whole file */
};

/* Reads path ("-": standard input) into arena. */
struct book_file *book_load(const struct book *book, struct arena *arena, const char *path);

/* The same for bytes already there. */
struct book_file *book_parse(const struct book *book, struct arena *arena, struct source source);

/* batch_settle() with what a file's batches need. */
void book_settle(const struct book *book, struct arena *arena, struct batch *batch, int64_t now);

/* What is left out of the files read so far. */
struct book_left_out {
    size_t later; /* entries after now */
    size_t files; /* that are not whole: unreadable, broken off, or with errors */
};

/* book_load() with all batches settled as of now, those with errors too; adds what that leaves out.
 */
struct book_file *book_load_settled(const struct book *book, struct arena *arena, const char *path,
                                    int64_t now, struct book_left_out *left_out);

#endif
