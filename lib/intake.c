#include "intake.h"

#include "filled.h"
#include "import.h"

const char *intake_check_kind(const struct cellar *cellar, struct arena *arena, struct str from)
{
    if (str_is(from, "sheet") || str_is(from, "lines") || cellar_import(cellar, from) != NULL)
        return NULL;
    struct buf text = buf_new(arena);
    buf_printf(&text, "\"%s\" is not one of: sheet, lines", str_shown(arena, from));
    for (size_t i = 0; i < cellar->imports.n; i++)
        buf_printf(&text, ", %s", str_shown(arena, name_of(cellar->imports.items[i].node)));
    return text.p;
}

static const char *read_csv(const struct ingest *ingest, const struct cellar_import *import,
                            const struct source *source, struct entry_list *list, struct buf *notes)
{
    struct import_count count = {0};
    const char *why = import_read(ingest->arena, ingest->roster, import, source,
                                  ingest->book->zone_folder, ingest->now, list, &count);
    if (why == NULL)
        import_describe(notes, &count);
    return why;
}

static void read_sheet(const struct ingest *ingest, const struct source *source,
                       struct entry_list *list, struct buf *notes)
{
    struct buf unknown = buf_new(ingest->arena);
    filled_read(ingest->arena, ingest->roster, source, ingest->now, list, &unknown);
    if (unknown.n > 0)
        buf_printf(notes, "columns passed over: %s", unknown.p);
}

/* Begins with the byte order mark of UTF-16, as a spreadsheet's "Unicode text" does. */
static bool is_wide(struct str text)
{
    return str_starts(text, "\xff\xfe") || str_starts(text, "\xfe\xff");
}

const char *intake_read(const struct ingest *ingest, struct str from, const struct source *source,
                        struct entry_list *list, struct buf *notes)
{
    const struct cellar *cellar = ingest->book->cellar;
    bool told = from.n > 0;
    const struct cellar_import *import =
        told ? cellar_import(cellar, from) : import_find(cellar, ingest->arena, source->text);
    if (is_wide(source->text))
        return "it is UTF-16: save it as UTF-8 text";
    if (str_is(from, "sheet") || (!told && filled_is_sheet(source->text)))
        read_sheet(ingest, source, list, notes);
    else if (import != NULL && !str_is(from, "lines"))
        return read_csv(ingest, import, source, list, notes);
    else if (!told && filled_is_other_sheet(source->text))
        return "the sheet was saved with commas or semicolons: save it as text with tabs";
    else if (!told && import_is_csv(source->text))
        return "an instrument's file, but no import of cellar.yaml has its columns";
    else
        typed_read(ingest->arena, ingest->roster, source, ingest->now, list);
    return NULL;
}
