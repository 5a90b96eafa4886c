/*
 * Lines as people type them on a phone, read into entries.
 *
 *   # 2026-11-25               the day of the lines that follow
 *   by MO
 *   ph-meter PH2
 *   FV3 8:10 3.4P 4.42 19.5 0.8 krausen falling
 *   FV3 10:00 dry hop 4 kg
 *   cold room 3.2
 *   PH1 cal 7.00 -3mV 4.01 172mV
 *
 * A figure tells its quantity by its unit, by a word before or behind it, or, when it is bare, by
 * the order gravity, pH, temperature, pressure and by what is plausible. Where more than one
 * meaning is left the line is refused, and all of them are shown. Nothing is guessed.
 */
#ifndef GYLE_TYPED_H
#define GYLE_TYPED_H

#include "entry.h"
#include "roster.h"

struct entry_list {
    struct entry **items;
    size_t n, capacity;
};

void entry_list_add(struct entry_list *list, struct arena *arena, struct entry *entry);

/* Reads every line of source. Lines that cannot be understood become refused entries. now is what a
 * line without a time means. */
void typed_read(struct arena *arena, const struct roster *roster, const struct source *source,
                int64_t now, struct entry_list *list);

#endif
