#include "ingest_run.h"

#include <string.h>

static struct part *add_part(struct run *run, struct target *target, struct str name,
                             const struct doc_node *root, struct known *known,
                             const struct batch *batch)
{
    struct part *part = arena_alloc(run->arena, sizeof *part);
    *part = (struct part){target->parts, name, root, known, batch};
    target->parts = part;
    return part;
}

void ingest_read_parts(struct run *run, struct target *target)
{
    target->parsed = book_parse(&run->quiet, run->arena, target->file.source);
    for (size_t i = 0; i < target->parsed->batches.n; i++) {
        struct batch *batch = target->parsed->batches.items[i];
        add_part(run, target, text_of(batch->number), batch->node,
                 known_batch(run->arena, &run->quiet, batch, run->ingest->now), batch);
    }
    for (size_t i = 0; i < target->parsed->plants.n; i++) {
        const struct plant *plant = target->parsed->plants.items[i];
        add_part(run, target, text_of(plant->month), plant->node,
                 known_plant(run->arena, &run->quiet, plant), NULL);
    }
    if (target->parsed->stream.broken)
        target->why = "the file is not YAML: see gyle-validate";
}

static struct target *find_target(struct run *run, const char *path)
{
    for (struct target *target = run->targets; target != NULL; target = target->next)
        if (strcmp(target->file.path, path) == 0)
            return target;
    struct target *target = arena_alloc(run->arena, sizeof *target);
    target->next = run->targets;
    run->targets = target;
    if (!store_read(&target->file, run->arena, path, &target->why)) {
        run->ingest->trouble = true;
        return target;
    }
    ingest_read_parts(run, target);
    return target;
}

struct part *ingest_part(const struct target *target, struct str name, bool plant)
{
    for (struct part *part = target->parts; part != NULL; part = part->next)
        if (doc_get(part->root, plant ? "plant" : "batch") != NULL && str_eq(part->name, name))
            return part;
    return NULL;
}

/* The plant log of an entry's month: the file of that name, else any that holds the month, else a
 * new one. */
static struct target *plant_target(struct run *run, struct str month, struct part **part)
{
    struct arena *arena = run->arena;
    struct buf name = buf_new(arena);
    buf_printf(&name, "plant/" STR_FMT ".yaml", STR_ARG(month));
    const char *usual = file_join(arena, run->ingest->book->folder, name.p);
    struct target *target = find_target(run, usual);
    *part = ingest_part(target, month, true);
    if (*part != NULL || target->why != NULL)
        return target;
    struct file_list files = book_plants(&run->quiet);
    for (size_t i = 0; i < files.n; i++) {
        struct target *other = find_target(run, files.paths[i]);
        *part = ingest_part(other, month, true);
        if (*part != NULL)
            return other;
    }
    if (target->file.exists) {
        target->why = "the file holds no plant log of that month";
        return target;
    }
    struct buf text = buf_new(arena);
    buf_printf(&text, "---\nplant: " STR_FMT "\n", STR_ARG(month));
    target->file.source.text = buf_str(&text);
    ingest_read_parts(run, target);
    *part = ingest_part(target, month, true);
    return target;
}

struct str ingest_month(const struct run *run, const struct entry *entry)
{
    char text[CIVIL_TEXT_SIZE];
    civil_minute(run->ingest->book->cellar->zone, entry->at, text);
    return (struct str){arena_copy(run->arena, text, strlen("2026-11")), strlen("2026-11")};
}

bool ingest_find_part(struct run *run, struct entry *entry, struct part **part)
{
    struct target *target;
    if (ENTRY_FORMS[entry->kind].plant) {
        target = plant_target(run, ingest_month(run, entry), part);
        entry->path = target->file.path;
    } else {
        target = find_target(run, entry->path);
        *part = ingest_part(target, entry->batch, false);
    }
    if (target->why != NULL)
        entry_refuse(entry, run->arena, "%s: %s", str_shown(run->arena, str_of(entry->path)),
                     target->why);
    else if (*part == NULL)
        entry_refuse(entry, run->arena, "%s was changed by another program: run it again",
                     str_shown(run->arena, str_of(entry->path)));
    return entry->state != ENTRY_REFUSED;
}
