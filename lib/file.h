/*
 * Files and folders of the book, read whole.
 */
#ifndef GYLE_FILE_H
#define GYLE_FILE_H

#include "arena.h"
#include "diag.h"
#include "str.h"

#include <stdbool.h>
#include <stddef.h>

/* Reads a file, or standard input for "-", into the arena, and a NUL behind it. On failure false,
 * and a finding of RULE_UNREADABLE. source->name is path, "standard input" for "-". */
bool file_read(struct arena *arena, const char *path, struct source *source, struct diags *diags);

bool file_exists(const char *path);

/* True for a name, without its folders, that ends in .yaml and is no dot file or editor's backup.
 */
bool file_is_yaml(const char *name);

/* Adds the paths of every *.yaml file below folder, in byte order, dot files and editors' backups
 * left out, to a list that grows in the arena. Folders that do not exist add nothing; one that
 * cannot be read is a finding. */
struct file_list {
    const char **paths;
    size_t n, capacity;
};
void file_walk(struct arena *arena, const char *folder, struct file_list *list,
               struct diags *diags);

/* "a/b" of "a" and "b"; "b" when the folder is "" or "." */
const char *file_join(struct arena *arena, const char *folder, const char *name);

/* The part of a path before its last slash: "" when it has none, "/" for "/a". */
const char *file_folder(struct arena *arena, const char *path);

#endif
