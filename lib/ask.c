#include "ask.h"

#include "outcome.h"

static bool is_unlikely(const struct entry *entry)
{
    const struct entry_remark *remark = entry->remarks;
    while (remark != NULL && !remark->unlikely)
        remark = remark->next;
    return entry->state == ENTRY_TAKEN && remark != NULL;
}

/* True for yes; anything but yes or no is asked again. False too at the end of in. */
static bool read_answer(FILE *in, FILE *out)
{
    for (;;) {
        char line[64];
        fputs("Add it? yes or no: ", out);
        fflush(out);
        if (fgets(line, sizeof line, in) == NULL) {
            fputc('\n', out);
            return false;
        }
        struct str answer = str_trim(str_of(line));
        if (str_is_nocase(answer, "y") || str_is_nocase(answer, "yes"))
            return true;
        if (str_is_nocase(answer, "n") || str_is_nocase(answer, "no"))
            return false;
    }
}

void ask_unlikely(FILE *in, FILE *out, struct arena *arena, const struct entry_list *list,
                  const struct civil_zone *zone)
{
    for (size_t i = 0; i < list->n; i++) {
        struct entry *entry = list->items[i];
        if (!is_unlikely(entry))
            continue;
        outcome_entry(out, arena, entry, zone, 80);
        if (read_answer(in, out))
            continue;
        entry->state = ENTRY_LEFT;
        entry->reason = "declined";
    }
}

void ask_apply(const struct entry_list *asked, struct entry_list *list)
{
    for (size_t i = 0; i < list->n; i++)
        for (size_t k = 0; k < asked->n; k++) {
            struct entry *entry = list->items[i];
            const struct entry *other = asked->items[k];
            if (other->state != ENTRY_LEFT || entry->source != other->source ||
                entry->line != other->line || entry->state != ENTRY_WAITING)
                continue;
            entry->state = ENTRY_LEFT;
            entry->reason = other->reason;
        }
}
