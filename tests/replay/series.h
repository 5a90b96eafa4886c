/* Recorded series (columns hours, gravity, temp_c) as records to replay. For tests only. */
#ifndef GYLE_TESTS_REPLAY_SERIES_H
#define GYLE_TESTS_REPLAY_SERIES_H

#include "../reference/table.h"
#include "replay.h"

/* Free it with record_free(). */
static inline void series_read(const char *path, struct record *record)
{
    struct table table = table_read(path);
    if (!record_room(record, table.rows))
        fail_msg("%s: no memory", path);
    for (size_t row = 0; row < table.rows; row++) {
        double gravity = table_number(&table, row, "gravity");
        if (isnan(gravity))
            continue;
        record->hours[record->n] = table_number(&table, row, "hours");
        record->plato[record->n] = gravity;
        record->celsius[record->n++] = table_number(&table, row, "temp_c");
    }
    table_free(&table);
}

#endif
